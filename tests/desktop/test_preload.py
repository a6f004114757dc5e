"""What costs much at first use is loaded on a thread once the window stands, and nobody is told."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import pytest

from knowngood.preload import LATE_MODULES, Preload
from knowngood.tasks import Tasks

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pytestqt.qtbot import QtBot

SELDOM = "xml.dom.pulldom"


@pytest.fixture
def tasks(qapp: object) -> Iterator[Tasks]:
    tasks = Tasks()
    yield tasks
    assert tasks.close()


def test_modules_are_imported_without_anybody_being_told(
    qtbot: QtBot, tasks: Tasks, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delitem(sys.modules, SELDOM, raising=False)
    told: list[object] = []
    tasks.started.connect(told.append)
    tasks.ended.connect(told.append)
    preload = Preload(tasks, [SELDOM])
    preload.start()
    assert SELDOM not in sys.modules
    qtbot.waitUntil(lambda: SELDOM in sys.modules and not tasks.running)
    assert told == []


def test_a_module_that_cannot_be_imported_is_left_to_the_page_that_needs_it(
    qtbot: QtBot, tasks: Tasks, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delitem(sys.modules, SELDOM, raising=False)
    raised: list[object] = []
    monkeypatch.setattr(sys, "excepthook", lambda *error: raised.append(error))
    preload = Preload(tasks, ["there_is_no_such_module", SELDOM])
    preload.start()
    qtbot.waitUntil(lambda: SELDOM in sys.modules and not tasks.running)
    assert raised == []


def test_a_window_that_closes_at_once_loads_nothing(qtbot: QtBot, tasks: Tasks) -> None:
    preload = Preload(tasks, [SELDOM])
    preload.start()
    preload.stop()
    qtbot.wait(400)
    assert tasks.running == ()


def test_a_program_that_is_closing_starts_no_loading(qtbot: QtBot) -> None:
    tasks = Tasks()
    preload = Preload(tasks, [SELDOM])
    preload.start()
    assert tasks.close()
    qtbot.wait(400)
    assert tasks.running == ()


@pytest.mark.parametrize("module", LATE_MODULES)
def test_what_is_preloaded_is_there_to_be_loaded(module: str) -> None:
    __import__(module)
    assert module in sys.modules
