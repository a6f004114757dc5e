"""The report's plot and the findings in words."""

from __future__ import annotations

import re

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from knowngood.formatting import System
from knowngood_refdata.records import (
    Estimate,
    Event,
    EventKind,
    Quantity,
    Response,
    SteadyWindow,
    Verdict,
)
from knowngood_sessions.findings_words import response_text, short_words
from knowngood_sessions.svg import Curve, Mark, Panel, Shade, plot_svg, thinned, ticks

TIME_S = np.arange(0.0, 600.0)
WINDOW = SteadyWindow(20.0, 230.0, 750.0, 1, "idle", {Quantity.LOW_SIDE: Estimate(308_168.0, 4_000.0)})
FAN = Event(EventKind.FAN_STAGE_UP, 264.0, "fan switched to stage 2, seen by the high side")
RESPONSE = Response(
    750.0,
    2_500.0,
    Estimate(89_632.0, 3_000.0),
    Estimate(-337_843.0, 11_000.0),
    Verdict.RISES,
    Verdict.FALLS,
    same_fan_stage=False,
    remark="fan switched to stage 2 at 4:24",
)


def drawn(values: np.ndarray[tuple[int], np.dtype[np.float64]]) -> str:
    curve = Curve("high <side>", "#b43a44", values)
    return plot_svg(
        TIME_S, [Panel("Pressures (psig)", (curve,))], [Shade(20.0, 230.0, "idle")], [Mark(264.0, "fan & co")]
    )


def test_the_plot_shows_curve_window_and_event_and_escapes_every_text() -> None:
    svg = drawn(np.linspace(100.0, 150.0, 600))
    assert "#b43a44" in svg
    assert ">idle<" in svg
    assert "stroke-dasharray" in svg
    assert "high &lt;side&gt;" in svg
    assert "fan &amp; co" in svg


def test_a_gap_in_the_samples_stays_a_gap_in_the_curve() -> None:
    values = np.linspace(100.0, 150.0, 600)
    whole = re.findall(r' d="(M[^"]*L[^"]*)"', drawn(values))
    values[200:260] = np.nan
    broken = re.findall(r' d="(M[^"]*L[^"]*)"', drawn(values))
    assert whole[0].count("M") == 1
    assert broken[0].count("M") == 2


def test_a_channel_without_any_value_is_left_out_and_the_plot_still_drawn() -> None:
    assert "high &lt;side&gt;" not in drawn(np.full(600, np.nan))


@given(
    st.lists(st.floats(-1e6, 1e6) | st.just(np.nan), min_size=1, max_size=400),
    st.integers(min_value=2, max_value=60),
)
def test_thinning_keeps_the_lowest_and_the_highest_sample(samples: list[float], most: int) -> None:
    values = np.array(samples)
    kept = thinned(values, most)
    assert (np.diff(kept) > 0).all()
    assert kept.size <= max(most, 2)
    if np.isfinite(values).any():
        assert np.nanmin(values[kept]) == np.nanmin(values)
        assert np.nanmax(values[kept]) == np.nanmax(values)


@given(st.floats(-1e5, 1e5), st.floats(0.01, 1e5))
def test_ticks_are_few_and_inside(low: float, width: float) -> None:
    found = ticks(low, low + width)
    assert 1 <= len(found) <= 7
    assert all(low - 1e-6 <= one <= low + width + 1e-6 for one in found)


def test_a_response_is_told_with_direction_change_and_remark() -> None:
    text = response_text(RESPONSE, System.US)
    assert "low side rises (+13.0 ± 0.9 psi), high side falls (−49.0 ± 3.1 psi)." in text
    assert text.endswith("Fan switched to stage 2 at 4:24")


def test_a_plot_shows_an_event_without_how_it_was_seen() -> None:
    assert short_words(FAN) == "fan switched to stage 2"
