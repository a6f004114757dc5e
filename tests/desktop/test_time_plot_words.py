"""The words of windows and events stand above the curves, and a long recording stays smooth."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood.widgets import Curve, PlotPanel, TimePlot, theme

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot


def made(samples: int, qtbot: QtBot) -> TimePlot:
    plot = TimePlot()
    qtbot.addWidget(plot)
    plot.resize(800, 500)
    time_s = np.linspace(0.0, 3600.0, samples)
    values = 10.0 + np.sin(time_s / 40.0)
    plot.set_panels(time_s, [PlotPanel("bar g", (Curve("high side", values, theme.HIGH_SIDE),))])
    plot.show()
    return plot


def top(plot: TimePlot) -> float:
    plot.grab()
    return float(plot.plots[0].viewRange()[1][1])


def test_without_marks_the_curves_take_the_whole_height(qtbot: QtBot) -> None:
    assert top(made(2_000, qtbot)) == pytest.approx(11.0, abs=0.3)


def test_marks_get_room_above_the_curves_and_give_it_back(qtbot: QtBot) -> None:
    plot = made(2_000, qtbot)
    bare = top(plot)
    plot.set_windows([(100.0, 900.0, "idle")])
    with_window = top(plot)
    plot.set_events([(950.0, "fan stage 2"), (990.0, "engine to 2000 rpm")])
    with_events = top(plot)
    plot.set_windows([])
    plot.set_events([])
    assert bare < with_window < with_events
    assert top(plot) == pytest.approx(bare)


def test_many_events_leave_the_curves_more_than_half_of_the_height(qtbot: QtBot) -> None:
    plot = made(2_000, qtbot)
    plot.set_events([(100.0 * number, "fan stage 2") for number in range(20)])
    low, high = plot.plots[0].viewRange()[1] if top(plot) else (0.0, 0.0)
    assert 2.0 / (high - low) > 0.5


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
