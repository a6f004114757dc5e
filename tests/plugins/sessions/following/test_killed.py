"""The program is killed while it follows a log: the library stays whole and no row is lost."""

from __future__ import annotations

import os
import shutil
import signal
import sqlite3
import subprocess
import sys
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from knowngood_refdata.queries import sessions
from knowngood_sessions.core.following import tail
from knowngood_sessions.panels.mapping_dialog import MappingDialog
from knowngood_sessions.panels.plotter import PlotterPage

if TYPE_CHECKING:
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from .conftest import ShopHost

# Follows the log at argv[2] in the library of the folder argv[1]; tells when it has shown so many samples.
SHOWN = 230
PROGRAM = """
import sys
from pathlib import Path
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from tests.plugins.sessions.following.conftest import ShopHost
from knowngood_sessions.panels.plotter import PlotterPage

app = QApplication([])
host = ShopHost(Path(sys.argv[1]))
host.bench.take_vehicle(host.add_vehicle())
page = PlotterPage(host)
page.show()
following = page.following
for shown in (following.began, following.grew):
    shown.connect(lambda session: print(session.info.sample_count, flush=True))
following.start(Path(sys.argv[2]))

def answer():
    if following.dialog is not None:
        following.dialog.import_button.click()

timer = QTimer()
timer.timeout.connect(answer)
timer.start(50)
app.exec()
"""


@dataclass(frozen=True)
class Killed:
    """What a run of the program left that was killed: its folder with the log in it, and the log's bytes."""

    folder: Path
    log: bytes


@pytest.fixture(scope="module")
def killed(two_plateau_csv: bytes, tmp_path_factory: pytest.TempPathFactory) -> Killed:
    folder = tmp_path_factory.mktemp("shop")
    log, written, shown = folder / "bay 3.csv", 8_000, 0
    log.write_bytes(two_plateau_csv[:written])
    command = [sys.executable, "-c", PROGRAM, str(folder), str(log)]
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path), "QT_QPA_PLATFORM": "offscreen"}
    with subprocess.Popen(command, stdout=subprocess.PIPE, env=environment, text=True) as program:
        assert program.stdout is not None
        while shown < SHOWN:
            line = program.stdout.readline()
            assert line, "the program ended by itself"
            shown = int(line)
            with log.open("ab") as file:
                file.write(two_plateau_csv[written : written + 500])
            written += 500
        program.send_signal(signal.SIGKILL)
    return Killed(folder, log.read_bytes())


def test_the_library_of_a_program_that_was_killed_is_whole(killed: Killed, tmp_path: Path) -> None:
    shutil.copytree(killed.folder, tmp_path / "shop")
    library = sqlite3.connect(tmp_path / "shop" / "library.sqlite")
    assert library.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    library.close()


@pytest.mark.parametrize("exchanged", [False, True])
def test_every_row_that_was_read_before_a_kill_is_stored_on_request(
    killed: Killed,
    tmp_path: Path,
    qtbot: QtBot,
    host: ShopHost,
    monkeypatch: pytest.MonkeyPatch,
    exchanged: bool,
) -> None:
    host.close()
    folder, log = tmp_path / "shop", killed.folder / "bay 3.csv"
    shutil.copytree(killed.folder, folder)
    log.write_bytes(killed.log)
    if exchanged:
        # The logger begins a new log under the old name before the program is started again.
        log.write_bytes(killed.log[:2_000])
        monkeypatch.setattr(tail, "GRACE_S", 0.1)
    again = type(host)(folder)
    page = PlotterPage(again)
    qtbot.addWidget(page)
    page.show()
    assert sessions.list_sessions(again.store) == ()
    bar = page.following.bar
    assert "bay 3.csv was being followed when the program ended" in bar._title.text()
    QTest.mouseClick(bar.resume_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: page.following.dialog is not None, timeout=10_000)
    dialog = page.following.dialog
    assert isinstance(dialog, MappingDialog)
    QTest.mouseClick(dialog.import_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: page.following.session is not None, timeout=10_000)
    if exchanged:
        qtbot.waitUntil(lambda: "has become shorter" in bar._state.text(), timeout=10_000)
    page.following.finish()
    qtbot.waitUntil(lambda: again.bench.session is not None, timeout=20_000)
    stored = again.bench.session
    assert stored is not None
    source = sessions.source(again.store, stored.id)
    assert killed.log.startswith(source) if exchanged else source == killed.log
    assert sessions.recording(again.store, stored.id).time_s.size >= SHOWN
    assert not list(folder.glob("followed-*.part"))
    qtbot.waitUntil(lambda: page.view.session is not None and not again.tasks.running, timeout=10_000)
    again.close()
