"""What ends a program, in a button, a timer or a page of a plugin, and at the terminal.

Each in a process of its own: were it not caught, it would take the tests with it.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from knowngood import paths

from ..approving import approve_all

if TYPE_CHECKING:
    from pathlib import Path

LEAVER = """
from knowngood.api import Group, Page, hookimpl

class Closed(SystemExit):
    pass

def clicked():
    raise SystemExit

def timed():
    raise SystemExit(3)

def make(host):
    from PySide6.QtCore import QTimer
    from PySide6.QtWidgets import QPushButton

    class Button(QPushButton):
        def paintEvent(self, event):
            raise Closed("for lunch")

    button = Button("Go")
    button.clicked.connect(clicked)
    QTimer.singleShot(0, timed)
    QTimer.singleShot(0, button.click)
    return button

@hookimpl
def pages():
    return [Page("leaver", "Leaver", Group.SHOP, 1, make)]
"""
PROGRAM = """
import signal, sys
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from knowngood import app

signal.signal(signal.SIGINT, signal.default_int_handler)
qt = QApplication([])


def stand():
    print("standing", flush=True)
    if sys.argv[1] == "close":
        qt.closeAllWindows()


# The first one waits for the window's own loop, which takes long to begin; the second lets the page be seen.
QTimer.singleShot(0, lambda: QTimer.singleShot(500, stand))
code = app.main(sys.argv[2:])
print("ended", code, flush=True)
"""


@pytest.fixture
def arguments(tmp_path: Path, library_file: Path) -> list[str]:
    """The program's own arguments, with a plugin that leaves in every way it can."""
    folder = tmp_path / "plugins"
    folder.mkdir()
    (folder / "leaver.py").write_text(LEAVER, "utf-8")
    approve_all(folder)
    return ["--library", str(library_file), "--plugins-folder", str(folder)]


def started(how: str, arguments: list[str]) -> subprocess.Popen[str]:
    """The program in a process of its own."""
    return subprocess.Popen(
        [sys.executable, "-c", PROGRAM, how, *arguments],
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def test_a_page_that_raises_system_exit_everywhere_ends_nothing(arguments: list[str]) -> None:
    told, errors = started("close", [*arguments, "--page", "leaver"]).communicate(timeout=60)
    assert told.split("\n")[:2] == ["standing", "ended 0"], errors
    assert not list(paths.crash_folder().glob("fault-*"))


def test_ctrl_c_at_the_terminal_ends_the_program_in_order(arguments: list[str]) -> None:
    program = started("stay", arguments)
    assert program.stdout is not None
    assert program.stdout.readline() == "standing\n"
    program.send_signal(signal.SIGINT)
    told, errors = program.communicate(timeout=60)
    assert (told, program.returncode) == ("ended 130\n", 0), errors
    assert "Traceback" not in errors
