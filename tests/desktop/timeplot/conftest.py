"""A plot on a small window, and what is painted where."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from knowngood.widgets import Curve, PlotPanel, TimePlot, theme

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray
    from PySide6.QtGui import QImage
    from pytestqt.qtbot import QtBot

    from knowngood.plotting.layout import Box

TIME_S = np.arange(0.0, 601.0)


@dataclass(frozen=True, eq=False)
class Seen:
    """What stands on the screen."""

    plot: TimePlot

    def image(self) -> QImage:
        return self.plot.grab().toImage()

    def x(self, at_s: float) -> float:
        return self.plot._current().across.x(at_s)

    def boxes(self) -> tuple[Box, ...]:
        return self.plot._current().layout.panels

    def has(self, colour: str, left: float, right: float, box: Box) -> bool:
        """Whether the pure colour is painted between two places of a panel."""
        image, wanted = self.image(), QColor(colour)
        return any(
            image.pixelColor(x, y) == wanted
            for x in range(int(left), int(right) + 1)
            for y in range(int(box.top), int(box.bottom))
        )

    def colour(self, at_s: float, y: float) -> QColor:
        return self.image().pixelColor(round(self.x(at_s)), round(y))

    def key(self, key: Qt.Key, *held: Qt.KeyboardModifier) -> None:
        modifiers = Qt.KeyboardModifier.NoModifier
        for one in held:
            modifiers |= one
        QTest.keyClick(self.plot, key, modifiers)

    def point(self, at_s: float, y: float | None = None) -> QPoint:
        box = self.boxes()[0]
        return QPoint(round(self.x(at_s)), round((box.top + box.bottom) / 2 if y is None else y))

    def drag(
        self,
        from_s: float,
        to_s: float,
        button: Qt.MouseButton = Qt.MouseButton.LeftButton,
        held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier,
    ) -> None:
        begin, end = self.point(from_s), self.point(to_s)
        QTest.mousePress(self.plot, button, held, begin)
        # A test's mouse moves with no button of its own, which is all the plot looks at.
        QTest.mouseMove(self.plot, QPoint((begin.x() + end.x()) // 2, end.y()))
        QTest.mouseMove(self.plot, end)
        QTest.mouseRelease(self.plot, button, held, end)

    def click(self, place: QPoint) -> None:
        QTest.mouseClick(self.plot, Qt.MouseButton.LeftButton, pos=place)

    def turn_wheel(self, at_s: float, notches: int, held: Qt.KeyboardModifier) -> None:
        place = QPointF(self.point(at_s))
        event = QWheelEvent(
            place,
            place,
            QPoint(),
            QPoint(0, 120 * notches),
            Qt.MouseButton.NoButton,
            held,
            Qt.ScrollPhase.NoScrollPhase,
            False,
        )
        QApplication.sendEvent(self.plot, event)


@pytest.fixture
def make(qtbot: QtBot) -> Callable[..., Seen]:
    """Show panels, each with one curve of its values, on 600 seconds unless told otherwise."""

    def made(
        *values: NDArray[np.float64],
        time_s: NDArray[np.float64] = TIME_S,
        size: tuple[int, int] = (700, 420),
        colour: str = theme.HIGH_SIDE,
    ) -> Seen:
        plot = TimePlot()
        qtbot.addWidget(plot)
        plot.resize(*size)
        panels = [
            PlotPanel(f"plot {place}", (Curve(f"curve {place}", row, colour),))
            for place, row in enumerate(values)
        ]
        plot.set_panels(time_s, panels)
        plot.show()
        return Seen(plot)

    return made


@pytest.fixture
def three(make: Callable[..., Seen]) -> Seen:
    """Three panels of ten minutes at one sample a second."""
    return make(*(np.sin(TIME_S / 9.0) + place for place in range(3)))
