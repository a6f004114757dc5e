"""Cursor and measuring lines: by key, by mouse, in numbers and in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from knowngood.widgets import Curve, PlotPanel, theme

if TYPE_CHECKING:
    from knowngood.widgets import CursorReading, Measurement

    from .conftest import Seen

Key, Held = Qt.Key, Qt.KeyboardModifier


def test_the_cursor_tells_every_curve_and_the_marks_at_it(three: Seen) -> None:
    told: list[CursorReading] = []
    three.plot.cursor_moved.connect(told.append)
    three.plot.set_windows([(100.0, 200.0, "idle")])
    three.plot.set_cursor(150.0)
    assert [one.value for one in told[-1].curves] == pytest.approx(
        [np.sin(150.0 / 9.0) + place for place in range(3)]
    )
    assert told[-1].marks == ("idle",)
    three.plot.set_cursor(None)
    assert told[-1] is None
    assert three.plot.reading() is None


def test_arrows_go_from_sample_to_sample_and_ends_to_the_ends(three: Seen) -> None:
    three.plot.set_cursor(300.0)
    three.key(Key.Key_Right)
    assert three.plot.cursor_s == 301.0
    three.key(Key.Key_Left, Held.ShiftModifier)
    assert three.plot.cursor_s == 291.0
    three.key(Key.Key_Home)
    assert three.plot.cursor_s == 0.0
    three.key(Key.Key_Left)
    assert three.plot.cursor_s == 0.0
    three.key(Key.Key_End)
    assert three.plot.cursor_s == 600.0


def test_control_and_an_arrow_go_from_mark_to_mark(three: Seen) -> None:
    three.plot.set_windows([(100.0, 200.0, "idle")])
    three.plot.set_events([(250.0, "fan stage 2")])
    three.plot.set_cursor(90.0)
    for expected in (100.0, 200.0, 250.0, 250.0):
        three.key(Key.Key_Right, Held.ControlModifier)
        assert three.plot.cursor_s == expected
    three.key(Key.Key_Left, Held.ControlModifier)
    assert three.plot.cursor_s == 200.0


def test_a_cursor_that_leaves_the_view_takes_it_along(three: Seen) -> None:
    three.plot.show_range(100.0, 200.0)
    three.plot.set_cursor(200.0)
    three.key(Key.Key_Right)
    shown = three.plot.time_range()
    assert shown is not None
    assert shown[0] > 100.0
    assert shown[1] > 201.0
    assert shown[1] - shown[0] == pytest.approx(100.0)


def test_plus_and_minus_zoom_around_the_cursor(three: Seen) -> None:
    three.plot.set_cursor(150.0)
    three.key(Key.Key_Plus)
    assert three.plot.time_range() == pytest.approx((75.0, 375.0))
    three.key(Key.Key_Minus)
    assert three.plot.time_range() == pytest.approx((0.0, 600.0))
    three.key(Key.Key_Plus)
    three.key(Key.Key_0)
    assert three.plot.time_range() == (0.0, 600.0)


def test_pages_pan_and_alt_arrows_pan_a_little(three: Seen) -> None:
    three.plot.show_range(200.0, 300.0)
    three.key(Key.Key_PageDown)
    assert three.plot.time_range() == pytest.approx((280.0, 380.0))
    three.key(Key.Key_PageUp)
    three.key(Key.Key_Right, Held.AltModifier)
    assert three.plot.time_range() == pytest.approx((210.0, 310.0))
    assert three.plot.cursor_s is None


def test_a_and_b_are_measuring_lines_that_arrows_move(three: Seen) -> None:
    told: list[Measurement | None] = []
    three.plot.measured.connect(told.append)
    three.key(Key.Key_A)
    assert (told[-1].a_s, told[-1].b_s) == (200.0, 400.0)  # type: ignore[union-attr]
    three.key(Key.Key_Right)
    three.key(Key.Key_B)
    three.key(Key.Key_Left)
    found = three.plot.measurement()
    assert found is not None
    assert (found.a_s, found.b_s) == (201.0, 399.0)
    expected = np.sin(399.0 / 9.0) - np.sin(201.0 / 9.0)
    assert [one.difference for one in found.curves] == pytest.approx([expected] * 3)
    assert found.curves[0].per_minute == pytest.approx(expected * 60.0 / 198.0)
    three.key(Key.Key_Escape)
    assert told[-1] is None


def test_escape_leaves_one_thing_after_the_other(three: Seen) -> None:
    three.plot.set_cursor(100.0)
    three.plot.set_measuring(True)
    three.key(Key.Key_Escape)
    assert three.plot.measurement() is None
    assert three.plot.cursor_s == 100.0
    three.key(Key.Key_Escape)
    assert three.plot.cursor_s is None


def test_the_cursor_follows_the_mouse_until_a_click_holds_it(three: Seen) -> None:
    QTest.mouseMove(three.plot, three.point(120.0))
    assert three.plot.cursor_s == pytest.approx(120.0, abs=1.0)
    three.click(three.point(200.0))
    QTest.mouseMove(three.plot, three.point(400.0))
    assert three.plot.cursor_s == pytest.approx(200.0, abs=1.0)
    three.click(three.point(300.0))
    QTest.mouseMove(three.plot, three.point(450.0))
    assert three.plot.cursor_s == pytest.approx(450.0, abs=1.0)


def test_a_measuring_line_can_be_dragged(three: Seen) -> None:
    three.plot.set_measuring_lines(100.0, 400.0)
    three.drag(400.0, 300.0)
    found = three.plot.measurement()
    assert found is not None
    assert (found.a_s, found.b_s) == pytest.approx((100.0, 300.0), abs=1.0)


def test_a_screen_reader_is_told_what_there_is_and_what_the_lines_read(three: Seen) -> None:
    three.plot.set_windows([(100.0, 200.0, "idle")])
    assert three.plot.accessibleName() == "Recorded channels over time"
    assert three.plot.accessibleDescription() == (
        "From 0:00 to 10:00; plot 0: curve 0; plot 1: curve 1; plot 2: curve 2; 1 window"
    )
    three.plot.set_cursor(150.0)
    assert three.plot.accessibleDescription().startswith(
        "At 2:30; curve 0 −0.8; curve 1 0.2; curve 2 1.2; idle"
    )
    three.plot.set_measuring_lines(0.0, 90.0)
    assert three.plot.accessibleDescription() == (
        "A at 0:00, B at 1:30; from A to B 1:30; curve 0 −0.5; curve 1 −0.5; curve 2 −0.5"
    )


def test_lines_read_the_new_channels_when_channels_change(three: Seen) -> None:
    three.plot.set_cursor(100.0)
    time_s = np.arange(0.0, 601.0)
    three.plot.set_panels(time_s, [PlotPanel("rpm", (Curve("engine speed", 7.0 * time_s, theme.INK),))])
    reading = three.plot.reading()
    assert reading is not None
    assert [(one.name, one.value) for one in reading.curves] == [("engine speed", 700.0)]
