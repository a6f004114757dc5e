"""Starting the window program, with libraries in every state."""

from __future__ import annotations

import subprocess
import sys
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox, QPushButton

from knowngood import app
from knowngood.start import LIBRARY_TROUBLE

if TYPE_CHECKING:
    from pathlib import Path

    import pytest
    from pytestqt.qtbot import QtBot

COUNT_NONE = """
import sys
from PySide6.QtWidgets import QApplication, QWidget
app = QApplication([])
widget = QWidget()
widget.update()
before = sys.getrefcount(None)
for _ in range(200):
    widget.update()
print(before - sys.getrefcount(None))
"""

LOOK_AT_START = """
import sys
from knowngood import app
from knowngood.window import MainWindow
made, show = [], MainWindow.show
def look(window):
    made.append(len(window._made))
    show(window)
MainWindow.show = look
app.main(["--library", {library!r}, "--quit-after-start", "--page", "settings"])
print(made, *(name in sys.modules for name in ("pyqtgraph", "CoolProp", "scipy")))
"""


def test_the_window_opens_on_a_new_library_and_closes(tmp_path: Path) -> None:
    library = tmp_path / "new" / "library.sqlite"
    options = ["--library", str(library), "--quit-after-start", "--units", "si"]
    command = [sys.executable, "-m", "knowngood.app", *options]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
    assert (done.returncode, library.exists()) == (0, True), done.stderr


def press(text: str, seen: list[str]) -> None:
    """Press a button of the message box that is open, once it is."""

    def look() -> None:
        for box in QApplication.topLevelWidgets():
            if isinstance(box, QMessageBox) and box.isVisible():
                seen.append(box.informativeText())
                next(one for one in box.findChildren(QPushButton) if one.text() == text).click()
                return
        QTimer.singleShot(20, look)

    QTimer.singleShot(0, look)


def test_a_file_that_is_no_library_is_explained_and_left_alone(tmp_path: Path, qtbot: QtBot) -> None:
    path = tmp_path / "library.sqlite"
    path.write_bytes(b"a shopping list")
    seen: list[str] = []
    press("Quit", seen)
    assert app.run(library=str(path), quit_after_start=True) == LIBRARY_TROUBLE
    assert "It was not touched" in seen[0]
    assert path.read_bytes() == b"a shopping list"


def test_another_library_can_be_chosen_instead(
    tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    bad, good = tmp_path / "bad.sqlite", tmp_path / "good.sqlite"
    bad.write_bytes(b"a shopping list")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_args, **_named: (str(good), ""))
    press("Open another library...", [])
    assert app.run(library=str(bad), quit_after_start=True) == 0
    assert good.exists()


def test_ordinary_qt_calls_lose_no_reference_to_none() -> None:
    # PySide6 6.12 loses one a call on Python 3.11 and ends the program after some thousands (PYSIDE-3474).
    done = subprocess.run([sys.executable, "-c", COUNT_NONE], capture_output=True, text=True, check=True)
    assert int(done.stdout) < 20


def test_only_the_first_page_is_made_before_the_window_is_shown(tmp_path: Path) -> None:
    code = LOOK_AT_START.format(library=str(tmp_path / "x.sqlite"))
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[1] False False False"


def test_the_widgets_package_loads_no_plot_before_it_is_asked_for() -> None:
    code = "import sys, knowngood.widgets; print('pyqtgraph' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
