"""What drags, wheel and clicks do."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QScrollArea

from knowngood.widgets import Annotation

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from .conftest import Seen

Button, Held = Qt.MouseButton, Qt.KeyboardModifier


def test_a_drag_takes_the_time_under_the_mouse_along(three: Seen) -> None:
    three.plot.show_range(200.0, 300.0)
    three.drag(250.0, 230.0)
    assert three.plot.time_range() == pytest.approx((220.0, 320.0), abs=0.5)


@pytest.mark.parametrize(
    ("button", "held"), [(Button.RightButton, Held.NoModifier), (Button.LeftButton, Held.ControlModifier)]
)
def test_a_drag_with_the_right_button_or_control_zooms_to_the_stretch(
    three: Seen, button: Qt.MouseButton, held: Qt.KeyboardModifier
) -> None:
    three.drag(400.0, 200.0, button, held)
    assert three.plot.time_range() == pytest.approx((200.0, 400.0), abs=1.5)


def test_the_wheel_zooms_around_the_mouse_and_with_shift_pans(three: Seen) -> None:
    three.plot.setFocus()
    three.turn_wheel(150.0, 1, Held.NoModifier)
    assert three.plot.time_range() == pytest.approx((30.0, 510.0), abs=1.0)
    three.turn_wheel(150.0, -1, Held.ShiftModifier)
    assert three.plot.time_range() == pytest.approx((30.0 + 57.6, 510.0 + 57.6), abs=1.0)


def test_in_a_page_that_scrolls_the_wheel_is_the_pages_until_the_plot_is_clicked(
    three: Seen, qtbot: QtBot
) -> None:
    area = QScrollArea()
    qtbot.addWidget(area)
    three.plot.setFixedSize(700, 900)
    area.setWidget(three.plot)
    area.resize(400, 300)
    area.show()
    qtbot.wait(10)
    before = three.plot.time_range()
    three.plot.clearFocus()
    three.turn_wheel(150.0, 1, Held.NoModifier)
    assert three.plot.time_range() == before
    area.takeWidget()
    qtbot.addWidget(three.plot)


def test_an_edge_of_a_window_can_be_dragged_once_windows_are_edited(three: Seen) -> None:
    moved: list[tuple[int, float, float]] = []
    three.plot.window_moved.connect(lambda *what: moved.append(what))
    three.plot.set_windows([(50.0, 80.0, "idle"), (100.0, 200.0, "idle")])
    three.drag(200.0, 260.0)
    assert moved == []
    three.plot.zoom_out()
    three.plot.set_windows_editable(True)
    three.drag(200.0, 260.0)
    assert len(moved) == 1
    assert moved[0] == pytest.approx((1, 100.0, 260.0), abs=1.0)
    assert three.plot.time_range() == (0.0, 600.0)


def test_a_new_window_can_be_dragged_out(three: Seen) -> None:
    drawn: list[tuple[float, float]] = []
    three.plot.window_drawn.connect(lambda *what: drawn.append(what))
    three.plot.set_windows_editable(True)
    three.drag(400.0, 300.0)
    assert len(drawn) == 1
    assert drawn[0] == pytest.approx((300.0, 400.0), abs=1.0)


def test_a_click_on_the_words_of_a_mark_tells_which(three: Seen) -> None:
    clicked: list[tuple[str, int]] = []
    three.plot.window_clicked.connect(lambda number: clicked.append(("window", number)))
    three.plot.event_clicked.connect(lambda number: clicked.append(("event", number)))
    three.plot.annotation_clicked.connect(lambda number: clicked.append(("annotation", number)))
    three.plot.set_windows([(10.0, 60.0, "idle"), (300.0, 400.0, "2000 rpm")])
    three.plot.set_events([(5.0, "fan stage 1"), (200.0, "fan stage 2")])
    three.plot.set_annotations([Annotation(500.0, "door")])
    three.image()
    for word in three.plot._lane.words:
        three.click(QPoint(round(word.box.center().x()), round(word.box.center().y())))
    assert sorted(clicked) == [("annotation", 0), ("event", 0), ("event", 1), ("window", 0), ("window", 1)]
    assert three.plot.cursor_s is None
