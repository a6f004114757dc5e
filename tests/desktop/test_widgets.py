"""The shared widgets: what they tell, whatever they are painted like."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QLabel

from knowngood.scales import System
from knowngood.units import Units
from knowngood.widgets import (
    PlaneEllipse,
    PlaneView,
    QuantityEdit,
    RangeStrip,
    RangeStripList,
    ResponsePlane,
    StripRow,
    theme,
)
from knowngood.widgets.elided import ElidedLabel
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

finite = st.floats(-1e4, 1e4)
HIGH = StripRow(
    "high side", "9.8 bar g", 9.8, 0.5, (11.5, 13.5), (10.5, 14.5), (11.0, 12.0, 13.0), "below", detail="why"
)


@given(finite, st.floats(0, 100), finite, st.floats(0, 1e3), st.lists(finite, max_size=5))
def test_a_strip_shows_reading_whisker_range_and_ticks_in_full(
    value: float, half: float, low: float, width: float, ticks: list[float]
) -> None:
    row = StripRow("x", "", value, half, None, (low, low + width), tuple(ticks), "inside")
    left, right = row.scale()
    shown = [value - half, value + half, low, low + width, *ticks]
    assert left < min(shown)
    assert max(shown) < right


def test_a_strip_without_any_width_still_has_a_scale() -> None:
    left, right = StripRow("x", "", 3.0, 0.0, None, None, (), "inside").scale()
    assert left < 3.0 < right


def painted(strip: RangeStrip) -> QImage:
    strip.resize(300, 24)
    return strip.grab().toImage()


def has(image: QImage, colour: str, left: int, right: int) -> bool:
    wanted = QColor(colour)
    return any(image.pixelColor(x, y) == wanted for x in range(left, right) for y in range(image.height()))


def test_a_finding_is_painted_in_rust_where_the_reading_lies(qtbot: QtBot) -> None:
    strip = RangeStrip(HIGH)
    qtbot.addWidget(strip)
    image = painted(strip)
    at = round(strip.place(9.8))
    assert has(image, theme.RUST, at - 4, at + 4)
    assert has(image, theme.BAND_INNER, round(strip.place(12.2)), round(strip.place(12.8)))


def test_below_points_down_and_above_points_up(qtbot: QtBot) -> None:
    rows = {word: RangeStrip(StripRow("x", "", 5, 0, None, (4, 6), (), word)) for word in ("below", "above")}
    widths = {}
    for word, strip in rows.items():
        qtbot.addWidget(strip)
        image, at = painted(strip), round(strip.place(5))
        widths[word] = [
            sum(image.pixelColor(x, y) == QColor(theme.RUST) for x in range(at - 8, at + 9)) for y in (9, 15)
        ]
    assert widths["below"][0] > widths["below"][1]
    assert widths["above"][0] < widths["above"][1]


def test_a_strip_tells_its_outcome_without_a_picture(qtbot: QtBot) -> None:
    strip = RangeStrip(HIGH)
    qtbot.addWidget(strip)
    assert strip.accessibleName() == "high side: 9.8 bar g, below"
    assert strip.accessibleDescription() == "why"


def test_a_list_of_strips_writes_the_reason_under_its_strip(qtbot: QtBot) -> None:
    strips = RangeStripList()
    qtbot.addWidget(strips)
    strips.set_rows([HIGH, StripRow("vent", "9 °C", 9, 1, None, None, (), "not comparable", "too few")])
    shown = [one.text() for one in strips.findChildren(QLabel) if not one.isHidden()]
    assert shown == ["High side", "9.8 bar g", "below", "Vent", "9 °C", "not comparable", "too few"]
    strips.set_rows([HIGH])
    assert len(strips.rows) == 1
    assert "too few" not in [one.text() for one in strips.findChildren(QLabel) if not one.isHidden()]


def test_the_outline_of_an_ellipse_lies_on_it() -> None:
    ellipse = PlaneEllipse(1.0, -2.0, 5.0, 2.0, 0.7)
    for low, high in ellipse.outline(36):
        x, y = low - 1.0, high + 2.0
        along = x * math.cos(0.7) + y * math.sin(0.7)
        across = -x * math.sin(0.7) + y * math.cos(0.7)
        assert (along / 5) ** 2 + (across / 2) ** 2 == pytest.approx(1.0)


def test_the_plane_paints_cloud_and_arrow_and_says_them_in_words(qtbot: QtBot) -> None:
    plane = ResponsePlane()
    qtbot.addWidget(plane)
    plane.resize(400, 320)
    cloud = ((4.0, -8.0), (5.0, -9.0))
    plane.set_view(PlaneView((-6.0, 5.0), (0.5, 1.0), cloud, None, None, "psi", cloud_word="known-good"))
    image = plane.grab().toImage()
    assert has(image, theme.ACCENT, 200, 400)
    assert has(image, theme.RUST, 24, 200)
    assert plane.accessibleName() == (
        "response plane: low side -6.0 psi, high side +5.0 psi, against 2 known-good cars"
    )


def test_an_empty_plane_can_be_painted(qtbot: QtBot) -> None:
    plane = ResponsePlane()
    qtbot.addWidget(plane)
    plane.set_view(None)
    assert not plane.grab().isNull()


def test_a_field_reads_any_unit_of_its_kind(qtbot: QtBot) -> None:
    field = QuantityEdit(Kind.TEMPERATURE, Units(System.SI))
    qtbot.addWidget(field)
    for text in ("25", "25 C", "77F", "298.15 K"):
        field.setText(text)
        assert field.si() == pytest.approx(298.15)


def test_a_field_says_why_a_text_is_no_value(qtbot: QtBot) -> None:
    field = QuantityEdit(Kind.PRESSURE, Units(System.US))
    qtbot.addWidget(field)
    field.setText("30 °C")
    assert field.si() is None
    assert field.problem
    assert field.toolTip() == field.problem
    field.setText("30")
    assert field.problem == ""


def test_a_value_keeps_its_digits_through_a_change_of_units(qtbot: QtBot) -> None:
    units = Units(System.SI)
    field = QuantityEdit(Kind.PRESSURE, units)
    qtbot.addWidget(field)
    field.setText("2.137 bar")
    before = field.si()
    units.set_system(System.US)
    assert "psig" in field.text()
    units.set_system(System.SI)
    assert field.si() == before


def test_a_gauge_pressure_counts_from_the_local_air_pressure(qtbot: QtBot) -> None:
    field = QuantityEdit(Kind.PRESSURE, Units(System.SI))
    qtbot.addWidget(field)
    field.setText("2 bar")
    field.set_barometer(80_000.0)
    assert field.si() == pytest.approx(280_000.0)
    field.set_absolute(True)
    assert field.si() == pytest.approx(200_000.0)


def test_another_air_pressure_costs_a_converted_value_no_digits(qtbot: QtBot) -> None:
    units = Units(System.SI)
    field = QuantityEdit(Kind.PRESSURE, units)
    qtbot.addWidget(field)
    field.setText("2.137 bar")
    units.set_system(System.US)
    field.set_barometer(95_000.0)
    assert field.si() == pytest.approx(213_700.0 + 95_000.0, abs=1e-6)


def test_a_long_text_is_shortened_and_stands_in_full_in_the_tooltip(qtbot: QtBot) -> None:
    label = ElidedLabel()
    qtbot.addWidget(label)
    label.resize(80, 20)
    label.set_full_text("a very long name of a very special vehicle")
    assert label.text().endswith("…")
    assert label.toolTip() == "a very long name of a very special vehicle"
