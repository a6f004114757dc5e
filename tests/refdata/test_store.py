"""Opening a library, on both databases and in every state a file can be in."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import time
from typing import TYPE_CHECKING

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import MetaData, text

from knowngood_refdata import plugin_tables
from knowngood_refdata.drafts import VehicleDraft
from knowngood_refdata.models import Base
from knowngood_refdata.queries import sessions, vehicles
from knowngood_refdata.store import (
    LibraryDamaged,
    LibraryLocked,
    LibraryMissing,
    LibraryReadOnly,
    LibraryTooNew,
    Store,
    StoreError,
)

if TYPE_CHECKING:
    from pathlib import Path

SKERRY = VehicleDraft("Tarn", "Skerry", "1.6 petrol", 2021, 2023)


def test_the_migrations_make_exactly_the_tables_of_the_models(store: Store) -> None:
    def ours(_: object, name: str | None, *_more: object) -> bool:
        # The index over every three letters is the database's own affair, and each makes it in its way.
        return "configuration_grams" not in (name or "")

    whole = MetaData()
    for table in (*Base.metadata.tables.values(), plugin_tables.BOOK):
        table.to_metadata(whole)
    with store.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"include_object": ours})
        assert compare_metadata(context, whole) == []


def test_what_was_stored_is_there_after_reopening(address: str) -> None:
    first = Store.open(address, user="Ada Fell")
    number = vehicles.add_vehicle(first, SKERRY)
    first.close()
    second = Store.open(address, create=False)
    assert vehicles.vehicle(second, number).name == "Tarn Skerry 1.6 petrol, 2021–23"
    second.close()


def test_opening_a_library_at_head_does_not_import_alembic(tmp_path: Path) -> None:
    path = tmp_path / "library.sqlite"
    Store.open(path).close()
    code = (
        "import sys; from knowngood_refdata.store import Store; "
        f"Store.open({str(path)!r}); print('alembic' in sys.modules)"
    )
    answer = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert answer.stdout.strip() == "False"


def test_a_write_that_raises_leaves_nothing_behind(store: Store) -> None:
    def half_done() -> None:
        with store.writing() as session:
            session.execute(text("DELETE FROM configuration"))
            raise RuntimeError("half way")

    vehicles.add_vehicle(store, SKERRY)
    with pytest.raises(RuntimeError):
        half_done()
    assert vehicles.count(store) == 1


def test_a_missing_library_is_not_made_unasked(tmp_path: Path) -> None:
    path = tmp_path / "nowhere" / "library.sqlite"
    with pytest.raises(LibraryMissing, match="Nothing was changed"):
        Store.open(path, create=False)
    assert not path.parent.exists()


def test_the_folder_of_a_new_library_is_made(tmp_path: Path) -> None:
    path = tmp_path / "a" / "b" / "library.sqlite"
    Store.open(path).close()
    assert path.exists()


@pytest.mark.parametrize("content", [b"just a text", b"SQLite format 3\0" + b"\xff" * 4096])
def test_a_file_that_is_no_library_is_left_as_it_is(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "library.sqlite"
    path.write_bytes(content)
    with pytest.raises(LibraryDamaged):
        Store.open(path)
    assert path.read_bytes() == content


def test_a_folder_is_no_library(tmp_path: Path) -> None:
    with pytest.raises(LibraryDamaged, match="is a folder"):
        Store.open(tmp_path)


def test_another_programs_database_is_not_touched(tmp_path: Path) -> None:
    path = tmp_path / "other.sqlite"
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE songs (title TEXT)")
    connection.commit()
    connection.close()
    before = path.read_bytes()
    with pytest.raises(LibraryDamaged, match="no Knowngood library"):
        Store.open(path)
    assert path.read_bytes() == before


def test_a_library_of_a_newer_program_is_refused(address: str) -> None:
    opened = Store.open(address)
    with opened.engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    opened.close()
    with pytest.raises(LibraryTooNew, match="Install the newer version"):
        Store.open(address)


def test_a_read_only_library_can_be_read_and_says_why_it_cannot_be_written(tmp_path: Path) -> None:
    path = tmp_path / "library.sqlite"
    writable = Store.open(path, user="Ada Fell")
    vehicles.add_vehicle(writable, SKERRY)
    writable.close()
    locked = Store.open(f"sqlite:///file:{path}?mode=ro&uri=true")
    assert vehicles.count(locked) == 1
    with pytest.raises(LibraryReadOnly, match="can be read but not written"):
        vehicles.add_vehicle(locked, SKERRY)
    locked.close()


def test_a_library_held_by_another_program_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("knowngood_refdata.engines.BUSY_S", 0.1)
    path = tmp_path / "library.sqlite"
    Store.open(path).close()
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("PRAGMA locking_mode = EXCLUSIVE")
    other.execute("BEGIN EXCLUSIVE")
    with pytest.raises(LibraryLocked, match="Another program holds"):
        vehicles.add_vehicle(Store.open(path), SKERRY)
    other.execute("ROLLBACK")
    other.close()


def test_an_unreachable_server_is_reported_in_words() -> None:
    with pytest.raises(StoreError, match="cannot be used"):
        Store.open("postgresql://nobody@127.0.0.1:1/library")


def test_two_programs_may_make_the_same_library_at_once(address: str) -> None:
    code = f"from knowngood_refdata.store import Store; Store.open({address!r}).close()"
    running = [subprocess.Popen([sys.executable, "-c", code], stderr=subprocess.PIPE) for _ in range(3)]
    errors = [one.communicate(timeout=60)[1] for one in running]
    assert [one.returncode for one in running] == [0, 0, 0], errors
    opened = Store.open(address, create=False)
    assert vehicles.count(opened) == 0
    opened.close()


SAVES_FOR_EVER = """
import sys
import numpy as np
from knowngood_refdata.drafts import SessionDraft
from knowngood_refdata.queries import sessions
from knowngood_refdata.records import Channel, Recording, Role
from knowngood_refdata.store import Store
store = Store.open(sys.argv[1], user="Ada Fell")
time_s = np.arange(200_000.0)
channel = Channel("P1", Role.LOW_SIDE, "psi", True, np.random.default_rng(1).normal(30, 1, 200_000))
while True:
    draft = SessionDraft(None, "test", "R-134a", "log.csv")
    number = sessions.save(store, draft, Recording(time_s, (channel,)), b"log")
    print(number, flush=True)
"""


def test_a_kill_in_the_middle_of_a_save_keeps_all_that_was_committed(tmp_path: Path) -> None:
    path = tmp_path / "library.sqlite"
    Store.open(path).close()
    child = subprocess.Popen(
        [sys.executable, "-c", SAVES_FOR_EVER, str(path)], stdout=subprocess.PIPE, text=True
    )
    assert child.stdout is not None
    told = [int(child.stdout.readline()) for _ in range(3)]
    time.sleep(0.013)
    os.kill(child.pid, signal.SIGKILL)
    told += [int(line) for line in child.stdout.read().split()]
    child.wait()
    child.stdout.close()
    opened = Store.open(path, create=False)
    with opened.engine.connect() as connection:
        assert connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
    kept = {one.id for one in sessions.list_sessions(opened)}
    assert set(told) <= kept
    for number in kept:
        assert len(sessions.recording(opened, number).channels[0].values) == 200_000
    opened.close()
