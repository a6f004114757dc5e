"""The demo without a display: one path through the program, from a recorded log to the report.

The window is the real one, drawn offscreen: a vehicle is picked, a log imported by the plugin that reads
it, every page shown in both unit systems, the report written, and the library closed and opened again.
What goes wrong on the way is collected and told at the end, so that one fault does not hide the next.
"""

from __future__ import annotations

import shutil
import sys
import time
import traceback
from contextlib import contextmanager
from typing import TYPE_CHECKING

from PySide6.QtCore import QEventLoop, Qt, QtMsgType, qInstallMessageHandler
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit

from knowngood import paths
from knowngood.api import LogRequest
from knowngood.app import build_window, take_in_hand
from knowngood.pages.failed_page import FailedPage
from knowngood.scales import System
from knowngood.settings import SettingsFile
from knowngood.widgets import theme
from knowngood_checkup.gather import check_session
from knowngood_checkup.words import as_text
from knowngood_demo.cars import SKERRY
from knowngood_demo.instruments import DIGITAL
from knowngood_demo.logs import conditions_of
from knowngood_demo.sessions import SUMMER_DAY
from knowngood_demo.shop import TECHNICIANS
from knowngood_demo.stage import set_stage
from knowngood_refdata.queries import sessions, vehicles
from knowngood_refdata.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path
    from types import TracebackType

    from PySide6.QtCore import QMessageLogContext

    from knowngood.window import MainWindow

PATIENCE_S = 60.0
SMALLEST_PICTURE = 5_000
"""Bytes; a window in which nothing was drawn packs to less."""


def walk(output: Path) -> int:
    """Walk through the program and write what was seen into ``output``; return the exit code.

    Parameters
    ----------
    output
        The folder for the demo library, screenshots and reports; it is made when missing.

    Returns
    -------
    int
        0 when everything was shown and written, 1 otherwise; the reasons are printed.
    """
    stage = set_stage(output)
    library = output / "walk.sqlite"
    _fresh_library(stage.as_made, library)
    app = QApplication.instance() or QApplication(["knowngood"])
    assert isinstance(app, QApplication)
    theme.apply(app)
    with _collecting() as wrong:
        session_id = _from_log_to_answer(library, stage.logs.skerry_as_found, output, wrong)
        _still_there(library, session_id, wrong)
    if wrong:
        print("\nThe walk failed:", *dict.fromkeys(wrong), sep="\n- ", file=sys.stderr)
        return 1
    print(f"\nScreenshots and reports lie in {output}")
    return 0


def _from_log_to_answer(library: Path, log: Path, output: Path, wrong: list[str]) -> int:
    """Open the window, import the log, show every page, write the reports; return the session's id."""
    store = Store.open(library, user=TECHNICIANS[0], create=False)
    try:
        window = build_window(store, SettingsFile(paths.settings_file()), paths.plugins_folder(), System.US)
        try:
            return _in_window(window, log, output, wrong)
        finally:
            window.close()
            if window.host is not None:
                window.host.plugins.close()
            window.deleteLater()
            QApplication.processEvents()
    finally:
        store.close()


def _in_window(window: MainWindow, log: Path, output: Path, wrong: list[str]) -> int:
    host = window.host
    assert host is not None
    window.resize(1280, 800)
    window.show()
    words = f"{SKERRY.years[0]} {SKERRY.name}"
    (vehicle,) = vehicles.search(host.store, words)
    _pick_vehicle(window, words)
    if host.bench.vehicle != vehicle:
        wrong.append(f"typing '{words}' and Enter on the specs page did not take the vehicle in hand")
    request = LogRequest(
        path=log,
        vehicle_id=vehicle.id,
        refrigerant=SKERRY.design.refrigerant,
        conditions=conditions_of(SUMMER_DAY),
        instruments=DIGITAL,
        mapping={},
        technician=host.user(),
    )
    session_id = host.plugins.import_log(host.store, request)
    take_in_hand(host, None, session_id)
    print(as_text(check_session(host.store, session_id), host.units.system))
    for system in System:
        host.units.set_system(system)
        _photograph_pages(window, output, system, wrong)
        _write_reports(window, session_id, output, system, wrong)
    wrong += [f"plugin {one.name}: {failure}" for one in host.plugins.status() for failure in one.failures]
    return session_id


