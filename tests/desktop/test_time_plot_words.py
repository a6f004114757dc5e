"""The words of windows and events stand above the curves, and a long recording stays smooth."""

from __future__ import annotations

import time
from itertools import combinations, pairwise
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood.widgets import Annotation, Curve, PlotPanel, TimePlot, theme
from knowngood.widgets.timeplot.ground import clock_labels, value_labels
from knowngood.widgets.timeplot.spoken import hidden_words

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot


def made(samples: int, qtbot: QtBot, size: tuple[int, int] = (800, 500)) -> TimePlot:
    plot = TimePlot()
    qtbot.addWidget(plot)
    plot.resize(*size)
    time_s = np.linspace(0.0, 3600.0, samples)
    values = 10.0 + np.sin(time_s / 40.0)
    plot.set_panels(time_s, [PlotPanel("bar g", (Curve("high side", values, theme.HIGH_SIDE),))])
    plot.show()
    return plot


def height(plot: TimePlot) -> float:
    """How high the curves' part of the plot is [px]."""
    plot.grab()
    return plot._current().layout.panels[0].height


def test_without_marks_the_curves_take_the_whole_height(qtbot: QtBot) -> None:
    assert height(made(2_000, qtbot)) > 0.9 * 500


def test_marks_get_room_above_the_curves_and_give_it_back(qtbot: QtBot) -> None:
    plot = made(2_000, qtbot)
    bare = height(plot)
    plot.set_windows([(100.0, 900.0, "idle")])
    with_window = height(plot)
    plot.set_events([(950.0, "fan stage 2"), (990.0, "engine to 2000 rpm")])
    with_events = height(plot)
    plot.set_windows([])
    plot.set_events([])
    assert bare > with_window > with_events
    assert height(plot) == bare


def test_many_marks_leave_the_curves_more_than_half_of_the_height(qtbot: QtBot) -> None:
    plot = made(2_000, qtbot)
    plot.set_events([(100.0 * number, "fan stage 2") for number in range(20)])
    plot.set_annotations([Annotation(50.0 * number, "door opened") for number in range(20)])
    assert height(plot) > 0.5 * 500


def test_words_never_lie_on_one_another_and_those_without_room_are_told(qtbot: QtBot) -> None:
    plot = made(2_000, qtbot)
    plot.set_windows([(60.0 * number, 60.0 * number + 40.0, "engine at 1500 rpm") for number in range(55)])
    plot.set_events([(37.0 * number, f"fan stage {number % 3}") for number in range(90)])
    plot.grab()
    lane = plot._lane
    assert lane.words
    assert not any(one.box.intersects(other.box) for one, other in combinations(lane.words, 2))
    assert all(one.box.bottom() <= plot._current().layout.panels[0].top for one in lane.words)
    shown = len(lane.words) + sum(len(hidden) for _, hidden, _ in lane.left_out)
    assert shown == 55 + 90
    for kind, hidden, middle in lane.left_out:
        lines = hidden_words(lane, plot._state.marks, middle)
        assert len(lines) == min(len(hidden), 25) + (len(hidden) > 25), kind


@pytest.mark.parametrize(("width", "tall"), [(413, 336), (636, 596), (1500, 900)])
@pytest.mark.parametrize("span_s", [3600.0, 750.0, 61.0, 8.0, 0.3])
def test_no_text_of_an_axis_lies_on_another(qtbot: QtBot, width: int, tall: int, span_s: float) -> None:
    plot = made(2, qtbot, (width, tall))
    time_s = np.arange(0.0, 3600.0, 0.05)
    panels = [
        PlotPanel(f"plot {one}", (Curve("c", 0.37 * one * time_s % 2.3, theme.INK),)) for one in range(8)
    ]
    plot.set_panels(time_s, panels)
    plot.show_range(3600.0 - span_s, 3600.0)
    sheet = plot._current()
    moments = [box for _, box, _ in clock_labels(sheet)]
    assert 2 <= len(moments) <= width / 50
    assert not any(one.intersects(other) for one, other in combinations(moments, 2))
    middles = [middle for middle, _ in value_labels(sheet)]
    assert len(middles) >= 8
    gaps = [other - one for one, other in pairwise(middles)]
    assert min(gaps) >= 0.65 * sheet.letters.height


def test_a_million_samples_are_zoomed_within_a_tenth_of_a_second(qtbot: QtBot) -> None:
    # The window must never stand still for longer than that; common practice, no source.
    plot = made(1_000_000, qtbot)
    plot.grab()
    taken = []
    for start in (0.0, 600.0, 1200.0, 1800.0, 2400.0):
        begun = time.perf_counter()
        plot.zoom_to(start, start + 600.0)
        plot.grab()
        taken.append(time.perf_counter() - begun)
    assert min(taken) < 0.1
