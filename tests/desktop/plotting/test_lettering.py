"""Axes and words: round numbers, as many as there is room for, none on top of another."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood.plotting.layout import Layout, laid_out, lane_rows
from knowngood.plotting.marks import Marks
from knowngood.plotting.records import Annotation
from knowngood.plotting.scales import Across, Upright, clock_ticks, roomy, value_ticks
from knowngood.plotting.words import NUDGE_PX, apart, place

finite = st.floats(-1e5, 1e5)


@given(finite, st.floats(0.0, 1e5))
def test_limits_hold_every_value_with_room_on_both_sides(low: float, width: float) -> None:
    bottom, top = roomy(low, low + width)
    assert bottom < low
    assert top > low + width
    assert top - bottom < 3.0 * max(width, 1.0, 0.05 * abs(low))


@given(finite, st.floats(1e-3, 1e5), st.integers(1, 12))
def test_an_axis_has_two_round_values_at_least_and_not_many_more_than_asked(
    low: float, width: float, most: int
) -> None:
    ticks = [value for value, _ in value_ticks(low, low + width, most)]
    texts = [text for _, text in value_ticks(low, low + width, most)]
    assert 2 <= len(ticks) <= max(most, 5) + 1
    assert len(set(texts)) == len(texts)
    assert all(low - 1e-6 * width <= one <= low + width * (1 + 1e-6) for one in ticks)
    assert all(
        float(text.replace("−", "-")) == pytest.approx(one, abs=1e-9 * abs(low) + 1e-9)
        for one, text in zip(ticks, texts, strict=True)
    )


@given(st.floats(-1e4, 1e6), st.floats(0.01, 1e6), st.integers(1, 20))
def test_moments_on_the_axis_are_distinct_and_not_more_than_asked(
    start: float, span: float, most: int
) -> None:
    ticks = clock_ticks(start, start + span, most)
    assert len(ticks) <= most + 1
    assert len({text for _, text in ticks}) == len(ticks)


@given(finite, st.floats(0.1, 1e5), st.floats(0.0, 1.0))
def test_places_and_moments_are_inverse(start: float, span: float, part: float) -> None:
    across = Across(start, start + span, 50.0, 800.0)
    at_s = start + part * span
    assert across.moment(across.x(at_s)) == pytest.approx(at_s, abs=1e-6 * span)


def test_a_higher_value_lies_higher() -> None:
    upright = Upright(0.0, 10.0, 300.0, 200.0)
    assert (upright.y(0.0), upright.y(10.0), upright.cut(99.0)) == (300.0, 100.0, 100.0)


words = st.lists(st.tuples(st.floats(-50.0, 900.0), st.floats(5.0, 200.0)), max_size=40)


@given(words, st.integers(0, 3))
def test_no_word_covers_another_and_none_is_lost(wanted: list[tuple[float, float]], rows: int) -> None:
    found = place(wanted, 0.0, 800.0, rows)
    inside = {number for number, (at, _) in enumerate(wanted) if 0.0 <= at <= 800.0}
    assert {one.index for one in found.placed} | set(found.left_out) == inside
    assert len(found.placed) + len(found.left_out) == len(inside)
    for row in range(rows):
        here = sorted((one.x, one.x + one.width) for one in found.placed if one.row == row)
        assert all(end <= begin for (_, end), (begin, _) in pairwise(here))
    for one in found.placed:
        at = wanted[one.index][0]
        assert one.x <= at + NUDGE_PX + 1e-9
        assert one.x + one.width <= 800.0 + 1e-9


@given(st.lists(st.floats(0.0, 300.0), max_size=30))
def test_names_at_the_ends_of_lines_keep_their_distance_and_their_order(wanted: list[float]) -> None:
    found = apart(wanted, 12.0, 6.0, 294.0)
    shown = [(want, at) for want, at in zip(wanted, found, strict=True) if at is not None]
    assert len(shown) == min(len(wanted), 25)
    heights = [at for _, at in sorted(shown)]
    assert all(other - one >= 12.0 - 1e-6 for one, other in pairwise(heights))
    assert all(6.0 - 1e-6 <= at <= 294.0 + 1e-6 for at in heights)


def drawn(height: float, panels: int, marks: Marks) -> Layout:
    return laid_out(900.0, height, [2] * panels, lane_rows(marks, height, panels), 120.0)


@given(st.floats(120.0, 1200.0), st.integers(1, 8), st.integers(0, 30), st.integers(0, 80), st.integers(0, 9))
def test_parts_follow_one_another_and_the_panels_get_most_of_the_room(
    height: float, panels: int, windows: int, events: int, notes: int
) -> None:
    marks = Marks(
        tuple((float(one), one + 0.5, "idle") for one in range(windows)),
        tuple((float(one), "fan stage 2") for one in range(events)),
        tuple(Annotation(float(one), "door") for one in range(notes)),
    )
    layout = drawn(height, panels, marks)
    edges = [layout.lane.bottom]
    for heading, panel in zip(layout.headings, layout.panels, strict=True):
        edges += [heading.top, panel.top, panel.bottom]
        assert panel.height >= 1.0
    room_left = height > 60.0 + 20.0 * panels
    assert all(one <= other + 1e-6 for one, other in pairwise(edges))
    assert edges[-1] <= layout.axis.top + 1.0 or not room_left
    assert layout.lane.height <= max(0.3 * height, 45.0)
    kinds = [layout.rows.windows, layout.rows.events, layout.rows.notes]
    assert [row > 0 for row in kinds] == [count > 0 for count in (windows, events, notes)]


def test_eight_plots_leave_room_for_two_numbers_each_on_the_smallest_screen() -> None:
    # A page of 1280x800 leaves the plot some 520 pixels; two numbers of an axis need 22 each.
    marks = Marks(((0.0, 1.0, "idle"),), ((2.0, "fan stage 2"),) * 3)
    assert min(one.height for one in drawn(520.0, 8, marks).panels) >= 30.0
