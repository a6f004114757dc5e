"""An import that is cancelled or killed leaves the library as it was; on both databases."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import func, select, text
from tests.plugins.sessions.reading.corpus.made import joined, lines
from tests.plugins.sessions.reading.corpus.packs import book, rows, zipped

from knowngood.progress import Cancelled
from knowngood_refdata.models import Base
from knowngood_refdata.queries import sessions
from knowngood_refdata.store import Store
from knowngood_sessions.library import Facts, prepare_for, save_log

if TYPE_CHECKING:
    from collections.abc import Callable

ROOT = Path(__file__).resolve().parents[4]
FIRST, SECOND = joined(lines()), joined([*lines(), "", ""])
FACTS = Facts(None, "R-134a")
SHAPES = {
    "a text": SECOND,
    "a text with marks": joined([",".join(f'"{cell}"' for cell in line.split(",")) for line in lines()]),
    "a packed text": zipped({"log.csv": SECOND}),
    "a workbook": book({"Run": rows()}),
    "long form": joined(
        [
            "Time (s),Channel,Value",
            *[
                f"{at // 2},{'P low' if at % 2 else 'P high'},{30 + at % 3 + 120 * (at % 2 == 0)}"
                for at in range(200)
            ],
        ]
    ),
}
IMPORTS = """
import sys, time
from pathlib import Path
from sqlalchemy import event
from knowngood_refdata.queries import sessions
from knowngood_refdata.store import Store
from knowngood_sessions.library import Facts, prepare_for, save_log

def reached(stage):
    if stage == sys.argv[3]:
        print(stage, flush=True)
        time.sleep(60)

store = Store.open(sys.argv[1], user="R. Moss", create=False)
write_channels = sessions.write_channels

def written(*arguments):
    write_channels(*arguments)
    reached("behind the samples")

sessions.write_channels = written
event.listen(store.engine, "commit", lambda connection: reached("before the end"))
data = Path(sys.argv[2]).read_bytes()
prepared = prepare_for(store, data, "log.csv", proceed=lambda part: reached("reading" if part else ""))
save_log(store, prepared, prepared.mapping, Facts(None, "R-134a"), data)
"""


def in_library(store: Store) -> dict[str, int]:
    """The number of rows of every table."""
    with store.reading() as session:
        if store.engine.dialect.name == "sqlite":
            assert session.scalar(text("PRAGMA integrity_check")) == "ok"
        return {
            name: session.scalar(select(func.count()).select_from(table)) or 0
            for name, table in Base.metadata.tables.items()
        }


def imported(store: Store, data: bytes) -> int:
    prepared = prepare_for(store, data, "log.csv")
    return save_log(store, prepared, prepared.mapping, FACTS, data).session_id


@pytest.mark.parametrize("stage", ["reading", "behind the samples", "before the end"])
def test_a_program_killed_in_the_middle_of_an_import_leaves_the_library_whole(
    address: str, tmp_path: Path, stage: str
) -> None:
    store = Store.open(address, user="R. Moss")
    first = imported(store, FIRST)
    before = in_library(store)
    store.close()
    log = tmp_path / "log.csv"
    log.write_bytes(SECOND)
    with subprocess.Popen(
        [sys.executable, "-c", IMPORTS, address, str(log), stage], stdout=subprocess.PIPE, text=True, cwd=ROOT
    ) as child:
        assert child.stdout is not None
        assert child.stdout.readline() == f"{stage}\n"
        child.send_signal(signal.SIGKILL)
    store = Store.open(address, user="R. Moss", create=False)
    assert in_library(store) == before
    assert sessions.source(store, first) == FIRST
    second = imported(store, SECOND)
    assert sessions.source(store, second) == SECOND
    assert (
        sessions.recording(store, second).time_s.tolist() == sessions.recording(store, first).time_s.tolist()
    )
    store.close()


@pytest.mark.parametrize("shape", SHAPES)
def test_an_import_that_is_cancelled_at_any_of_its_steps_leaves_no_trace(shape: str, tmp_path: Path) -> None:
    store = Store.open(tmp_path / "library.sqlite", user="R. Moss")
    before = in_library(store)
    data = SHAPES[shape]

    def whole(proceed: Callable[[float], None]) -> None:
        prepared = prepare_for(
            store,
            data,
            "log.csv",
            {"P low": "low side, psi, gauge", "P high": "high side, psi, gauge"},
            proceed,
        )
        save_log(store, prepared, prepared.mapping, FACTS, data, proceed)

    for stop_at in range(100):
        left = [stop_at]

        def stop(_: float, left: list[int] = left) -> None:
            if left[0] == 0:
                raise Cancelled
            left[0] -= 1

        try:
            whole(stop)
        except Cancelled:
            assert in_library(store) == before
        else:
            break
    assert stop_at >= 5
    assert len(sessions.list_sessions(store)) == 1
    store.close()
