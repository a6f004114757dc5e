"""Every finding in words: in both unit systems, with the samples it comes from, and a stretch to show."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from knowngood.formatting import System
from knowngood_refdata.records import (
    Behaviour,
    Estimate,
    Event,
    EventKind,
    Evidence,
    FanThreshold,
    Findings,
    Quantity,
    Recovery,
    Response,
    Role,
    SteadyWindow,
    Stroke,
    StrokeFinding,
    Unsettled,
    Verdict,
)
from knowngood_sessions.findings_words import Counting, Line, lines

if TYPE_CHECKING:
    from knowngood_sessions.gather import Session

PSI_PA = 6_894.757
ATMOSPHERE_PA = 101_325.0
WINDOW = SteadyWindow(
    20.0, 230.0, 750.0, 1, "idle", {Quantity.LOW_SIDE: Estimate(308_168.0, 4_000.0)},
    behaviour={
        Quantity.LOW_SIDE: Behaviour(
            0.4 * PSI_PA, Estimate(0.02 * PSI_PA, 0.005 * PSI_PA), 30.0, amplitude=PSI_PA, period_s=24.0
        )
    },
)  # fmt: skip
FASTER = SteadyWindow(300.0, 500.0, 2_000.0, 1, "2000 rpm", {})
FAN = Event(
    EventKind.FAN_STAGE_UP, 264.0, "fan switched to stage 2",
    evidence=Evidence(250.0, 280.0, (Role.HIGH_SIDE,)),
)  # fmt: skip
DOOR = Event(EventKind.DOORS, 100.0, "driver's door open", until_s=130.0, by_hand=True)
RESPONSE = Response(
    750.0, 2_000.0, Estimate(-9e4, 3e3), Estimate(3e3, 1e4), Verdict.FALLS, Verdict.LEVEL,
    same_fan_stage=True, low_per_octave=Estimate(-0.105, 0.02), from_at_s=20.0, to_at_s=300.0,
)  # fmt: skip
EVERYTHING = Findings(
    windows=(WINDOW, FASTER),
    events=(DOOR, FAN),
    responses=(RESPONSE,),
    unsettled=(
        Unsettled(
            0.0, 20.0, ("high side still falls {62.1 kPa} a minute", "vent still falls {1.0 K} a minute")
        ),
        Unsettled(230.0, 233.0, ("only 3 s until something happens again",)),
    ),
    fan=(
        FanThreshold(
            2, Estimate(ATMOSPHERE_PA + 230 * PSI_PA, PSI_PA),
            Estimate(ATMOSPHERE_PA + 180 * PSI_PA, PSI_PA), 3, 1,
            Evidence(247.0, 480.0, (Role.HIGH_SIDE,)),
        ),
    ),
    recoveries=(Recovery(EventKind.FAN_STAGE_UP, 264.0, 42.0, Role.HIGH_SIDE),),
    stroke=StrokeFinding(Stroke.REGULATING, ("the low side holds within 3 %", "the high side climbs")),
)  # fmt: skip


def told(found: Findings, system: System = System.US) -> tuple[Line, ...]:
    return lines(found, Counting(system, ATMOSPHERE_PA, lambda from_s, until_s: round(until_s - from_s)))


def line(words: str, system: System = System.US) -> Line:
    return next(one for one in told(EVERYTHING, system) if words in one.text)


@pytest.mark.parametrize("system", System)
def test_every_finding_can_be_chosen_shown_and_says_from_which_samples_it_comes(system: System) -> None:
    findings = [one for one in told(EVERYTHING, system) if not one.heading]
    for one in findings:
        assert one.span_s is not None, one.text
        by_hand = "by hand" in one.text
        assert by_hand or any("samples" in detail for detail in one.details), one.text


def test_a_session_in_which_nothing_settled_says_so() -> None:
    texts = [one.text for one in told(Findings())]
    assert "None: the readings never settled for long enough." in texts
    assert "None: that takes a steady window at idle and one at a higher speed." in texts
    assert all(one.span_s is None for one in told(Findings()))


def test_a_window_is_told_with_values_and_its_details_with_uncertainty_spread_drift_and_hunting() -> None:
    window = line("idle: 0:20 to 3:50, fan stage 1")
    assert "low 30.0 psig" in window.text
    low, moved, samples = window.details
    assert low == "low side 30.0 ± 1.1 psig"
    assert moved.strip() == "spread 0.40 psi, drift +1.20 ± 0.59 psi/min, hunting by ± 1.00 psi every 24 s"
    assert samples == "from the 210 samples, 0:20 to 3:50"
    assert "low 2.07 bar g" in line("idle: 0:20", System.SI).text


def test_why_a_stretch_is_not_steady_is_told_in_the_units_shown() -> None:
    assert "high side still falls 9.0 psi a minute, and 1 more reason" in line("0:00 to 0:20").text
    assert line("0:00 to 0:20").details[0] == "vent still falls 1.8 °F a minute"
    si = line("0:00 to 0:20", System.SI)
    assert "high side still falls 0.6" in si.text
    assert "bar a minute" in si.text
    assert not any("{" in one.text or "{" in "".join(one.details) for one in told(EVERYTHING))


def test_a_few_seconds_before_something_happens_are_no_line_of_their_own() -> None:
    assert not any("3:50 to 3:53" in one.text for one in told(EVERYTHING))


def test_a_response_tells_the_change_a_doubling_and_shows_both_windows() -> None:
    response = line("750 to 2000 rpm: low side falls")
    assert response.span_s == (20.0, 500.0)
    # exp(-0.105) - 1 = -10.0 %.
    assert response.details[0].startswith("low side −10.0 ± 3.5 % (absolute pressure) for each doubling")
    assert "fan at the same stage in both" in response.details


def test_fan_thresholds_tell_hysteresis_and_how_often_each_was_seen() -> None:
    fan = line("Stage 2: on at 230.0 psig, off at 180.0 psig")
    assert [one.partition(", ")[2] for one in fan.details[:2]] == ["seen 3 times", "seen once"]
    assert fan.details[2].startswith("hysteresis 50.0 ± 2.8 psi")


def test_fan_thresholds_say_from_which_samples_they_come_and_show_them() -> None:
    fan = line("Stage 2: on at 230.0 psig")
    assert fan.details[-1] == "from the 233 samples of high side, 4:07 to 8:00"
    assert (fan.span_s, fan.exact) == ((247.0, 480.0), True)


@pytest.mark.parametrize(
    ("within_s", "words"), [(None, "4:24"), (0.25, "4:24"), (0.62, "4:24 ± 0.6 s"), (3.2, "4:24 ± 3 s")]
)
def test_a_moment_that_is_not_known_to_a_third_of_a_second_says_how_well_it_is(
    within_s: float | None, words: str
) -> None:
    (step,) = (
        one for one in told(Findings(events=(replace(FAN, within_s=within_s),))) if one.event is not None
    )
    assert step.text == f"{words}  fan switched to stage 2"


def test_what_a_person_noted_is_told_apart_from_what_the_program_found() -> None:
    noted, found = line("driver's door open"), line("4:24  fan switched")
    assert noted.text == "1:40 to 2:10  driver's door open (doors, by hand)"
    assert "by hand" not in found.text
    assert found.details == ("from the 30 samples of high side, 4:10 to 4:40",)


def test_a_window_set_by_hand_without_values_yet_says_so() -> None:
    (hand,) = (
        one
        for one in told(Findings(windows=(SteadyWindow(5.0, 9.0, None, None, "mine", {}, by_hand=True),)))
        if one.window is not None
    )
    assert hand.text == "mine, by hand: 0:05 to 0:09, fan stage not known\nIts values are not worked out yet."


def test_the_words_of_a_whole_session_name_windows_events_and_response(session: Session) -> None:
    texts = "\n".join(one.text for one in lines(session.findings, Counting(System.US, session.barometer_pa)))
    assert "idle: 0:00" in texts
    assert "fan switched to stage 2" in texts
    assert "2500 rpm" in texts
    assert "low side rises" in texts
