"""The stretch in view: zoomed around what stays, never lost, carried along by a recording that grows."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood.plotting.view import LEAST_SAMPLES, View

WHOLE = View(0.0, 600.0)
moments = st.floats(-1e4, 1e4)
spans = st.floats(1e-3, 1e5)


@given(moments, spans, st.floats(0.01, 100.0), st.floats(0.0, 1.0))
def test_zooming_keeps_the_moment_under_the_mouse_where_it_is(
    start: float, span: float, factor: float, place: float
) -> None:
    view = View(start, start + span)
    around = start + place * span
    zoomed = view.zoomed(factor, around)
    assert zoomed.span_s == pytest.approx(factor * span, rel=1e-6, abs=1e-6)
    assert (around - zoomed.start_s) / zoomed.span_s == pytest.approx(place, abs=1e-4)


@given(moments, spans)
def test_a_limited_view_always_shows_some_of_the_session(start: float, span: float) -> None:
    seen = View(start, start + span).limited(WHOLE, 1.0)
    assert LEAST_SAMPLES * 0.999 <= seen.span_s <= 1.5 * WHOLE.span_s * 1.001
    shown = min(seen.end_s, WHOLE.end_s) - max(seen.start_s, WHOLE.start_s)
    assert shown >= 0.49 * min(seen.span_s, WHOLE.span_s)


@given(moments, spans)
def test_limiting_a_limited_view_changes_nothing(start: float, span: float) -> None:
    once = View(start, start + span).limited(WHOLE, 1.0)
    again = once.limited(WHOLE, 1.0)
    assert (again.start_s, again.end_s) == pytest.approx((once.start_s, once.end_s))


@given(moments)
def test_a_view_moved_to_hold_a_moment_holds_it_and_keeps_its_length(at_s: float) -> None:
    seen = View(100.0, 160.0).holding(at_s)
    assert seen.start_s <= at_s <= seen.end_s
    assert seen.span_s == pytest.approx(60.0)


def test_who_saw_everything_goes_on_seeing_everything() -> None:
    assert WHOLE.followed(WHOLE, View(0.0, 610.0)) == View(0.0, 610.0)


def test_who_saw_the_last_minute_goes_on_seeing_a_last_minute() -> None:
    assert View(540.0, 600.0).followed(WHOLE, View(0.0, 610.0)) == View(550.0, 610.0)


def test_a_view_of_the_past_does_not_follow() -> None:
    assert not View(100.0, 200.0).reaches(600.0, 1.0)
    assert View(540.0, 600.0).reaches(600.0, 1.0)
