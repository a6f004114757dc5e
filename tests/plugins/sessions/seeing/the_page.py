"""The page with a session on it, and what a technician reads in its list of findings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from knowngood_refdata.queries import sessions

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from knowngood_sessions.panels.plotter import PlotterPage

    from ..conftest import QuietHost


def take(page: PlotterPage, host: QuietHost, number: int, qtbot: QtBot) -> None:
    """Take a session in hand, and wait until the page shows it."""
    host.bench.take_session(sessions.info(host.store, number))
    settle(page, host, qtbot)


def settle(page: PlotterPage, host: QuietHost, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: page.view.session is not None and not host.tasks.running, timeout=10_000)


def shown_number(page: PlotterPage) -> int:
    assert page.view.session is not None
    return page.view.session.info.id


def texts(page: PlotterPage) -> list[str]:
    listed = page.view.findings.list
    return [listed.item(row).text() for row in range(listed.count())]


def has(page: PlotterPage, words: str) -> bool:
    return any(words in one for one in texts(page))


def press(page: PlotterPage, key: Qt.Key, held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    page.activateWindow()
    page.view.plot.setFocus()
    QTest.keyClick(page.view.plot.focusWidget() or page.view.plot, key, held)
