"""What the next start is told of a run that did not end as it should."""

from __future__ import annotations

import signal
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QMessageBox

from knowngood import app, paths
from knowngood.loader import State
from knowngood.start_mark import StartMark, Unfinished

from .approving import approve_all

if TYPE_CHECKING:
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.window import MainWindow


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "data" / "starting.json"


def test_a_start_that_is_over_leaves_nothing(path: Path) -> None:
    mark = StartMark(path)
    mark.begin()
    with mark.loading("fleet"):
        pass
    assert StartMark(path).last == Unfinished()
    mark.done()
    assert StartMark(path).last is None
    assert mark.last is None


def test_a_start_that_broke_off_while_a_plugin_was_loaded_names_it(path: Path) -> None:
    mark = StartMark(path)
    mark.begin()
    broken_off = mark.loading("fleet")
    broken_off.__enter__()
    last = StartMark(path).last
    assert str(last) == "The last start ended while the plugin 'fleet' was being loaded."


def test_a_plugin_that_is_let_in_later_is_named_while_it_is_loaded(path: Path) -> None:
    mark = StartMark(path)
    mark.begin()
    mark.done()
    with mark.loading("fleet"):
        assert StartMark(path).last == Unfinished("fleet")
    assert StartMark(path).last is None


def test_a_window_that_was_ended_while_it_stood_still_names_the_plugin(path: Path) -> None:
    mark = StartMark(path)
    mark.stuck("fleet")
    assert "stood still inside the plugin 'fleet'" in str(StartMark(path).last)
    mark.free()
    assert StartMark(path).last is None


def test_a_program_that_was_killed_inside_a_plugin_names_it(path: Path) -> None:
    """What stands in shared memory is there without the process having done anything for it."""
    program = (
        "import os, signal; from pathlib import Path; from knowngood.start_mark import StartMark\n"
        f"mark = StartMark(Path({str(path)!r})); mark.begin(); mark.done(); mark.inside('fleet')\n"
        "os.kill(os.getpid(), signal.SIGKILL)"
    )
    ended = subprocess.run([sys.executable, "-c", program], check=False)
    assert ended.returncode == -signal.SIGKILL
    assert str(StartMark(path).last) == "Last time the program ended inside the plugin 'fleet'."


def test_a_second_window_does_not_take_the_memory_of_the_first(path: Path) -> None:
    first, second = StartMark(path), StartMark(path)
    first.begin()
    second.begin()
    first.inside("fleet")
    second.close()
    first.inside("depot")
    first.close()


def test_a_program_that_came_out_of_its_plugins_leaves_nothing(path: Path) -> None:
    mark = StartMark(path)
    mark.begin()
    mark.done()
    mark.inside("fleet")
    mark.inside("")
    assert StartMark(path).last is None
    mark.stuck("fleet")
    mark.close()
    assert list(path.parent.iterdir()) == []


@pytest.mark.parametrize("content", ["", '{"plugin": "fl', "[]", '{"plugin": "x"}'])
def test_a_mark_that_is_broken_off_is_an_unfinished_start(path: Path, content: str) -> None:
    path.parent.mkdir()
    path.write_text(content)
    assert str(StartMark(path).last) == "The last start did not get as far as the window."


def test_without_a_folder_to_write_to_there_is_no_mark(tmp_path: Path) -> None:
    (tmp_path / "data").write_text("a file in the way")
    mark = StartMark(tmp_path / "data" / "starting.json")
    mark.begin()
    mark.done()
    assert mark.last is None


PLUGIN = """
from knowngood.api import hookimpl

@hookimpl
def pages():
    return []
"""


@pytest.mark.parametrize(
    ("answer", "state"), [("Safe mode", State.LEFT_OUT), ("Start as usual", State.RUNNING)]
)
def test_after_an_unfinished_start_safe_mode_is_offered(
    library_file: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, answer: str, state: State
) -> None:
    paths.plugins_folder().mkdir(parents=True)
    (paths.plugins_folder() / "fleet.py").write_text(PLUGIN)
    approve_all(paths.plugins_folder())
    broken_off = StartMark(paths.start_mark_file()).loading("fleet")
    broken_off.__enter__()
    built: list[MainWindow] = []
    build = app.build_window

    def keep(*given: object, **named: object) -> MainWindow:
        built.append(build(*given, **named))  # type: ignore[arg-type]
        return built[-1]

    def click() -> None:
        box = QApplication.activeModalWidget()
        assert isinstance(box, QMessageBox)
        assert "while the plugin 'fleet' was being loaded" in box.informativeText()
        next(one for one in box.buttons() if one.text() == answer).click()

    monkeypatch.setattr(app, "build_window", keep)
    QTimer.singleShot(50, click)
    assert app.run(library=str(library_file), quit_after_start=True) == 0
    host = built[0].host
    assert host is not None
    assert {one.name: one.state for one in host.plugins.status()}["fleet"] is state
    assert StartMark(paths.start_mark_file()).last is None
