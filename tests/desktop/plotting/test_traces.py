"""Curves on one or on their own clock: read, measured, laid over one another, growing."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood.plotting.readings import between, curves_at
from knowngood.plotting.records import Band, Curve, PlotPanel
from knowngood.plotting.traces import Traces

TIME_S = np.arange(0.0, 100.0)


def traces(*curves: Curve) -> Traces:
    return Traces(TIME_S, [PlotPanel("bar g", curves)])


def test_the_nearest_sample_is_read() -> None:
    found = curves_at(traces(Curve("low side", 0.1 * TIME_S, "#000000")), 41.4)
    assert (found[0].at_s, found[0].value) == pytest.approx((41.0, 4.1))
    assert (found[0].panel, found[0].key) == ("bar g", "low side")


@pytest.mark.parametrize("at_s", [-20.0, 30.0, 150.0])
def test_in_a_gap_and_beyond_the_ends_nothing_is_read(at_s: float) -> None:
    values = np.where((TIME_S > 25.0) & (TIME_S < 35.0), np.nan, 1.0)
    assert curves_at(traces(Curve("low side", values, "#000000")), at_s)[0].value is None


def test_between_two_moments_stand_difference_and_slope_of_the_samples() -> None:
    found = between(traces(Curve("vent", 20.0 - 0.1 * TIME_S, "#000000")), 10.2, 69.8)
    vent = found.curves[0]
    assert (vent.a, vent.b) == pytest.approx((19.0, 13.0))
    assert vent.difference == pytest.approx(-6.0)
    assert vent.per_minute == pytest.approx(-6.0)


def test_at_one_and_the_same_sample_there_is_no_slope() -> None:
    assert between(traces(Curve("vent", TIME_S, "#000000")), 10.0, 10.3).curves[0].per_minute is None


@given(st.floats(-500.0, 500.0))
def test_another_session_is_read_at_the_moment_it_is_aligned_with(shift_s: float) -> None:
    other = np.arange(0.0, 60.0, 0.5)
    laid = Curve("low, before", other**2, "#000000", time_s=other, shift_s=shift_s, key="b")
    found = traces(Curve("low side", TIME_S, "#000000"), laid)
    reading = curves_at(found, shift_s + 30.0)[1]
    assert reading.value == pytest.approx(900.0)
    assert reading.at_s == pytest.approx(shift_s + 30.0)
    assert found.whole is not None
    assert found.whole.start_s == pytest.approx(min(0.0, shift_s))
    assert found.whole.end_s == pytest.approx(max(99.0, shift_s + 59.5))


def test_curves_that_share_a_clock_share_its_room() -> None:
    other = np.arange(10_000.0)
    two = [Curve(name, other, "#000000", time_s=other) for name in "ab"]
    one = traces(two[0]).nbytes
    assert traces(*two).nbytes - one < 1.3 * other.nbytes


def test_a_curve_left_out_of_what_is_added_has_a_gap_there() -> None:
    found = traces(Curve("low side", TIME_S, "#000000"), Curve("vent", TIME_S, "#000000"))
    found.append(np.array([100.0, 101.0]), {"low side": np.array([5.0, 6.0])})
    low, vent = curves_at(found, 101.0)
    assert (low.value, vent.value) == (6.0, None)
    assert found.samples == 102


@pytest.mark.parametrize(
    ("time_s", "values"), [([50.0], [1.0]), ([100.0, 101.0], [1.0]), ([float("nan")], [1.0])]
)
def test_what_does_not_fit_is_refused_and_nothing_is_added(time_s: list[float], values: list[float]) -> None:
    found = traces(Curve("low side", TIME_S, "#000000"))
    with pytest.raises(ValueError, match=r"added|one row of numbers"):
        found.append(np.array(time_s), {"low side": np.array(values)})
    assert found.samples == 100
    assert curves_at(found, 99.0)[0].value == 99.0


def test_a_clock_that_runs_back_is_refused() -> None:
    with pytest.raises(ValueError, match="sort the samples"):
        Traces(np.array([0.0, 2.0, 1.0]), [])


def test_an_axis_holds_curves_and_expected_ranges_that_are_in_view_and_no_others() -> None:
    found = Traces(
        TIME_S,
        [
            PlotPanel(
                "bar g",
                (Curve("a", np.where(TIME_S == 90.0, 500.0, 10.0 + TIME_S % 2), "#000000"),),
                bands=(Band(8.0, 14.0, end_s=50.0), Band(-300.0, 0.0, start_s=80.0)),
            )
        ],
    )
    low, high = found.panels[0].limits(0.0, 60.0)
    assert 6.0 < low < 8.0
    assert 14.0 < high < 16.0
    low, high = found.panels[0].limits(60.0, 99.0)
    assert low < -300.0
    assert high > 500.0


def test_infinite_values_are_missing_ones() -> None:
    found = traces(Curve("ratio", np.where(TIME_S == 3.0, np.inf, 2.0), "#000000"))
    assert found.panels[0].limits(0.0, 99.0)[1] < 4.0
    assert curves_at(found, 3.0)[0].value is None
