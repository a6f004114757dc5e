"""All plots share one stretch of time; windows, events and lines go through every one of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from PySide6.QtGui import QColor

from knowngood.widgets import Annotation, Band, Curve, PlotPanel, TimePlot, theme
from knowngood.widgets.timeplot.ground import WINDOW

if TYPE_CHECKING:
    from collections.abc import Callable

    from pytestqt.qtbot import QtBot

    from .conftest import Seen

TIME_S = np.arange(0.0, 601.0)


def test_the_same_moment_lies_at_the_same_place_in_every_plot(make: Callable[..., Seen]) -> None:
    spike = np.where(TIME_S == 150.0, 5.0, 0.0)
    seen = make(spike, -spike, spike + 3.0)
    seen.plot.zoom_to(100.0, 200.0)
    assert seen.plot.time_range() == pytest.approx((85.0, 215.0))
    for box, up in zip(seen.boxes(), (True, False, True), strict=True):
        image = seen.image()
        y = round(box.top + (0.25 if up else 0.75) * box.height)
        inked = [
            x
            for x in range(int(box.left), int(box.right))
            if image.pixelColor(x, y).red() > image.pixelColor(x, y).green() + 60
        ]
        assert np.mean(inked) == pytest.approx(seen.x(150.0), abs=1.5)


def test_zooming_out_shows_everything(three: Seen) -> None:
    three.plot.zoom_to(100.0, 200.0)
    three.plot.zoom_out()
    assert three.plot.time_range() == (0.0, 600.0)


def test_windows_and_events_are_marked_on_every_plot_and_taken_away_again(three: Seen) -> None:
    three.plot.set_windows([(100.0, 200.0, "idle")])
    three.plot.set_events([(300.0, "fan stage 2")])
    for box in three.boxes():
        assert three.colour(150.0, box.top + 2) == WINDOW
        assert three.has("#cdb98b", three.x(300.0) - 1, three.x(300.0) + 1, box)
        assert three.colour(250.0, box.top + 2) == QColor(theme.CARD)
    three.plot.set_windows([])
    three.plot.set_events([])
    for box in three.boxes():
        assert three.colour(150.0, box.top + 2) == QColor(theme.CARD)
        assert not three.has("#cdb98b", three.x(300.0) - 1, three.x(300.0) + 1, box)


def test_annotations_stand_on_every_plot(three: Seen) -> None:
    three.plot.set_annotations([Annotation(300.0, "bonnet opened")])
    for box in three.boxes():
        assert three.has("#aeb2b5", three.x(300.0) - 1, three.x(300.0) + 1, box)


def test_expected_ranges_stand_behind_their_plot_and_their_stretch_alone(three: Seen) -> None:
    three.plot.set_bands(1, [Band(1.6, 1.8, start_s=100.0, end_s=200.0, colour="#0000ff")])
    upright = three.plot._current().uprights[1]
    inside = three.colour(150.0, upright.y(1.7))
    assert inside.blue() > inside.red() + 10
    outside = three.colour(325.0, upright.y(1.7))
    assert abs(outside.blue() - outside.red()) < 10


def test_other_channels_keep_the_stretch_in_view(three: Seen) -> None:
    three.plot.zoom_to(100.0, 200.0)
    three.plot.set_panels(TIME_S, [PlotPanel("d", (Curve("d", TIME_S, theme.INK),))])
    assert three.plot.time_range() == pytest.approx((85.0, 215.0))


def test_another_session_elsewhere_in_time_is_shown_whole(three: Seen) -> None:
    three.plot.zoom_to(100.0, 200.0)
    later = np.arange(5000.0, 5060.0)
    three.plot.set_panels(later, [PlotPanel("d", (Curve("d", later, theme.INK),))])
    assert three.plot.time_range() == (5000.0, 5059.0)


@pytest.mark.parametrize("count", [0, 1, 2])
def test_hardly_any_sample_can_be_painted(make: Callable[..., Seen], count: int) -> None:
    seen = make(np.ones(count), time_s=np.arange(float(count)))
    seen.plot.set_cursor(0.0)
    seen.plot.set_measuring(True)
    assert not seen.image().isNull()


def test_nothing_at_all_can_be_painted_and_zoomed(qtbot: QtBot) -> None:
    plot = TimePlot()
    qtbot.addWidget(plot)
    plot.set_windows([(1.0, 2.0, "idle")])
    plot.highlight(1.0, 2.0, "here")
    plot.zoom_to(1.0, 2.0)
    plot.follow()
    plot.set_measuring(True)
    assert not plot.grab().isNull()
    assert plot.time_range() is None


def test_only_missing_samples_can_be_painted(make: Callable[..., Seen]) -> None:
    assert not make(np.full(601, np.nan)).image().isNull()


def test_a_highlight_is_a_stretch_on_every_plot_until_it_is_cleared(three: Seen) -> None:
    before = [three.colour(250.0, box.bottom - 4) for box in three.boxes()]
    three.plot.highlight(200.0, 300.0, "superheat falls")
    assert all(
        three.colour(250.0, box.bottom - 4) != old for box, old in zip(three.boxes(), before, strict=True)
    )
    three.plot.clear_highlight()
    assert [three.colour(250.0, box.bottom - 4) for box in three.boxes()] == before


def test_numbers_of_numpy_are_moments_too(three: Seen) -> None:
    told: list[bool] = []
    three.plot.following_changed.connect(told.append)
    three.plot.show_range(np.float64(10.0), np.float64(20.0))
    three.plot.set_cursor(np.float64(12.0))
    three.plot.set_measuring_lines(np.float64(12.0), np.float64(14.0))
    assert three.plot.time_range() == (10.0, 20.0)
    assert told == [False]
