"""How both sides answer engine speed: direction, uncertainty, and when one cannot tell."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_refdata.quantities import Kind, unit
from knowngood_refdata.records import (
    Estimate,
    Instruments,
    PressureInstrument,
    Quantity,
    SteadyWindow,
    Verdict,
)
from knowngood_sessions.core.finding.events import FanHistory
from knowngood_sessions.core.finding.fan_step import FanStep
from knowngood_sessions.core.finding.response import Settled, clock, responses, verdict

PSI = unit("psi", Kind.PRESSURE).factor
NO_FAN = FanHistory((), None)


def settled(start_s: float, rpm: float | None, low_psi: float, high_psi: float) -> Settled:
    """A window of a minute; pressures in psi absolute."""
    values = {
        Quantity.LOW_SIDE: Estimate(low_psi * PSI, 9e3),
        Quantity.HIGH_SIDE: Estimate(high_psi * PSI, 32e3),
    }
    window = SteadyWindow(start_s, start_s + 60.0, rpm, None, "", values)
    return Settled(window, {Quantity.LOW_SIDE: 300.0, Quantity.HIGH_SIDE: 1e3})


def test_what_the_gauge_shows_too_much_in_both_windows_cancels() -> None:
    (response,) = responses(
        [settled(0.0, 750.0, 45.0, 165.0), settled(100.0, 2000.0, 42.0, 180.0)], NO_FAN, Instruments()
    )
    assert response.low_pa.value == pytest.approx(-3.0 * PSI)
    # Class 1.6 of 10 bar: 16 kPa / sqrt 3 = 9.24 kPa for one reading. A quarter of it, twice: 3.27 kPa.
    assert response.low_pa.standard_uncertainty == pytest.approx(np.hypot(3_266.0, 424.0), rel=0.01)
    assert (response.low, response.high) == (Verdict.FALLS, Verdict.RISES)


def test_a_coarse_gauge_cannot_tell_what_a_fine_one_can() -> None:
    pair = [settled(0.0, 750.0, 45.0, 165.0), settled(100.0, 2000.0, 42.5, 165.0)]
    coarse = PressureInstrument(4.0, 60e5)
    (by_fine,) = responses(pair, NO_FAN, Instruments())
    (by_coarse,) = responses(pair, NO_FAN, Instruments(low=coarse, high=coarse))
    assert (by_fine.low, by_fine.high) == (Verdict.FALLS, Verdict.LEVEL)
    assert (by_coarse.low, by_coarse.high) == (Verdict.CANNOT_TELL, Verdict.CANNOT_TELL)


@given(st.floats(-30.0, 30.0), st.floats(0.01, 10.0), st.floats(0.5, 10.0))
def test_a_verdict_mirrors_with_the_sign_of_the_change(change: float, error: float, least: float) -> None:
    mirrored = {Verdict.RISES: Verdict.FALLS, Verdict.FALLS: Verdict.RISES}
    said = verdict(change, error, least)
    assert verdict(-change, error, least) is mirrored.get(said, said)


@given(st.floats(-30.0, 30.0), st.floats(0.01, 10.0), st.floats(0.5, 10.0))
def test_no_direction_is_given_to_a_change_that_could_be_none(
    change: float, error: float, least: float
) -> None:
    said = verdict(change, error, least)
    if abs(change) < 1.96 * error or abs(change) < least:
        assert said in {Verdict.LEVEL, Verdict.CANNOT_TELL}
    if 1.96 * error > least:
        assert said is not Verdict.LEVEL


def test_an_unknown_change_is_no_verdict() -> None:
    assert verdict(float("nan"), 1.0, 3.0) is Verdict.CANNOT_TELL


def test_each_higher_speed_is_answered_from_idle() -> None:
    windows = [
        settled(0.0, 750.0, 45.0, 165.0),
        settled(100.0, 1500.0, 42.0, 175.0),
        settled(200.0, 2500.0, 38.0, 185.0),
        settled(300.0, 2450.0, 38.0, 185.0),
    ]
    found = responses(windows, NO_FAN, Instruments())
    assert [(one.from_rpm, one.to_rpm) for one in found] == [(750.0, 1500.0), (750.0, 2500.0)]


def test_the_pair_at_equal_fan_stage_comes_first_and_the_other_is_told_with_its_fan_event() -> None:
    fan = FanHistory((FanStep(271.0, up=True),), 1)
    windows = [
        settled(0.0, 750.0, 45.0, 165.0),
        settled(300.0, 2500.0, 58.0, 116.0),
        settled(500.0, 750.0, 58.0, 110.0),
    ]
    alike, reached = responses(windows, fan, Instruments())
    assert (alike.same_fan_stage, alike.remark, alike.low) == (True, "", Verdict.LEVEL)
    assert not reached.same_fan_stage
    assert reached.remark == "fan switched to stage 2 at 4:31: the change is not the engine speed's alone"
    assert (reached.low, reached.high) == (Verdict.RISES, Verdict.FALLS)


def test_a_pair_that_can_tell_is_taken_before_a_nearer_one_that_cannot() -> None:
    vague = settled(80.0, 750.0, 45.0, 165.0)
    vague = Settled(vague.window, {Quantity.LOW_SIDE: 9e3, Quantity.HIGH_SIDE: 1e3})
    windows = [vague, settled(200.0, 2500.0, 45.0, 165.0), settled(320.0, 750.0, 45.0, 165.0)]
    (response,) = responses(windows, NO_FAN, Instruments())
    assert (response.low, response.from_at_s) == (Verdict.LEVEL, 320.0)
    (only,) = responses(windows[:2], NO_FAN, Instruments())
    assert (only.low, only.from_at_s) == (Verdict.CANNOT_TELL, 80.0)


def test_a_change_is_told_an_octave_with_its_uncertainty() -> None:
    (response,) = responses(
        [settled(0.0, 800.0, 50.0, 160.0), settled(100.0, 3200.0, 32.0, 250.0)], NO_FAN, Instruments()
    )
    # Two doublings: half the logarithm of each ratio.
    assert response.low_per_octave is not None
    assert response.high_per_octave is not None
    assert response.low_per_octave.value == pytest.approx(0.5 * np.log(32.0 / 50.0))
    assert response.high_per_octave.value == pytest.approx(0.5 * np.log(250.0 / 160.0))
    # What comes anew: a quarter of 9.24 kPa at either pressure; what stays shifts the two logarithms apart.
    own, before, after = 9_238.0, 50.0 * PSI, 32.0 * PSI
    anew = [np.hypot(0.25 * own, 300.0) / level for level in (before, after)]
    expected = 0.5 * np.sqrt(anew[0] ** 2 + anew[1] ** 2 + (own * (1 / after - 1 / before)) ** 2)
    assert response.low_per_octave.standard_uncertainty == pytest.approx(expected, rel=1e-3)


def test_a_fan_that_came_and_went_between_the_windows_is_told() -> None:
    fan = FanHistory((FanStep(80.0, up=True), FanStep(90.0, up=False)), None)
    windows = [settled(0.0, 750.0, 45.0, 165.0), settled(100.0, 2500.0, 45.0, 165.0)]
    (response,) = responses(windows, fan, Instruments())
    assert response.same_fan_stage
    assert "same stage in both windows" in response.remark


def test_a_fan_step_that_a_note_may_explain_is_not_counted_but_told_as_perhaps_another_stage() -> None:
    sure, doubted = FanStep(80.0, up=True), FanStep(85.0, up=True, doubted=True)
    windows = [settled(0.0, 750.0, 45.0, 165.0), settled(100.0, 2500.0, 45.0, 165.0)]
    (response,) = responses(windows, FanHistory((doubted,), 1), Instruments())
    assert response.same_fan_stage
    assert response.remark == "perhaps fan switched to stage 2 at 1:25: perhaps another fan stage"
    (both,) = responses(windows, FanHistory((sure, doubted), 1), Instruments())
    assert not both.same_fan_stage
    assert both.remark.startswith("fan switched to stage 2 at 1:20, perhaps fan switched to stage 3 at 1:25:")
    assert both.remark.endswith("the change is not the engine speed's alone")


def test_without_two_speeds_there_is_no_response() -> None:
    idle = settled(0.0, 750.0, 45.0, 165.0)
    assert responses([], NO_FAN, Instruments()) == ()
    assert responses([idle], NO_FAN, Instruments()) == ()
    assert responses([idle, settled(100.0, 800.0, 45.0, 165.0)], NO_FAN, Instruments()) == ()
    assert responses([idle, settled(100.0, None, 45.0, 165.0)], NO_FAN, Instruments()) == ()


def test_a_moment_is_written_as_on_a_stop_watch() -> None:
    assert [clock(at_s) for at_s in (0.0, 59.6, 271.0, 3_600.0)] == ["0:00", "1:00", "4:31", "1:00:00"]
