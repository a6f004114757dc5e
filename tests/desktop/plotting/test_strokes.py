"""What is stroked covers every sample, pixel column by pixel column, and joins nothing across a gap."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from knowngood.plotting.scales import Across, Upright
from knowngood.plotting.series import Series, TimeAxis
from knowngood.plotting.strokes import Columns, dashed, upright

if TYPE_CHECKING:
    from numpy.typing import NDArray

THICK = 1.5
SCALE = Upright(-100.0, 100.0, 400.0, 400.0)
ONE_SAMPLE = st.floats(-90.0, 90.0) | st.just(float("nan"))


def strokes(
    time_s: NDArray[np.float64], values: NDArray[np.float64], view: tuple[float, float], columns: int
) -> tuple[NDArray[np.float64], Across]:
    """Lines of a curve in a view so many pixels wide, its left edge at pixel 50."""
    axis = TimeAxis(time_s)
    series = Series(axis, values)
    across = Across(*view, 50.0, float(columns))
    cut = Columns.of(axis, across, columns)
    return upright(cut, series.pyramid.envelope(cut.stretches), across, SCALE, THICK), across


@st.composite
def cases(draw: st.DrawFn) -> tuple[NDArray[np.float64], NDArray[np.float64], tuple[float, float], int]:
    count = draw(st.integers(1, 400))
    steps = draw(st.lists(st.sampled_from([0.0, 0.5, 1.0, 1.0, 1.0, 40.0]), min_size=count, max_size=count))
    few = draw(st.lists(ONE_SAMPLE, min_size=1, max_size=40))
    time_s = np.cumsum(steps)
    start = draw(st.floats(-10.0, float(time_s[-1])))
    span = draw(st.floats(1.0, float(time_s[-1]) + 20.0))
    return time_s, np.resize(np.array(few), count), (start, start + span), draw(st.integers(1, 60))


def column_of(at_s: NDArray[np.float64], edges_s: NDArray[np.float64]) -> NDArray[np.intp]:
    found = np.searchsorted(edges_s, at_s, "right") - 1
    return np.where(at_s == edges_s[-1], len(edges_s) - 2, found)


@given(cases())
def test_every_column_is_drawn_from_its_smallest_to_its_largest_sample(
    case: tuple[NDArray[np.float64], NDArray[np.float64], tuple[float, float], int],
) -> None:
    time_s, values, view, columns = case
    lines, _ = strokes(time_s, values, view, columns)
    bars = {int(x1 - 50.0): (y1, y2) for x1, y1, x2, y2 in lines if x1 == x2 and x1 % 1 == 0.5}
    inside = (time_s >= view[0]) & (time_s <= view[1]) & ~np.isnan(values)
    columns_of = column_of(time_s[inside], np.linspace(*view, columns + 1))
    for column in np.unique(columns_of):
        held = values[inside][columns_of == column]
        top, bottom = bars[int(column)]
        assert top <= SCALE.y(float(held.max())) - THICK / 2 + 1e-9
        assert bottom >= SCALE.y(float(held.min())) + THICK / 2 - 1e-9


@given(cases())
def test_nothing_is_drawn_where_no_sample_and_no_joined_pair_of_samples_is(
    case: tuple[NDArray[np.float64], NDArray[np.float64], tuple[float, float], int],
) -> None:
    time_s, values, view, columns = case
    lines, across = strokes(time_s, values, view, columns)
    series = Series(TimeAxis(time_s), values)
    pixel_s = (view[1] - view[0]) / columns
    for start_s, end_s in series.gaps.near(0.0, 1e9, 1000):
        left, right = across.x(start_s + pixel_s), across.x(end_s - pixel_s)
        touched = (lines[:, [0, 2]].max(axis=1) > left) & (lines[:, [0, 2]].min(axis=1) < right)
        assert not touched.any()


@given(cases())
def test_no_line_reaches_beyond_the_samples(
    case: tuple[NDArray[np.float64], NDArray[np.float64], tuple[float, float], int],
) -> None:
    time_s, values, view, columns = case
    lines, _ = strokes(time_s, values, view, columns)
    if len(lines):
        assert SCALE.y(float(np.nanmax(values))) - THICK / 2 - 1e-9 <= lines[:, [1, 3]].min()
        assert lines[:, [1, 3]].max() <= SCALE.y(float(np.nanmin(values))) + THICK / 2 + 1e-9


def test_a_step_between_two_columns_is_one_unbroken_edge() -> None:
    time_s = np.arange(1000.0)
    lines, _ = strokes(time_s, np.where(time_s < 500, 0.0, 50.0), (0.0, 1000.0), 100)
    spans = {x: (y1, y2) for x, y1, _, y2 in lines}
    assert spans[50.0 + 49.5][0] <= spans[50.0 + 50.5][1]


def test_a_dash_hides_no_spike() -> None:
    flat = np.array([[x + 0.5, 10.0, x + 0.5, 11.5] for x in range(110)])
    spiked = flat.copy()
    spiked[9, 1] = 3.0  # in the part of the period that is left out
    spiked[20, 3] = 40.0
    shown = dashed(spiked, 7.0, 4.0)
    assert [3.0] in shown[:, 1:2].tolist()
    assert [40.0] in shown[:, 3:4].tolist()
    assert len(dashed(flat, 7.0, 4.0)) == 70
    assert len(shown) == 72
