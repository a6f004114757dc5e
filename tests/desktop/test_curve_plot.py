"""Curves that are read off by mouse and keys, and points that tell what they are."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel

from knowngood.widgets import CurvePlot, PlottedCurve, PlottedPoints

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

X = np.array([0.0, 10.0, 20.0])
FIRST = PlottedCurve("first", "#2a6a55", X, np.array([1.0, 2.0, 4.0]))
SECOND = PlottedCurve("second", "#7a5195", X, np.array([5.0, 6.0, np.nan]), dashed=True)
POINTS = PlottedPoints("cars", "#2a6a55", np.array([3.0, 1.0]), np.array([7.0, 8.0]), ("right", "left"))


@pytest.fixture
def plot(qtbot: QtBot) -> CurvePlot:
    made = CurvePlot("test curves")
    qtbot.addWidget(made)
    made.resize(500, 320)
    made.show()
    return made


def test_the_line_reads_between_the_points_of_a_curve_and_stops_at_its_end(plot: CurvePlot) -> None:
    plot.show_content([FIRST, SECOND], (), "x", "y")
    plot.move_to(15.0)
    assert dict(plot.values()) == {"first": pytest.approx(3.0), "second": None}
    plot.move_to(5.0)
    assert dict(plot.values()) == pytest.approx({"first": 1.5, "second": 5.5})


def test_the_arrow_keys_move_the_line_and_end_at_the_ends(plot: CurvePlot) -> None:
    plot.show_content([FIRST, SECOND], (), "x", "y")
    read: list[float] = []
    plot.read.connect(read.append)
    plot.move_to(10.0)
    QTest.keyClick(plot, Qt.Key.Key_Right)
    QTest.keyClick(plot, Qt.Key.Key_End)
    QTest.keyClick(plot, Qt.Key.Key_Right)
    QTest.keyClick(plot, Qt.Key.Key_Home)
    assert read == pytest.approx([10.0, 10.2, 20.0, 20.0, 0.0])


def test_the_legend_tells_the_two_ends_of_a_range_once(plot: CurvePlot) -> None:
    least, most = (PlottedCurve("range", "#7a5195", X, X * share, dashed=True) for share in (0.9, 1.1))
    plot.show_content([FIRST, least, most], [POINTS], "x", "y")
    (legend,) = plot.findChildren(QLabel)
    assert [legend.text().count(name) for name in ("first", "range", "cars")] == [1, 1, 1]


def test_names_that_do_not_fit_on_one_line_of_the_legend_stand_below_one_another(plot: CurvePlot) -> None:
    colour, one = "#2a6a55", np.array([1.0])
    names = [f"Moor Bracken High Roof 2.0 diesel of depot {number}" for number in range(3)]
    plot.show_content([], [PlottedPoints(name, colour, one, one) for name in names], "x", "y")
    (legend,) = plot.findChildren(QLabel)
    line_px = legend.fontMetrics().lineSpacing()
    assert plot.width() < legend.fontMetrics().horizontalAdvance(" ".join(names))
    plot.resize(plot.width(), plot.height() + 1)
    QApplication.processEvents()
    assert legend.height() >= 3 * line_px


def test_other_curves_keep_the_line_on_their_axis(plot: CurvePlot) -> None:
    plot.show_content([FIRST], (), "x", "y")
    plot.move_to(18.0)
    plot.show_content([PlottedCurve("short", "#2a6a55", X / 2.0, X)], (), "x", "y")
    assert plot.at == 10.0
    assert dict(plot.values()) == pytest.approx({"short": 20.0})


def test_where_there_are_only_points_the_keys_step_from_left_to_right_and_around(plot: CurvePlot) -> None:
    plot.show_content((), [POINTS], "x", "y")
    told: list[str] = []
    plot.pointed.connect(told.append)
    for key in (Qt.Key.Key_Right, Qt.Key.Key_Right, Qt.Key.Key_Right, Qt.Key.Key_Left):
        QTest.keyClick(plot, key)
    assert told == ["left", "right", "left", "right"]


def test_a_plot_without_anything_answers_keys_with_nothing(plot: CurvePlot) -> None:
    plot.show_content((), (), "x", "y")
    for key in (Qt.Key.Key_Right, Qt.Key.Key_Home):
        QTest.keyClick(plot, key)
    assert plot.at is None
    assert plot.values() == ()


def test_a_picture_has_three_times_the_pixels_of_the_screen(plot: CurvePlot) -> None:
    plot.show_content([FIRST], [POINTS], "x", "y")
    picture = plot.picture()
    assert (picture.width(), picture.height()) == (1500, 960)
    colours = {picture.pixelColor(x, y).name() for x in range(0, 1500, 3) for y in range(0, 960, 3)}
    assert "#2a6a55" in colours
