"""The extremes of any stretch are those of its samples, found by looking at each of them."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from knowngood.plotting.growing import Growing
from knowngood.plotting.pyramid import FAN, Pyramid, Stretches

if TYPE_CHECKING:
    from numpy.typing import NDArray

# Minus zero is the same sample as zero, but not the same to a comparison of numpy.
numbers = st.floats(-1e6, 1e6).map(lambda one: one + 0.0)
values = numbers | st.just(float("nan"))
samples = arrays(np.float64, st.integers(1, 3 * FAN * FAN), elements=numbers, fill=values)


def looked_at_each(row: NDArray[np.float64], start: int, stop: int) -> tuple[float, float]:
    held = row[start:stop][~np.isnan(row[start:stop])]
    return (float(held.min()), float(held.max())) if len(held) else (np.nan, np.nan)


@st.composite
def cut_rows(draw: st.DrawFn) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    row = draw(samples)
    edges = draw(st.lists(st.integers(0, len(row)), min_size=2, max_size=12))
    return row, np.array(sorted(edges), dtype=np.intp)


def check(pyramid: Pyramid, row: NDArray[np.float64], edges: NDArray[np.intp]) -> None:
    stretches = Stretches.between(edges)
    found = pyramid.envelope(stretches)
    for place, (start, stop) in enumerate(itertools.pairwise(edges)):
        expected = looked_at_each(row, int(start), int(stop))
        np.testing.assert_equal((found.low[place], found.high[place]), expected)
        ends = (row[start], row[stop - 1]) if stop > start else (np.nan, np.nan)
        np.testing.assert_equal((found.first[place], found.last[place]), ends)


@given(cut_rows())
def test_extremes_and_ends_are_those_of_the_samples_themselves(
    case: tuple[NDArray[np.float64], NDArray[np.intp]],
) -> None:
    row, edges = case
    check(Pyramid(Growing(row)), row, edges)


@given(cut_rows(), st.lists(st.integers(0, 700), max_size=4))
def test_it_does_not_matter_in_which_pieces_samples_came(
    case: tuple[NDArray[np.float64], NDArray[np.intp]], cuts: list[int]
) -> None:
    row, edges = case
    pieces = np.split(row, sorted(min(cut, len(row)) for cut in cuts))
    grown = Growing(pieces[0])
    pyramid = Pyramid(grown)
    for piece in pieces[1:]:
        grown.append(piece)
        pyramid.grow()
    check(pyramid, row, edges)


@given(cut_rows(), st.integers(0, 700), st.floats(0.01, 100.0), numbers)
def test_samples_shown_in_another_unit_have_the_extremes_of_what_is_shown(
    case: tuple[NDArray[np.float64], NDArray[np.intp]], cut: int, factor: float, offset: float
) -> None:
    row, edges = case
    shown = row * factor + offset
    grown = Growing(row[:cut], factor, offset)
    pyramid = Pyramid(grown)
    # What is added while a logger writes comes as it is shown.
    grown.append(shown[cut:])
    pyramid.grow()
    check(pyramid, shown, edges)
    np.testing.assert_equal(grown.part(0, len(row)), shown)
    if len(row):
        np.testing.assert_equal([grown.at(0), grown.at(-1)], shown[[0, -1]])


def test_one_sample_among_a_million_is_seen_wherever_it_lies() -> None:
    for at in (0, 1, 15, 16, 65_535, 65_536, 499_999, 999_998, 999_999):
        row = np.zeros(1_000_000)
        row[at] = 7.0
        found = Pyramid(Growing(row)).envelope(Stretches.between(np.linspace(0, 1_000_000, 801).astype(int)))
        assert np.flatnonzero(found.high == 7.0).tolist() == [at * 800 // 1_000_000]


def test_the_extremes_take_an_eighth_of_the_samples_room_at_most() -> None:
    row = np.zeros(1_000_000)
    assert Pyramid(Growing(row)).nbytes < 2 * row.nbytes / 8 * 1.2
