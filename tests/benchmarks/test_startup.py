"""From the command to a usable window, against a bare window that imports the same two big libraries.

The rival is a PySide6 window in a process of its own that imports SQLAlchemy and pyqtgraph and does nothing
else. Both print the moment at which their window has been painted.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from typing import TYPE_CHECKING

from knowngood_demo.shop import ensure_library

if TYPE_CHECKING:
    from pathlib import Path

    from pytest_benchmark.fixture import BenchmarkFixture

ROUNDS = 7
MOST = 1.5

BARE = """
import sys, time
import sqlalchemy.orm, pyqtgraph
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QMainWindow
app = QApplication([])
window = QMainWindow()
window.resize(1280, 800)
window.show()
QTimer.singleShot(0, lambda: (print(time.time()), app.quit()))
app.exec()
"""
OURS = """
import sys, time
from PySide6.QtCore import QTimer
from knowngood import app
from knowngood.window import MainWindow
show = MainWindow.show
def shown(window):
    show(window)
    QTimer.singleShot(0, lambda: print(time.time()))
MainWindow.show = shown
app.main(["--library", sys.argv[1], "--quit-after-start"])
"""


def seconds(code: str, *arguments: str, data: Path) -> float:
    environment = {**os.environ, "QT_QPA_PLATFORM": "offscreen", "KNOWNGOOD_DATA": str(data)}
    # Installed programs start from bytecode, whatever the shell of the one who measures says.
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    environment["PYTHONPYCACHEPREFIX"] = str(data / "bytecode")
    begun = time.time()
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments], env=environment, capture_output=True, text=True, check=True
    )
    return float(done.stdout) - begun


def test_the_first_usable_window_comes_nearly_as_fast_as_a_bare_one(
    tmp_path: Path, benchmark: BenchmarkFixture
) -> None:
    library = str(ensure_library(tmp_path / "shop.sqlite"))
    data = tmp_path / "data"
    seconds(BARE, data=data), seconds(OURS, library, data=data)
    bare, ours = [], []
    for _ in range(ROUNDS):
        # Taken in turn, so that a busy machine slows both.
        bare.append(seconds(BARE, data=data))
        ours.append(seconds(OURS, library, data=data))
    benchmark.pedantic(seconds, (OURS, library), {"data": data}, rounds=1)  # type: ignore[no-untyped-call]
    ratio = statistics.median(ours) / statistics.median(bare)
    benchmark.extra_info.update(bare_s=statistics.median(bare), ours_s=statistics.median(ours), ratio=ratio)
    print(f"\nbare {statistics.median(bare):.3f} s, ours {statistics.median(ours):.3f} s, ratio {ratio:.2f}")
    assert ratio < MOST