def _pick_vehicle(window: MainWindow, words: str) -> None:
    """Search on the specs page and take the vehicle found in hand, by keyboard as a user would."""
    _show(window, "specs")
    _, page = window.page_in_front()
    search = page.findChild(QLineEdit) if page is not None else None
    if search is None:
        return
    search.setFocus()
    QTest.keyClicks(search, words)
    QTest.qWait(400)  # the page searches a moment after the last key
    QTest.keyClick(search, Qt.Key.Key_Return)
    QTest.keyClick(QApplication.focusWidget() or search, Qt.Key.Key_Return)


def _photograph_pages(window: MainWindow, output: Path, system: System, wrong: list[str]) -> None:
    for key in window.page_keys:
        _show(window, key)
        _, page = window.page_in_front()
        if isinstance(page, FailedPage):
            wrong.append(f"the page '{key}' could not be made")
        picture = output / f"{key}_{system.value.lower()}.png"
        window.grab().save(str(picture))
        _expect(picture, b"\x89PNG", wrong)


def _write_reports(
    window: MainWindow, session_id: int, output: Path, system: System, wrong: list[str]
) -> None:
    host = window.host
    assert host is not None
    pdf, page = (output / f"report_{system.value.lower()}.{ending}" for ending in ("pdf", "html"))
    host.print_report(session_id, pdf)
    page.write_text(host.report_html(session_id), encoding="utf-8")
    _expect(pdf, b"%PDF", wrong)
    _expect(page, b"<!", wrong)


def _still_there(library: Path, session_id: int, wrong: list[str]) -> None:
    """Open the library again and look for the session, its samples and its findings."""
    store = Store.open(library, create=False)
    try:
        info = sessions.info(store, session_id)
        if not sessions.recording(store, session_id).channels:
            wrong.append(f"session '{info.title}' lost its samples")
        if not sessions.findings(store, session_id).windows:
            wrong.append(f"session '{info.title}' lost its steady windows")
    finally:
        store.close()


def _show(window: MainWindow, key: str) -> None:
    """Bring a page to the front and wait until its work is done and drawn."""
    host = window.host
    assert host is not None
    window.show_page(key)
    patience_until = time.monotonic() + PATIENCE_S
    quiet = 0
    while quiet < 3:
        QApplication.processEvents(QEventLoop.ProcessEventsFlag.AllEvents, 50)
        quiet = 0 if host.tasks.running else quiet + 1
        time.sleep(0.01)
        if time.monotonic() > patience_until:
            raise TimeoutError(f"the page '{key}' was still working after {PATIENCE_S:.0f} s")


def _expect(path: Path, beginning: bytes, wrong: list[str]) -> None:
    held = path.read_bytes() if path.exists() else b""
    if not held.startswith(beginning) or len(held) < SMALLEST_PICTURE:
        wrong.append(f"{path.name} is missing or empty")


def _fresh_library(as_made: Path, target: Path) -> None:
    """Lay a fresh copy of the library at ``target``, so that every walk begins the same."""
    for ending in ("", "-wal", "-shm"):
        target.with_name(target.name + ending).unlink(missing_ok=True)
    shutil.copy(as_made, target)


@contextmanager
def _collecting() -> Iterator[list[str]]:
    """Collect unhandled exceptions, of the walk itself and of slots, and what Qt complains of."""
    wrong: list[str] = []

    def note(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        wrong.append("".join(traceback.format_exception(kind, error, trace)).rstrip())

    def listen(kind: QtMsgType, _place: QMessageLogContext, text: str) -> None:
        # Qt's platform without a screen warns so at every window of a fixed size.
        if kind is not QtMsgType.QtDebugMsg and "does not support" not in text:
            wrong.append(f"Qt says: {text}")

    former = sys.excepthook
    sys.excepthook = note
    qInstallMessageHandler(listen)
    try:
        yield wrong
    except Exception as error:  # noqa: BLE001 - told at the end with everything else
        note(type(error), error, error.__traceback__)
    finally:
        qInstallMessageHandler(None)
        sys.excepthook = former
