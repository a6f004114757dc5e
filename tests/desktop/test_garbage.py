"""Qt objects caught in cycles are destroyed on the GUI thread, whatever runs elsewhere."""

from __future__ import annotations

import gc
import threading
from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import QObject

from knowngood.garbage import Collector, GuiGarbage
from knowngood.tasks import Tasks

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pytestqt.qtbot import QtBot

    from knowngood.api import Progress

KNOTS = 40


class Knot(QObject):
    """A Qt object that only the cycle collector can free; it tells on which thread it was."""

    def __init__(self, freed_on: list[int]) -> None:
        super().__init__()
        self.itself = self
        self.freed_on = freed_on

    def __del__(self) -> None:
        self.freed_on.append(threading.get_ident())


@pytest.fixture
def tasks(qapp: object) -> Iterator[Tasks]:
    tasks = Tasks()
    yield tasks
    assert tasks.close()
    assert gc.isenabled()


def leave_knots(freed_on: list[int]) -> None:
    for _ in range(KNOTS):
        Knot(freed_on)


def make_much(progress: Progress) -> int:
    """Enough containers to have the collector visit every generation several times."""
    kept = [[number] for number in range(300_000)]
    progress(0.5)
    return len(kept)


def test_a_worker_never_destroys_qt_objects(qtbot: QtBot, tasks: Tasks) -> None:
    freed_on: list[int] = []
    leave_knots(freed_on)
    results: list[int] = []
    for _ in range(3):
        tasks.run("make much", make_much, done=results.append)
    qtbot.waitUntil(lambda: len(results) == 3)
    gc.collect()
    assert freed_on == [threading.get_ident()] * KNOTS


def test_the_collector_runs_as_before_once_all_work_has_ended(qtbot: QtBot, tasks: Tasks) -> None:
    gate = threading.Event()
    first = tasks.run("wait", lambda _progress: gate.wait(5.0))
    assert not gc.isenabled()
    with qtbot.waitSignal(first.ended):
        gate.set()
    qtbot.waitUntil(gc.isenabled)


def test_closing_gives_the_collector_back(qapp: object) -> None:
    tasks = Tasks()
    gate = threading.Event()
    tasks.run("wait", lambda _progress: gate.wait(5.0))
    gate.set()
    assert tasks.close()
    assert gc.isenabled()


def test_garbage_is_collected_while_work_goes_on(qtbot: QtBot, tasks: Tasks) -> None:
    gate = threading.Event()
    task = tasks.run("wait", lambda _progress: gate.wait(10.0))
    freed_on: list[int] = []
    leave_knots(freed_on)
    kept = [[number] for number in range(5_000)]
    qtbot.waitUntil(lambda: len(freed_on) == KNOTS)
    assert set(freed_on) == {threading.get_ident()}
    assert len(kept) == 5_000
    with qtbot.waitSignal(task.ended):
        gate.set()


def test_a_collector_that_is_off_stays_off(qapp: object) -> None:
    garbage = GuiGarbage()
    gc.disable()
    try:
        garbage.hold()
        garbage.release()
        assert not gc.isenabled()
        Collector().collect_what_is_due()
    finally:
        gc.enable()


def test_a_full_collection_is_followed_by_a_rest_in_proportion(monkeypatch: pytest.MonkeyPatch) -> None:
    now, collected = [0.0], []

    def collect(generation: int) -> None:
        collected.append(generation)
        now[0] += 0.2

    monkeypatch.setattr(gc, "collect", collect)
    monkeypatch.setattr(gc, "get_count", lambda: (900, 20, 20))
    monkeypatch.setattr(gc, "get_threshold", lambda: (700, 10, 10))
    collector = Collector(lambda: now[0])
    collector.collect_what_is_due()
    now[0] += 5.0
    collector.collect_what_is_due()
    # A younger generation is collected in between, so that ordinary garbage does not pile up.
    assert collected == [2, 1]
    now[0] += 6.0
    collector.collect_what_is_due()
    assert collected == [2, 1, 2]
