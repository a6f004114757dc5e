"""Whole sessions: the trade's facts, and what a finding must not depend on."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA
from knowngood_refdata.records import (
    Channel,
    Conditions,
    EventKind,
    Findings,
    Instruments,
    Quantity,
    Recording,
    Role,
    Verdict,
)
from knowngood_sessions.core.finding.analysis import analyse, barometer_of

if TYPE_CHECKING:
    from tests.plugins.sessions.conftest import Kit, MadeSession

INSTRUMENTS = Instruments()
AT_STAGE_ONE = Conditions(fan_stage=1)
KELVIN_A_FAHRENHEIT = 5 / 9


def findings(made: MadeSession, conditions: Conditions = AT_STAGE_ONE) -> Findings:
    return analyse(made.recording, "R-134a", conditions, INSTRUMENTS)


def two_plateaus(kit: type[Kit], seed: int, sampling_s: float, fan_after_s: float) -> MadeSession:
    """Idle 150/30 psi; 2,500 rpm with the fan forced to full 101/43 psi; back over one to two minutes."""
    idle = kit.targets(30.0, 150.0, 750.0, 6 * KELVIN_A_FAHRENHEIT, 37 * KELVIN_A_FAHRENHEIT)
    forced = kit.targets(43.0, 101.0, 2500.0, 6 * KELVIN_A_FAHRENHEIT, 37 * KELVIN_A_FAHRENHEIT)
    back = {"low": 25.0, "high": 30.0, "suction": 25.0, "liquid": 30.0}
    turns = [kit.Turn(0.0, "start", idle), kit.Turn(180.0, "engine", {**forced, "low": 29.0, "high": 158.0})]
    if fan_after_s:
        turns.append(kit.Turn(180.0 + fan_after_s, "fan", forced, {"high": 6.0, "low": 15.0}))
    else:
        turns[1] = kit.Turn(180.0, "engine", forced, {"high": 10.0})
    turns.append(kit.Turn(420.0, "engine", idle, back))
    return kit.make(turns, 720.0, sampling_s=sampling_s, seed=seed, noise=kit.Noise(offset_of_limit=1.0))


@pytest.mark.parametrize("sampling_s", [1.0, 0.2])
@pytest.mark.parametrize("fan_after_s", [0.0, 25.0, 50.0])
def test_low_rises_and_high_falls_where_the_fan_was_forced_with_the_engine(
    kit: type[Kit], sampling_s: float, fan_after_s: float
) -> None:
    # Common practice, no source: one variable-displacement car, both plateaus as in `two_plateaus`.
    for seed in range(4):
        found = findings(two_plateaus(kit, seed, sampling_s, fan_after_s))
        fan_up = [event for event in found.events if event.kind is EventKind.FAN_STAGE_UP]
        assert [event.at_s for event in fan_up] == [pytest.approx(180.0 + fan_after_s, abs=3.0)]
        response = found.responses[-1]
        assert (response.low, response.high) == (Verdict.RISES, Verdict.FALLS)
        assert not response.same_fan_stage
        assert "fan switched to stage 2 at 3:" in response.remark
        assert "the change is not the engine speed's alone" in response.remark
        assert response.low_pa.value / kit.PSI == pytest.approx(13.0, abs=0.5)
        assert response.high_pa.value / kit.PSI == pytest.approx(-49.0, abs=2.5)


@pytest.mark.parametrize("sampling_s", [1.0, 0.2])
def test_both_plateaus_are_steady_windows_with_their_settled_values(
    kit: type[Kit], sampling_s: float
) -> None:
    for seed in range(6):
        found = findings(two_plateaus(kit, seed, sampling_s, 25.0))
        by_label = {window.label: window for window in found.windows}
        assert {"idle", "2500 rpm"} <= by_label.keys()
        for label, stage, low, high in (("idle", 1, 30.0, 150.0), ("2500 rpm", 2, 43.0, 101.0)):
            window = by_label[label]
            assert window.fan_stage == stage
            expected = {
                Quantity.LOW_SIDE: low * kit.PSI + STANDARD_ATMOSPHERE_PA,
                Quantity.HIGH_SIDE: high * kit.PSI + STANDARD_ATMOSPHERE_PA,
                Quantity.SUPERHEAT: 6 * KELVIN_A_FAHRENHEIT,
                Quantity.SUBCOOLING: 37 * KELVIN_A_FAHRENHEIT,
            }
            for quantity, value in expected.items():
                estimate = window.values[quantity]
                assert abs(estimate.value - value) < 2.0 * estimate.standard_uncertainty
            # Class 1.6 of 35 bar: 56 kPa / sqrt 3, and little scatter on top.
            assert window.values[Quantity.HIGH_SIDE].standard_uncertainty == pytest.approx(32.3e3, rel=0.02)


@pytest.mark.parametrize(
    ("low_psi", "high_psi", "low", "high"),
    [
        (14.0, 151.5, Verdict.FALLS, Verdict.LEVEL),
        (30.4, 182.0, Verdict.LEVEL, Verdict.RISES),
        (29.8, 151.0, Verdict.LEVEL, Verdict.LEVEL),
        (15.0, 217.0, Verdict.FALLS, Verdict.RISES),
    ],
)
def test_each_way_of_answering_the_engine_is_classed_right_with_gauges_of_class_1_6(
    kit: type[Kit], low_psi: float, high_psi: float, low: Verdict, high: Verdict
) -> None:
    # Common practice, no source, for the first two; own calculation for the last.
    turns = [
        kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0)),
        kit.Turn(150.0, "engine", kit.targets(low_psi, high_psi, 2500.0)),
    ]
    for seed in range(8):
        noise = kit.Noise(of_limit=0.15, offset_of_limit=1.0)
        (response,) = findings(kit.make(turns, 360.0, seed=seed, noise=noise)).responses
        assert (response.low, response.high) == (low, high)
        assert response.same_fan_stage


def test_a_session_that_does_not_settle_at_speed_gives_no_response(kit: type[Kit]) -> None:
    turns = [
        kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0)),
        kit.Turn(120.0, "engine", kit.targets(20.0, 230.0, 2500.0), {"high": 45.0}),
    ]
    for seed in range(6):
        assert findings(kit.make(turns, 165.0, seed=seed)).responses == ()


def test_windows_are_named_by_engine_speed_and_numbered_when_it_comes_again(kit: type[Kit]) -> None:
    speeds = [750.0, 2000.0, 750.0]
    turns = [
        kit.Turn(150.0 * i, "engine", kit.targets(30.0 - 2 * (rpm > 1e3), 150.0, rpm))
        for i, rpm in enumerate(speeds)
    ]
    found = findings(kit.make(turns, 450.0), Conditions())
    assert [window.label for window in found.windows] == ["idle", "2000 rpm", "idle (2)"]
    assert [window.fan_stage for window in found.windows] == [None, None, None]


def test_without_an_engine_speed_channel_there_are_windows_and_no_response(kit: type[Kit]) -> None:
    made = kit.make([kit.Turn(0.0, "s", kit.targets(30.0, 150.0, 750.0))], 120.0, without=("rpm",))
    found = findings(made)
    assert [(window.label, window.engine_rpm) for window in found.windows] == [("steady", None)]
    assert found.responses == ()


def test_condensing_above_ambient_is_taken_from_the_noted_ambient(kit: type[Kit]) -> None:
    made = kit.make([kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0))], 120.0)
    (with_it,) = findings(made, Conditions(ambient_k=300.0)).windows
    (without,) = findings(made).windows
    # R-134a at 150 psi gauge condenses at 44.2 °C (pressure-temperature charts, from memory).
    above = with_it.values[Quantity.CONDENSING_ABOVE_AMBIENT]
    assert above.value == pytest.approx(44.2 + 273.15 - 300.0, abs=0.5)
    assert Quantity.CONDENSING_ABOVE_AMBIENT not in without.values


def test_findings_do_not_depend_on_the_unit_or_on_gauge_against_absolute(kit: type[Kit]) -> None:
    made = two_plateaus(kit, 3, 1.0, 25.0)
    channels = [
        Channel(
            one.name,
            one.role,
            "kPa",
            gauge=False,
            values=(one.values * kit.PSI + STANDARD_ATMOSPHERE_PA) / 1e3,
        )
        if one.role in {Role.LOW_SIDE, Role.HIGH_SIDE}
        else one
        for one in made.recording.channels
    ]
    other = analyse(Recording(made.recording.time_s, tuple(channels)), "R-134a", AT_STAGE_ONE, INSTRUMENTS)
    first = findings(made)
    assert other.events == first.events
    assert [(one.start_s, one.end_s) for one in other.windows] == [
        (one.start_s, one.end_s) for one in first.windows
    ]
    assert [one.remark for one in other.responses] == [one.remark for one in first.responses]


def test_a_display_that_shows_whole_psi_only_changes_no_finding(kit: type[Kit]) -> None:
    turns = two_plateaus(kit, 0, 1.0, 25.0).turns
    fine, coarse = (
        findings(kit.make(turns, 720.0, noise=kit.Noise(of_limit=0.05, digits=digits))) for digits in (2, 0)
    )
    assert [event.kind for event in coarse.events] == [event.kind for event in fine.events]
    assert [window.label for window in coarse.windows] == [window.label for window in fine.windows]
    assert [(one.low, one.high) for one in coarse.responses] == [
        (one.low, one.high) for one in fine.responses
    ]


def test_a_recording_without_samples_or_pressures_has_no_findings(kit: type[Kit]) -> None:
    nothing = Recording(np.empty(0), (Channel("low", Role.LOW_SIDE, "psi", True, np.empty(0)),))
    assert analyse(nothing, "R-134a", Conditions(), INSTRUMENTS) == Findings()
    assert analyse(Recording(np.empty(0), ()), "R-134a", Conditions(), INSTRUMENTS) == Findings()
    made = kit.make([kit.Turn(0.0, "s", kit.targets(30.0, 150.0, 750.0))], 120.0, without=("low", "high"))
    assert findings(made) == Findings()


def test_the_barometer_is_the_noted_one_before_the_recorded_before_the_altitude() -> None:
    recorded = Recording(
        np.arange(3.0),
        (Channel("b", Role.BAROMETER, "mbar", gauge=False, values=np.array([900.0, 901.0, 902.0])),),
    )
    bare = Recording(np.arange(3.0), ())
    assert barometer_of(recorded, Conditions(barometer_pa=95e3)) == 95e3
    assert barometer_of(recorded, Conditions(altitude_m=1000.0)) == pytest.approx(90_100.0)
    # ASHRAE Handbook, Fundamentals 2017, chapter 1, table 1: 89,875 Pa at 1,000 m.
    assert barometer_of(bare, Conditions(altitude_m=1000.0)) == pytest.approx(89_875.0, abs=1.0)
    assert barometer_of(bare, Conditions()) == STANDARD_ATMOSPHERE_PA
