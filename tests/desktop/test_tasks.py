"""Long work: off the GUI thread and back, with progress, cancelling, and no failure lost."""

from __future__ import annotations

import functools
import gc
import sys
import threading
import time
import weakref
from typing import TYPE_CHECKING, Any

import pytest

from knowngood.tasks import State, Task, Tasks

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pytestqt.qtbot import QtBot

    from knowngood.api import Progress


@pytest.fixture
def tasks(qapp: object) -> Iterator[Tasks]:
    tasks = Tasks()
    yield tasks
    assert tasks.close()


def test_the_work_runs_elsewhere_and_its_result_returns_to_the_gui_thread(qtbot: QtBot, tasks: Tasks) -> None:
    threads: list[int] = []

    def work(progress: Progress) -> int:
        threads.append(threading.get_ident())
        return 42

    results: list[tuple[int, int]] = []
    tasks.run("count", work, done=lambda result: results.append((result, threading.get_ident())))
    qtbot.waitUntil(lambda: bool(results))
    assert results == [(42, threading.get_ident())]
    assert threads[0] != threading.get_ident()
    assert tasks.running == ()


def test_progress_is_told_with_its_text_on_the_gui_thread(qtbot: QtBot, tasks: Tasks) -> None:
    gate = threading.Event()

    def work(progress: Progress) -> None:
        gate.wait(5.0)
        progress(0.25, "reading")
        time.sleep(0.06)
        progress(1.0, "storing")

    task = tasks.run("import", work)
    told: list[tuple[float, str]] = []
    threads: set[int] = set()

    def listen(fraction: float, text: str) -> None:
        told.append((fraction, text))
        threads.add(threading.get_ident())

    task.progressed.connect(listen)
    with qtbot.waitSignal(tasks.ended):
        gate.set()
    assert told == [(0.25, "reading"), (1.0, "storing")]
    assert threads == {threading.get_ident()}


def test_a_fast_loop_does_not_flood_the_event_queue(qtbot: QtBot, tasks: Tasks) -> None:
    gate = threading.Event()

    def work(progress: Progress) -> None:
        gate.wait(5.0)
        for step in range(20_000):
            progress(step / 20_000)

    task = tasks.run("loop", work)
    told: list[float] = []
    task.progressed.connect(lambda fraction, _text: told.append(fraction))
    started = time.monotonic()
    with qtbot.waitSignal(tasks.ended):
        gate.set()
    assert 1 <= len(told) <= 2 + (time.monotonic() - started) / 0.05


def test_a_cancelled_task_stops_at_its_next_report_and_gives_no_result(qtbot: QtBot, tasks: Tasks) -> None:
    under_way = threading.Event()
    told: list[Any] = []

    def work(progress: Progress) -> None:
        while True:
            under_way.set()
            progress(0.5)
            time.sleep(0.001)

    task = tasks.run("endless", work, done=told.append, failed=told.append)
    assert under_way.wait(5.0)
    with qtbot.waitSignal(task.ended):
        task.cancel()
    assert task.state is State.CANCELLED
    assert told == []


def test_a_failure_is_handed_to_the_one_who_asked_for_it(qtbot: QtBot, tasks: Tasks) -> None:
    failures: list[BaseException] = []

    def work(progress: Progress) -> None:
        raise OSError("the disk is full")

    tasks.run("save", work, failed=failures.append)
    qtbot.waitUntil(lambda: bool(failures))
    assert str(failures[0]) == "the disk is full"


def test_a_failure_that_nobody_asked_for_is_shown(qtbot: QtBot) -> None:
    shown: list[tuple[str, str]] = []
    tasks = Tasks(on_failure=lambda task, error: shown.append((task.title, str(error))))

    def work(progress: Progress) -> None:
        raise ValueError("no steady window")

    tasks.run("analyse", work)
    qtbot.waitUntil(lambda: bool(shown))
    assert shown == [("analyse", "no steady window")]
    assert tasks.close()


def test_without_anyone_to_show_it_a_failure_reaches_the_exception_hook(
    qtbot: QtBot, tasks: Tasks, monkeypatch: pytest.MonkeyPatch
) -> None:
    caught: list[BaseException] = []

    def work(progress: Progress) -> None:
        raise SystemExit("a library wanted to end the program")

    with monkeypatch.context() as patched:
        patched.setattr(sys, "excepthook", lambda _type, error, _trace: caught.append(error))
        tasks.run("import", work)
        qtbot.waitUntil(lambda: bool(caught))
    assert isinstance(caught[0], SystemExit)


def test_closing_cancels_what_runs_and_nothing_comes_back(qtbot: QtBot) -> None:
    tasks = Tasks()
    under_way = threading.Event()
    told: list[Any] = []

    def work(progress: Progress) -> str:
        under_way.set()
        while True:
            progress(0.1)
            time.sleep(0.001)

    def quick(progress: Progress) -> str:
        return "late"

    tasks.run("endless", work, done=told.append)
    tasks.run("quick", quick, done=told.append)
    assert under_way.wait(5.0)
    assert tasks.close(wait_ms=5_000)
    qtbot.wait(50)
    assert told == []
    with pytest.raises(RuntimeError, match="closing"):
        tasks.run("more", work)


def same(number: int, progress: Progress) -> int:
    progress(1.0)
    return number


def test_many_tasks_all_come_back(qtbot: QtBot, tasks: Tasks) -> None:
    results: list[int] = []
    ended: list[Task] = []
    tasks.ended.connect(ended.append)
    for number in range(200):
        tasks.run(f"{number}", functools.partial(same, number), done=results.append)
    qtbot.waitUntil(lambda: len(results) == 200)
    assert sorted(results) == list(range(200))
    assert len(ended) == 200


def test_what_a_task_held_and_returned_is_let_go_when_it_has_ended(qtbot: QtBot, tasks: Tasks) -> None:
    class Samples:
        """Stands for what takes memory."""

    given, told = Samples(), []
    kept = [weakref.ref(given)]

    def work(progress: Progress, samples: Samples = given) -> Samples:
        made = Samples()
        kept.append(weakref.ref(made))
        return made

    tasks.run("open", work, done=lambda made: told.append(type(made)))
    del given, work
    qtbot.waitUntil(lambda: bool(told))
    gc.collect()
    assert told == [Samples]
    assert [one() for one in kept] == [None, None]
