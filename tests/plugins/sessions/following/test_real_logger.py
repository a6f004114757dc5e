"""A logger of its own process writes while the page follows; what is stored is what an import would store."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from knowngood_refdata.queries import sessions
from knowngood_refdata.records import Quantity
from knowngood_refdata.store import Store
from knowngood_sessions.core.following import pace, tail
from knowngood_sessions.library import Facts, prepare_for, save_log
from knowngood_sessions.panels import following_bar, following_log
from knowngood_sessions.panels.mapping_dialog import MappingDialog
from knowngood_sessions.panels.plotter import PlotterPage

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood_refdata.records import Event, Findings, SessionInfo
    from knowngood_sessions.gather import Session

    from .conftest import ShopHost

# Rows go out in pieces that end anywhere, also inside a number, a character or a line end.
LOGGER = """
import pathlib, sys, time
source, target, then = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2]), sys.argv[3]
data = source.read_bytes()
with target.open("wb", buffering=0) as file:
    for at in range(0, len(data), 997):
        file.write(data[at : at + 997])
        time.sleep(0.005)
if then:
    sys.stdin.readline()
if then == "rotate":
    target.rename(target.with_suffix(".1"))
if then:
    target.write_bytes(data[3_000:5_000] if then == "rotate" else data[:2_000])
"""


class Watched:
    """Follows on a page and keeps what was shown of the findings."""

    def __init__(self, host: ShopHost, qtbot: QtBot, folder: Path) -> None:
        self.host, self.qtbot, self.folder = host, qtbot, folder
        self.page = PlotterPage(host)
        self.found: list[Findings] = []
        self.page.following.found.connect(lambda session: self.found.append(session.findings))
        qtbot.addWidget(self.page)
        self.page.resize(1_100, 760)
        self.page.show()

    @property
    def told(self) -> str:
        bar = self.page.following.bar
        return " ".join((bar._title.text(), bar._state.text(), bar._told.text()))

    @property
    def session(self) -> Session | None:
        return self.page.following.session

    def log(self, data: bytes, name: str, then: str = "") -> subprocess.Popen[bytes]:
        source = self.folder / "as it will be"
        source.write_bytes(data)
        command = [sys.executable, "-c", LOGGER, str(source), str(self.folder / name), then]
        return subprocess.Popen(command, stdin=subprocess.PIPE)

    def follow(self, name: str) -> None:
        following = self.page.following
        self.wait(lambda: (self.folder / name).exists())
        following.start(self.folder / name)
        self.wait(lambda: following.dialog is not None)
        dialog = following.dialog
        assert isinstance(dialog, MappingDialog)
        QTest.mouseClick(dialog.import_button, Qt.MouseButton.LeftButton)
        self.wait(lambda: self.session is not None)

    def has(self, samples: int) -> bool:
        return self.session is not None and self.session.info.sample_count >= samples

    def wait(self, until: Callable[[], bool]) -> None:
        self.qtbot.waitUntil(until, timeout=20_000)

    def finish(self) -> SessionInfo:
        self.page.following.finish()
        self.wait(lambda: self.host.bench.session is not None)
        stored = self.host.bench.session
        assert stored is not None
        self.wait(lambda: self.page.view.session is not None and self.page.view.session.info == stored)
        self.wait(lambda: not self.host.tasks.running)
        return stored


@pytest.fixture
def watched(
    host: ShopHost, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Watched]:
    monkeypatch.setattr(following_log, "LOOK_EVERY_MS", 20)
    host.bench.take_vehicle(host.add_vehicle())
    made = Watched(host, qtbot, tmp_path)
    yield made
    if made.page.following.active:
        made.page.following.discard()
    made.wait(lambda: not host.tasks.running)


@dataclass(frozen=True)
class Kept:
    """All that a library holds of a session that does not name its place in it."""

    info: SessionInfo
    findings: Findings
    source: bytes
    time_s: list[float]
    channels: list[tuple[str, str, str, bool, list[float]]]


def kept(store: Store, info: SessionInfo) -> Kept:
    recording = sessions.recording(store, info.id)
    found = sessions.findings(store, info.id)
    return Kept(
        replace(info, id=0, vehicle_id=0, version=0),
        replace(
            found,
            windows=tuple(replace(one, id=None) for one in found.windows),
            events=tuple(replace(one, id=None) for one in found.events),
        ),
        sessions.source(store, info.id),
        recording.time_s.tolist(),
        [
            (one.name, one.role.value, one.unit, one.gauge, np.nan_to_num(one.values, nan=-1e9).tolist())
            for one in recording.channels
        ],
    )


def plain_import(data: bytes, name: str, host: ShopHost, folder: Path) -> Kept:
    store = Store.open(folder / "another.sqlite", user="R. Moss")
    prepared = prepare_for(store, data, name)
    facts = Facts(None, "R-134a", technician="R. Moss")
    stored = save_log(store, prepared, prepared.mapping, facts, data)
    found = kept(store, sessions.info(store, stored.session_id))
    store.close()
    return found


def set_back(data: bytes) -> bytes:
    """The same log with clock times, where the logger's clock was set back by a minute on the way."""
    head, *rows = data.decode().splitlines()
    lines = [head.replace("Time (s)", "Time")]
    for place, row in enumerate(rows):
        seconds, rest = row.split(",", 1)
        at = 36_000 + int(seconds) - (60 if place >= 400 else 0)
        lines.append(f"{at // 3600:02d}:{at // 60 % 60:02d}:{at % 60:02d},{rest}")
    return ("\n".join(lines) + "\n").encode()


