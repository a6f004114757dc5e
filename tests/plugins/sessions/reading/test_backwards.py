"""Time that runs backwards: what is clear is mended and told, the rest is refused."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_refdata.logs import LogUnreadable
from knowngood_sessions.core.mapping.mapping import apply_with_notices, propose
from knowngood_sessions.core.reading.clock import CLOCK, MINUTES, clock_of
from knowngood_sessions.core.reading.reader import LogTable, read_log
from knowngood_sessions.core.reading.spacing import rising


def lines_of(count: int) -> np.ndarray:
    return np.arange(2, count + 2)


def mended(times: list[float], unit: str = "s") -> tuple[list[float], str]:
    given = np.array(times, dtype=float)
    found = rising(given, lines_of(given.size), clock_of(unit))
    return found.time_s.tolist(), " ".join(found.told)


def table(*cells: str) -> LogTable:
    rows = (f"{cell},{30 + index}" for index, cell in enumerate(cells))
    return read_log("\n".join(("Time (s),P low (psig)", *rows, "")).encode(), "log.csv")


def test_a_row_out_of_order_goes_back_to_its_place_with_its_values() -> None:
    log = table("0", "1", "2", "4", "3", "5", "6")
    recording, _, notices = apply_with_notices(log, propose(log).mapping)
    np.testing.assert_array_equal(recording.time_s, np.arange(7.0))
    np.testing.assert_array_equal(recording.channels[0].values, [30, 31, 32, 34, 33, 35, 36])
    assert "line 6" in notices[0].text


def test_a_row_that_came_late_goes_back_by_several_places() -> None:
    times, told = mended([0, 1, 2, 4, 5, 6, 3, 7, 8])
    assert times == list(range(9))
    assert "out of order" in told


def test_a_stamp_with_a_lost_digit_lies_between_its_neighbours() -> None:
    times, told = mended([100, 101, 10, 103, 104])
    assert times == [100, 101, 102, 103, 104]
    assert "line 4" in told


def test_a_stamp_that_is_far_ahead_lies_between_its_neighbours() -> None:
    times, told = mended([0, 1, 7_000, 3, 4])
    assert times == [0, 1, 2, 3, 4]
    assert "line 4" in told


def test_a_counter_of_sixteen_bits_is_counted_on() -> None:
    milliseconds = np.array([65_000.0, 65_250, 65_500, 214, 464]) * 1e-3
    found = rising(milliseconds, lines_of(5), clock_of("ms"))
    np.testing.assert_allclose(np.diff(found.time_s), 0.25)
    assert "line 5" in found.told[0]


def test_minutes_that_begin_anew_at_the_full_hour_are_counted_on() -> None:
    times, told = mended([3_598, 3_599, 0, 1], MINUTES)
    assert times == [3_598, 3_599, 3_600, 3_601]
    assert "began anew" in told


def test_a_clock_of_twelve_hours_is_counted_on_past_noon() -> None:
    times, _ = mended([46_798, 46_799, 3_600, 3_601], CLOCK)
    assert np.diff(times).tolist() == [1, 1, 1]


def test_a_clock_set_back_to_winter_time_is_counted_on_and_told() -> None:
    times, told = mended([*range(10_800, 10_820), *range(7_220, 7_240)], CLOCK)
    assert np.diff(times).tolist() == [1.0] * 39
    assert "set back by 3,600 s at line 22" in told


def test_a_clock_set_back_by_some_seconds_is_counted_on_and_told() -> None:
    times, told = mended([*range(36_000, 36_030), *range(36_020, 36_060)], CLOCK)
    assert np.diff(times).tolist() == [1.0] * 69
    assert "set back by 10 s" in told


@pytest.mark.parametrize(
    ("times", "unit"),
    [
        ([*range(60), *range(60)], "s"),
        ([0, 1, 2, 1, 3], "s"),
        ([*range(36_000, 36_060), *range(20_000, 20_060)], CLOCK),
        ([5, 4, 3, 2, 1, 0], "s"),
        ([0, 100, 1, 101, 2, 102, 3, 103, 4, 104], "s"),
    ],
)
def test_time_that_runs_backwards_without_a_clear_reason_is_refused(times: list[float], unit: str) -> None:
    with pytest.raises(LogUnreadable, match="backwards"):
        mended(times, unit)


def test_a_clock_that_stood_still_for_long_spreads_its_samples_over_their_own_time() -> None:
    times, told = mended([*range(50), *[50] * 20, *range(70, 100)])
    assert "20 samples share one time stamp" in told
    np.testing.assert_allclose(np.diff(times)[:95], 1.0, atol=0.01)


@given(
    st.lists(st.integers(0, 400), min_size=3, max_size=60).map(sorted),
    st.lists(st.tuples(st.integers(0, 59), st.integers(0, 59)), max_size=6),
    st.sampled_from(["s", "ms", CLOCK, MINUTES]),
)
def test_whatever_the_stamps_are_the_time_rises_strictly_or_is_refused(
    times: list[int], swaps: list[tuple[int, int]], unit: str
) -> None:
    given = np.array(times, dtype=float)
    for one, other in swaps:
        if max(one, other) < given.size:
            given[[one, other]] = given[[other, one]]
    try:
        found = rising(given, lines_of(given.size), clock_of(unit))
    except LogUnreadable:
        return
    assert (np.diff(found.time_s) > 0.0).all()
    if found.rows is not None:
        assert sorted(found.rows.tolist()) == list(range(given.size))
