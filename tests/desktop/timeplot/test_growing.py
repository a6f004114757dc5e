"""A recording that still grows: the view follows its end, unless somebody looks elsewhere."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood.widgets import Curve, PlotPanel, theme

if TYPE_CHECKING:
    from collections.abc import Callable

    from .conftest import Seen


def second(seen: Seen, at_s: float, value: float = 1.0) -> None:
    seen.plot.append(np.array([at_s]), {f"curve {place}": np.array([value]) for place in range(3)})


def test_who_sees_everything_sees_what_is_new(three: Seen) -> None:
    second(three, 601.0)
    assert three.plot.time_range() == (0.0, 601.0)


def test_a_view_of_the_end_moves_with_it_and_a_view_of_the_past_stays(three: Seen) -> None:
    told: list[bool] = []
    three.plot.following_changed.connect(told.append)
    three.plot.show_range(500.0, 600.0)
    second(three, 601.0)
    assert three.plot.time_range() == pytest.approx((501.0, 601.0))
    three.plot.show_range(100.0, 200.0)
    second(three, 602.0)
    assert three.plot.time_range() == (100.0, 200.0)
    assert not three.plot.following
    three.plot.follow()
    assert three.plot.time_range() == pytest.approx((502.0, 602.0))
    assert told == [False, True]


def test_what_grew_is_painted_as_if_it_had_been_there_from_the_start(make: Callable[..., Seen]) -> None:
    time_s = np.arange(0.0, 5000.0, 0.1)
    values = np.sin(time_s / 50.0)
    values[40_000:40_010] = np.nan
    at_once = make(values, time_s=time_s)
    grown = make(values[:100], time_s=time_s[:100])
    for first in range(100, len(time_s), 7_000):
        piece = slice(first, first + 7_000)
        grown.plot.append(time_s[piece], {"curve 0": values[piece]})
    assert grown.plot.time_range() == at_once.plot.time_range()
    assert grown.image() == at_once.image()


def test_a_recording_may_begin_with_nothing(make: Callable[..., Seen]) -> None:
    seen = make(np.empty(0), time_s=np.empty(0))
    seen.plot.append(np.array([0.0]), {"curve 0": np.array([2.0])})
    seen.plot.append(np.array([1.0]), {"curve 0": np.array([3.0])})
    reading = seen.plot.reading_at(1.0)
    assert reading.curves[0].value == 3.0
    assert not seen.image().isNull()


def test_a_second_that_runs_back_is_refused_and_the_picture_stays(three: Seen) -> None:
    before = three.image()
    with pytest.raises(ValueError, match="before the last one"):
        second(three, 100.0)
    assert three.image() == before


def test_an_overlaid_session_stays_as_it_is_when_the_other_grows(three: Seen) -> None:
    time_s = np.arange(0.0, 100.0)
    laid = Curve("before", time_s, theme.INK, time_s=time_s, key="before")
    own = Curve("now", time_s, theme.INK)
    three.plot.set_panels(time_s, [PlotPanel("bar g", (own, laid))])
    three.plot.append(np.array([100.0]), {"now": np.array([7.0]), "before": np.array([8.0])})
    values = [one.value for one in three.plot.reading_at(100.0).curves]
    assert values == [7.0, 99.0]
