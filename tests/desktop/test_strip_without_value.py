"""A strip whose reading or uncertainty is missing still shows what is known."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import pytest
from PySide6.QtGui import QColor

from knowngood.widgets import RangeStrip, StripRow, theme

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot


def painted(value: float, half_width_95: float, qtbot: QtBot) -> set[str]:
    """The colours found along the middle line of a strip."""
    row = StripRow("vent", "", value, half_width_95, (4.0, 6.0), (3.0, 7.0), (), "above")
    strip = RangeStrip(row)
    qtbot.addWidget(strip)
    strip.resize(300, 24)
    image = strip.grab().toImage()
    line = image.height() // 2
    return {QColor(image.pixel(x, line)).name() for x in range(image.width())}


def test_without_a_reading_the_range_stands_alone(qtbot: QtBot) -> None:
    colours = painted(math.nan, 0.5, qtbot)
    assert theme.RUST not in colours
    assert {theme.BAND_OUTER, theme.BAND_INNER} <= colours


def test_without_an_uncertainty_the_marker_stands_alone(qtbot: QtBot) -> None:
    assert theme.RUST in painted(9.0, math.nan, qtbot)


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_a_missing_reading_does_not_spoil_the_scale(value: float) -> None:
    row = StripRow("vent", "", value, 0.5, (4.0, 6.0), (3.0, 7.0), (3.5,), "not comparable")
    low, high = row.scale()
    assert low < 3.0 < 7.0 < high < 20.0