def broken_off(data: bytes) -> bytes:
    return data[: data.rindex(b",")]


def wide(data: bytes) -> bytes:
    return data.decode().replace("\n", "\r\n").encode("utf-16")


@pytest.mark.parametrize("as_written", [broken_off, wide, set_back])
def test_what_is_stored_is_what_an_import_of_the_finished_file_stores(
    watched: Watched, two_plateau_csv: bytes, as_written: Callable[[bytes], bytes]
) -> None:
    data = as_written(two_plateau_csv)
    with watched.log(data, "bay 3.csv"):
        watched.follow("bay 3.csv")
        watched.wait(lambda: watched.has(779))
    watched.wait(lambda: len(watched.found) > 0 and len(watched.found[-1].windows) >= 2)
    shown = watched.session
    assert shown is not None
    stored = kept(watched.host.store, watched.finish())
    assert stored == plain_import(data, "bay 3.csv", watched.host, watched.folder)
    assert stored.source == data
    # What was on the screen at the end is what was stored, derived channels too.
    np.testing.assert_allclose(shown.recording.time_s, stored.time_s[: shown.info.sample_count])
    opened = watched.page.view.session
    assert opened is not None
    count = shown.info.sample_count
    for before, after in zip(shown.traces, opened.traces, strict=True):
        assert (before.key, before.what) == (after.key, after.what)
        np.testing.assert_allclose(before.values, after.values[:count])
    assert {Quantity.SUPERHEAT.value, "pressure ratio"} <= {one.key for one in opened.traces}


@pytest.mark.parametrize(
    ("then", "told"), [("rotate", "is another file now"), ("begin anew", "has become shorter")]
)
def test_rows_read_before_the_logger_began_its_file_anew_are_stored(
    watched: Watched, two_plateau_csv: bytes, monkeypatch: pytest.MonkeyPatch, then: str, told: str
) -> None:
    monkeypatch.setattr(tail, "GRACE_S", 0.2)
    with watched.log(two_plateau_csv, "bay 3.csv", then) as process:
        watched.follow("bay 3.csv")
        watched.wait(lambda: watched.has(780))
        process.communicate(b"\n")
    watched.wait(lambda: told in watched.told)
    assert "What was read is kept" in watched.told
    assert kept(watched.host.store, watched.finish()).source == two_plateau_csv


def test_a_logger_that_falls_silent_is_told_and_what_it_shows_stays(
    watched: Watched, two_plateau_csv: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(following_bar, "_QUIET_S", 0.5)
    with watched.log(two_plateau_csv[:9_000], "bay 3.csv"):
        watched.follow("bay 3.csv")
    watched.wait(lambda: "The logger may have stopped" in watched.told)
    before = watched.session
    watched.qtbot.wait(300)
    after = watched.session
    assert before is not None
    assert after is not None
    assert after.info == before.info


def test_windows_and_events_appear_one_by_one_and_none_flickers(
    watched: Watched, two_plateau_csv: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pace, "LEAST_S", 0.05)
    with watched.log(two_plateau_csv, "bay 3.csv"):
        watched.follow("bay 3.csv")
        watched.wait(lambda: watched.has(780))
    watched.wait(lambda: bool(watched.found) and len(watched.found[-1].windows) >= 3)
    appeared = [len(one.windows) for one in watched.found]
    assert appeared == sorted(appeared)
    assert appeared[0] < 3, "the findings did not grow with the log"
    for before, after in pairwise(watched.found):
        lost = [one for one in before.events if not any(_same(one, other) for other in after.events)]
        assert not lost, f"{lost} came and went"


def _same(one: Event, other: Event) -> bool:
    return one.kind is other.kind and abs(one.at_s - other.at_s) <= 3.0
