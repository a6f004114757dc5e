"""A fault of the program: input kept, report written, the user told once."""

from __future__ import annotations

import signal
import subprocess
import sys
import textwrap
import threading
import time
from typing import TYPE_CHECKING

import pytest

from knowngood.crash import CrashHandler, Fault
from knowngood.crash_dialog import FaultDialog

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from pytestqt.qtbot import QtBot

PROGRAM = """
import os, sys
from pathlib import Path
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QLineEdit
from knowngood.crash import CrashHandler
from knowngood.drafts import Drafts

folder, what = Path(sys.argv[1]), sys.argv[2]
app = QApplication([])
field = QLineEdit()
drafts = Drafts(folder / "drafts.json", save_every_ms=60_000 if what == "fault" else 20)
drafts.keep(
    "specs",
    lambda: {"charge": field.text()} if field.text() else None,
    lambda draft: field.setText(draft["charge"]),
)
# The worst end of a fault: the process is gone as soon as it has been shown.
handler = CrashHandler(folder / "faults", keep=drafts.save, show=lambda fault: os._exit(3))
handler.install()
if what == "look":
    print(field.text(), handler.last_run)
    sys.exit()
field.setText("470 g")
if what == "fault":
    QTimer.singleShot(10, lambda: {}["no such key"])
elif what == "segfault":
    import ctypes
    QTimer.singleShot(200, lambda: ctypes.string_at(0))
print("typed", flush=True)
app.exec()
"""


@pytest.fixture
def faults() -> list[Fault]:
    return []


@pytest.fixture
def handler(tmp_path: Path, faults: list[Fault]) -> Iterator[CrashHandler]:
    handler = CrashHandler(tmp_path / "faults", keep=lambda: True, show=faults.append)
    handler.install()
    yield handler
    handler.remove()


def test_ctrl_c_keeps_the_input_and_ends_the_program_without_a_report(
    tmp_path: Path, faults: list[Fault]
) -> None:
    told: list[str] = []

    def keep() -> bool:
        told.append("kept")
        return True

    handler = CrashHandler(tmp_path, keep=keep, show=faults.append, stop=lambda: told.append("stopped"))
    handler.install()
    try:
        sys.excepthook(KeyboardInterrupt, KeyboardInterrupt(), None)
    finally:
        handler.remove()
    assert (told, faults) == (["kept", "stopped"], [])
    assert not list(tmp_path.glob("fault-*"))


def start(folder: Path, what: str) -> subprocess.Popen[str]:
    program = textwrap.dedent(PROGRAM)
    return subprocess.Popen(
        [sys.executable, "-c", program, str(folder), what], stdout=subprocess.PIPE, text=True
    )


def look(folder: Path) -> str:
    return start(folder, "look").communicate(timeout=30)[0]


def raised(error: Exception) -> None:
    """Let an exception arrive as an uncaught one does: with the traceback of where it was raised."""

    def fail() -> None:
        raise error

    try:
        fail()
    except type(error) as caught:
        sys.excepthook(type(caught), caught, caught.__traceback__)


def test_a_fault_in_a_slot_that_ends_the_program_leaves_the_input(tmp_path: Path) -> None:
    program = start(tmp_path, "fault")
    program.communicate(timeout=30)
    assert program.returncode == 3
    assert look(tmp_path).startswith("470 g")
    (report,) = (tmp_path / "faults").glob("fault-*.txt")
    assert "KeyError: 'no such key'" in report.read_text("utf-8")


def test_a_killed_program_leaves_what_was_saved_by_itself(tmp_path: Path) -> None:
    program = start(tmp_path, "wait")
    assert program.stdout is not None
    assert program.stdout.readline() == "typed\n"
    deadline = time.monotonic() + 20.0
    while not (tmp_path / "drafts.json").exists():
        assert time.monotonic() < deadline
        time.sleep(0.02)
    program.send_signal(signal.SIGKILL)
    program.communicate(timeout=30)
    assert program.returncode == -signal.SIGKILL
    assert look(tmp_path).startswith("470 g")


def test_a_fatal_fault_is_told_at_the_next_start(tmp_path: Path) -> None:
    program = start(tmp_path, "segfault")
    program.communicate(timeout=30)
    assert program.returncode < 0
    said = look(tmp_path)
    assert said.startswith("470 g")
    (report,) = (tmp_path / "faults").glob("fatal-*.txt")
    assert str(report) in said
    assert "Segmentation fault" in report.read_text("utf-8")
    assert "fatal" not in look(tmp_path)


def test_the_report_names_the_fault_and_the_place(handler: CrashHandler, faults: list[Fault]) -> None:
    raised(ZeroDivisionError("no flow"))
    (fault,) = faults
    assert fault.what == "ZeroDivisionError: no flow"
    assert fault.report is not None
    text = fault.report.read_text("utf-8")
    assert "in fail" in text
    assert "Everything you have typed was kept" in text


def test_the_same_fault_again_and_again_is_shown_once(handler: CrashHandler, faults: list[Fault]) -> None:
    for _ in range(50):
        raised(ValueError("paint"))
    raised(LookupError("another"))
    assert [fault.what for fault in faults] == ["ValueError: paint", "LookupError: another"]


def test_a_fault_in_a_thread_is_shown_too(handler: CrashHandler, faults: list[Fault]) -> None:
    def fail() -> None:
        raise OSError("cable out")

    thread = threading.Thread(target=fail)
    thread.start()
    thread.join()
    assert [fault.what for fault in faults] == ["OSError: cable out"]
    assert "goes on running" in faults[0].kept


def test_a_fault_while_showing_a_fault_does_not_recurse(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    calls: list[Fault] = []

    def show(fault: Fault) -> None:
        calls.append(fault)
        raised(RuntimeError("the dialog is broken"))

    handler = CrashHandler(tmp_path, keep=lambda: True, show=show)
    handler.install()
    raised(ValueError("first"))
    handler.remove()
    assert [fault.what for fault in calls] == ["ValueError: first"]
    assert "the dialog is broken" in capsys.readouterr().err


def test_input_that_cannot_be_kept_is_said_and_the_report_still_comes(
    tmp_path: Path, faults: list[Fault]
) -> None:
    def keep() -> bool:
        raise OSError("the disk is full")

    handler = CrashHandler(tmp_path, keep=keep, show=faults.append)
    handler.install()
    raised(ValueError("first"))
    handler.remove()
    assert faults[0].kept == "Unsaved input could not be kept: the disk is full."
    assert faults[0].report is not None


def test_input_that_was_kept_in_part_is_not_called_kept(tmp_path: Path, faults: list[Fault]) -> None:
    handler = CrashHandler(tmp_path, keep=lambda: False, show=faults.append)
    handler.install()
    raised(ValueError("first"))
    handler.remove()
    assert "could not be kept" in faults[0].kept


def test_the_dialog_collects_faults_in_one_window(qtbot: QtBot, tmp_path: Path) -> None:
    dialog = FaultDialog()
    dialog.show(Fault("ValueError: first", "kept", tmp_path / "fault.txt"))
    dialog.show(Fault("ValueError: second", "kept", None))
    box = dialog._box
    assert box is not None
    assert box.isVisible()
    assert "first" in box.detailedText()
    assert "second" in box.detailedText()
    assert not box.isModal()
    box.close()
    assert dialog._box is None
