"""A page shrinks as far as it can and is scrolled only beyond that."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import QSize
from PySide6.QtWidgets import QApplication, QLabel, QSizePolicy, QVBoxLayout, QWidget

from knowngood.widgets.page_frame import PageFrame

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

TEXT = "A sentence that is broken into several lines when there is little room. " * 3


class Plot(QWidget):
    """Would like to be large and can be small."""

    def sizeHint(self) -> QSize:  # noqa: N802
        return QSize(400, 500)

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        return QSize(200, 100)


@pytest.fixture
def page() -> QWidget:
    made = QWidget()
    layout = QVBoxLayout(made)
    words = QLabel(TEXT)
    words.setWordWrap(True)
    plot = Plot()
    plot.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
    layout.addWidget(words)
    layout.addWidget(plot)
    return made


def framed(page: QWidget, size: QSize, qtbot: QtBot) -> PageFrame:
    frame = PageFrame(page)
    qtbot.addWidget(frame)
    frame.resize(size)
    frame.show()
    QApplication.processEvents()
    return frame


def test_a_page_fills_the_room_there_is(page: QWidget, qtbot: QtBot) -> None:
    frame = framed(page, QSize(900, 700), qtbot)
    assert page.size() == frame.viewport().size()


def test_a_page_that_can_shrink_is_not_scrolled(page: QWidget, qtbot: QtBot) -> None:
    frame = framed(page, QSize(700, 300), qtbot)
    assert page.height() == frame.viewport().height()
    assert not frame.verticalScrollBar().isVisible()


def test_a_page_with_too_little_room_keeps_its_least_size_and_is_scrolled(
    page: QWidget, qtbot: QtBot
) -> None:
    frame = framed(page, QSize(260, 90), qtbot)
    assert frame.verticalScrollBar().maximum() > 0
    assert page.height() >= 100
    assert page.width() >= 200


def test_a_page_that_grows_is_fitted_anew(page: QWidget, qtbot: QtBot) -> None:
    frame = framed(page, QSize(600, 260), qtbot)
    assert frame.verticalScrollBar().maximum() == 0
    more = QLabel("more")
    more.setMinimumHeight(400)
    layout = page.layout()
    assert layout is not None
    layout.addWidget(more)
    qtbot.waitUntil(lambda: frame.verticalScrollBar().maximum() > 0)
