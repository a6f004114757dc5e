"""The page in a window with a session in hand, and what a person reads on it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QLabel

from knowngood_checkup.panels.page import CheckupPage
from knowngood_refdata.queries import sessions

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from knowngood.host import WindowHost


def shown(qtbot: QtBot, host: WindowHost, session_id: int) -> CheckupPage:
    page = CheckupPage(host)
    qtbot.addWidget(page)
    page.resize(1080, 740)
    page.show()
    host.bench.take_session(sessions.info(host.store, session_id))
    qtbot.waitUntil(lambda: page.check is not None, timeout=20_000)
    return page


def texts(page: CheckupPage) -> str:
    return "\n".join(label.text() for label in page.findChildren(QLabel) if label.isVisibleTo(page))
