"""No gap is lost: those that show by themselves, and those too short to show."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood.plotting.series import Series, TimeAxis

if TYPE_CHECKING:
    from numpy.typing import NDArray

NAN = float("nan")


def gaps_of(series: Series) -> list[tuple[float, float]]:
    return series.gaps.near(0.0, 1e9, 10_000)


def looked_at_each(time_s: NDArray[np.float64], values: NDArray[np.float64]) -> list[tuple[float, float]]:
    held = [place for place, value in enumerate(values) if not np.isnan(value)]
    pairs = itertools.pairwise(held)
    return [(time_s[one], time_s[other]) for one, other in pairs if other - one > 1]


@given(st.lists(st.booleans(), min_size=1, max_size=60), st.lists(st.integers(0, 60), max_size=4))
def test_every_run_of_missing_samples_is_a_gap_however_the_samples_came(
    missing: list[bool], cuts: list[int]
) -> None:
    time_s = np.arange(len(missing), dtype=np.float64)
    values = np.where(missing, np.nan, 1.0)
    edges = sorted(min(cut, len(missing)) for cut in cuts)
    moments, pieces = np.split(time_s, edges), np.split(values, edges)
    axis = TimeAxis(moments[0])
    series = Series(axis, pieces[0])
    for at, piece in zip(moments[1:], pieces[1:], strict=True):
        axis.append(at)
        series.append(piece)
    assert gaps_of(series) == looked_at_each(time_s, values)


@given(st.lists(st.booleans(), min_size=3, max_size=60), st.integers(1, 20), st.floats(0.5, 9.0))
def test_every_gap_too_short_to_show_is_told_in_the_column_where_it_begins(
    missing: list[bool], columns: int, visible_s: float
) -> None:
    time_s = np.arange(len(missing), dtype=np.float64)
    series = Series(TimeAxis(time_s), np.where(missing, np.nan, 1.0))
    edges_s = np.linspace(0.0, len(missing), columns + 1)
    told = series.gaps.thin(edges_s, visible_s)
    short = [start for start, end in gaps_of(series) if end - start < visible_s]
    begin_in = {int(np.searchsorted(edges_s, start, "right")) - 1 for start in short}
    assert begin_in <= set(np.flatnonzero(told).tolist())
    # A column is not marked for one gap that anybody sees.
    for column in np.flatnonzero(told):
        inside = [gap for gap in gaps_of(series) if edges_s[column] <= gap[0] < edges_s[column + 1]]
        assert len(inside) > 1 or inside[0][1] - inside[0][0] < visible_s


def test_nothing_recorded_for_a_while_is_a_gap_although_no_sample_is_missing() -> None:
    time_s = np.concatenate((np.arange(50.0), np.arange(120.0, 170.0)))
    series = Series(TimeAxis(time_s), np.ones(100))
    assert gaps_of(series) == [(49.0, 120.0)]


def test_a_logger_that_goes_on_more_slowly_leaves_no_gaps() -> None:
    time_s = np.concatenate((np.arange(0.0, 10.0, 0.01), np.arange(10.0, 200.0, 1.0)))
    series = Series(TimeAxis(time_s), np.ones(len(time_s)))
    assert gaps_of(series) == []
    assert series.at(100.4) == (100.0, 1.0)


@pytest.mark.parametrize("pieces", [1, 3])
def test_two_holes_with_one_sample_between_them_are_two_gaps(pieces: int) -> None:
    time_s = np.concatenate((np.arange(30.0), [90.0], np.arange(150.0, 180.0)))
    moments = np.array_split(time_s, pieces)
    axis = TimeAxis(moments[0])
    series = Series(axis, np.ones(len(moments[0])))
    for more in moments[1:]:
        axis.append(more)
        series.append(np.ones(len(more)))
    assert gaps_of(series) == [(29.0, 90.0), (90.0, 150.0)]


def test_a_late_beginning_and_an_early_end_are_no_gaps() -> None:
    series = Series(TimeAxis(np.arange(6.0)), np.array([NAN, NAN, 1.0, 2.0, NAN, NAN]))
    assert gaps_of(series) == []
