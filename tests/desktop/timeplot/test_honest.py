"""The picture tells no lie: a spike of one sample and a gap of one sample show at every zoom."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood.widgets import Curve, Line, PlotPanel, theme

if TYPE_CHECKING:
    from collections.abc import Callable

    from .conftest import Seen

COUNT = 300_000
TIME_S = np.arange(0.0, COUNT) * 0.1
PLACES = (1, 4_096, 123_457, COUNT - 2)
SPANS = (30_000.0, 3_000.0, 400.0, 60.0, 8.0)


def strongest(seen: Seen, at_s: float, y: float) -> int:
    """How red the reddest pixel near a place is: the curve against paper and grid."""
    image, x = seen.image(), round(seen.x(at_s))
    reds = [
        image.pixelColor(column, row).red() - image.pixelColor(column, row).green()
        for column in range(max(x - 2, 0), x + 3)
        for row in range(round(y) - 2, round(y) + 3)
    ]
    return max(reds)


def view_around(at_s: float, span_s: float) -> tuple[float, float]:
    start_s = min(max(at_s - span_s / 2, 0.0), max(float(TIME_S[-1]) - span_s, 0.0))
    return start_s, start_s + span_s


@pytest.mark.parametrize("span_s", SPANS)
def test_a_spike_of_one_sample_shows_at_every_zoom(make: Callable[..., Seen], span_s: float) -> None:
    values = np.full(COUNT, 1.0)
    values[list(PLACES)] = 9.0
    seen = make(values, time_s=TIME_S)
    for place in PLACES:
        seen.plot.show_range(*view_around(TIME_S[place], span_s))
        y = seen.plot._current().uprights[0].y(8.8)
        assert strongest(seen, TIME_S[place], y) > 80


@pytest.mark.parametrize("span_s", SPANS)
def test_a_gap_of_one_sample_shows_at_every_zoom(make: Callable[..., Seen], span_s: float) -> None:
    values = np.full(COUNT, 1.0)
    values[list(PLACES)] = np.nan
    seen = make(values, time_s=TIME_S)
    for place in PLACES:
        seen.plot.show_range(*view_around(TIME_S[place], span_s))
        upright = seen.plot._current().uprights[0]
        ticked = strongest(seen, TIME_S[place], upright.bottom - 2.5) > 80
        x = round(seen.x(TIME_S[place]))
        image, row = seen.image(), round(upright.y(1.0))
        line = [image.pixelColor(x, row + off) for off in (-1, 0, 1)]
        broken = all(one.red() - one.green() < 40 for one in line)
        assert ticked or broken


def test_a_curve_without_gaps_has_no_ticks(make: Callable[..., Seen]) -> None:
    seen = make(np.full(COUNT, 1.0), time_s=TIME_S)
    bottom = seen.plot._current().uprights[0].bottom
    assert all(strongest(seen, at_s, bottom - 2.5) < 40 for at_s in (0.1, 12_000.0, 29_000.0))


def test_a_long_gap_is_empty_and_needs_no_tick(make: Callable[..., Seen]) -> None:
    values = np.where((TIME_S > 10_000.0) & (TIME_S < 20_000.0), np.nan, 1.0)
    seen = make(values, time_s=TIME_S)
    upright = seen.plot._current().uprights[0]
    assert strongest(seen, 15_000.0, upright.y(1.0)) < 40
    assert strongest(seen, 10_000.0, upright.bottom - 2.5) < 40
    assert strongest(seen, 5_000.0, upright.y(1.0)) > 80


def test_a_dashed_overlay_hides_no_spike(make: Callable[..., Seen]) -> None:
    values = np.full(COUNT, 1.0)
    places = [int(COUNT * part) for part in np.linspace(0.2, 0.21, 12)]
    for place in places:
        spiked = values.copy()
        spiked[place] = 9.0
        seen = make(values, time_s=TIME_S)
        curve = Curve("before", spiked, theme.HIGH_SIDE, time_s=TIME_S, line=Line.DASHED)
        seen.plot.set_panels(TIME_S, [PlotPanel("bar g", (curve,))])
        y = seen.plot._current().uprights[0].y(8.8)
        assert strongest(seen, TIME_S[place], y) > 80


def test_a_sample_alone_between_gaps_is_a_point(make: Callable[..., Seen]) -> None:
    values = np.full(601, np.nan)
    values[300] = 1.0
    seen = make(values)
    assert strongest(seen, 300.0, seen.plot._current().uprights[0].y(1.0)) > 80
