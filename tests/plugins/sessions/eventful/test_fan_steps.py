"""Fan-stage steps that no channel logs, at other samplings, beside other happenings, and over several."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
from tests.plugins.sessions.eventful.found import found_in
from tests.plugins.sessions.eventful.happened import DIAL, Eventful

from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA
from knowngood_refdata.records import Channel, Instruments, Recording, Role
from knowngood_sessions.core.channels.derive import derive
from knowngood_sessions.core.finding.events import FanHistory
from knowngood_sessions.core.finding.fan_thresholds import fan_thresholds
from knowngood_sessions.core.finding.grid import grids

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from tests.plugins.sessions.conftest import Kit, MadeSession, Turn
    from tests.plugins.sessions.eventful.found import Found

UP_PSI, DOWN_PSI = 225.0, 175.0


def found(recording: Recording) -> Found:
    return found_in(Eventful(recording, "R-134a", (), DIAL))


def fan_turns(kit: type[Kit], at_s: float, high_psi: float, constant_s: float) -> list[Turn]:
    return [
        kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0)),
        kit.Turn(at_s, "fan", kit.targets(29.5, high_psi, 750.0), {"high": constant_s}),
    ]


@pytest.mark.parametrize("sampling_s", [0.05, 0.5, 2.0])
@pytest.mark.parametrize(("high_psi", "up"), [(120.0, True), (185.0, False)])
def test_a_fan_step_is_found_at_twenty_samples_a_second_and_at_one_in_two(
    kit: type[Kit], sampling_s: float, high_psi: float, up: bool
) -> None:
    made = kit.make(fan_turns(kit, 120.4, high_psi, 6.0), 240.0, sampling_s=sampling_s)
    (step,) = found(made.recording).happened.fan
    assert step.up is up
    assert step.at_s == pytest.approx(120.4, abs=3.0)


@pytest.mark.parametrize("constant_s", [14.0, 18.0, 20.0])
def test_with_less_air_the_high_side_takes_its_time_and_is_found_all_the_same(
    kit: type[Kit], constant_s: float
) -> None:
    for seed in range(4):
        made = kit.make(fan_turns(kit, 120.0, 200.0, constant_s), 260.0, seed=seed)
        (step,) = found(made.recording).happened.fan
        assert not step.up
        assert step.at_s == pytest.approx(120.0, abs=4.0)


def test_lost_samples_and_spikes_neither_hide_nor_make_a_fan_step(kit: type[Kit]) -> None:
    for seed in range(4):
        made = kit.make(fan_turns(kit, 120.0, 120.0, 5.0), 240.0, sampling_s=0.5, seed=seed, missing=0.08)
        for channel in made.recording.channels[:2]:
            channel.values[[60, 200, 300, 400]] *= 3.0
        (step,) = found(made.recording).happened.fan
        assert step.at_s == pytest.approx(120.0, abs=3.0)


def test_without_the_low_side_or_the_engine_speed_a_fan_step_is_still_found(kit: type[Kit]) -> None:
    turns = fan_turns(kit, 120.0, 120.0, 5.0)
    for without in (("low",), ("rpm",), ("low", "rpm")):
        (event,) = found(kit.make(turns, 240.0, without=without).recording).events
        assert event.evidence is not None
        assert Role.HIGH_SIDE in event.evidence.channels
        assert (Role.LOW_SIDE in event.evidence.channels) is ("low" not in without)


def test_a_high_side_that_dies_makes_no_fan_step(kit: type[Kit]) -> None:
    made = kit.make(fan_turns(kit, 120.0, 120.0, 5.0), 300.0)
    for last in (0.0, np.nan):
        made.recording.channels[1].values[180:] = last
        assert [round(step.at_s, -1) for step in found(made.recording).happened.fan] == [120.0]


def test_a_fan_step_at_the_moment_of_an_engine_step_is_told_by_the_high_side_going_against_the_engine(
    kit: type[Kit],
) -> None:
    # Common practice, no source: at equal air over the condenser a faster engine never lowers the high side.
    for seed in range(4):
        turns = [
            kit.Turn(0.0, "start", kit.targets(30.0, 170.0, 750.0)),
            kit.Turn(120.0, "engine", kit.targets(22.0, 130.0, 2000.0), {"high": 8.0}),
            kit.Turn(260.0, "engine", kit.targets(30.0, 170.0, 750.0), {"high": 8.0}),
        ]
        happened = found(kit.make(turns, 400.0, seed=seed).recording).happened
        assert [(step.up, step.with_engine) for step in happened.fan] == [(True, True), (False, True)]
        assert [step.at_s for step in happened.fan] == pytest.approx([120.0, 260.0], abs=6.0)


def test_a_compressor_that_catches_itself_after_an_engine_step_is_no_fan_step(kit: type[Kit]) -> None:
    turns = [
        kit.Turn(0.0, "start", kit.targets(41.0, 155.0, 800.0)),
        kit.Turn(100.0, "engine", kit.targets(20.0, 205.0, 2200.0), {"low": 8.0, "high": 7.0}),
        kit.Turn(107.0, "control", kit.targets(28.0, 170.0, 2200.0), {"low": 1.0, "high": 5.0}),
    ]
    for seed in range(6):
        assert found(kit.make(turns, 240.0, seed=seed).recording).happened.fan == ()


def test_a_blower_that_is_turned_down_moves_the_low_side_first_and_is_no_fan_step(kit: type[Kit]) -> None:
    # trade practice, own calculation: blower down, both sides fall; the low side answers at once.
    turns = [
        kit.Turn(0.0, "start", kit.targets(30.0, 200.0, 750.0)),
        kit.Turn(120.0, "blower", kit.targets(27.0, 200.0, 750.0), {"low": 1.0}),
        kit.Turn(122.0, "blower", kit.targets(27.0, 175.0, 750.0), {"high": 10.0}),
    ]
    for seed in range(6):
        noise = kit.Noise(of_limit=0.05)
        assert found(kit.make(turns, 260.0, seed=seed, noise=noise).recording).happened.fan == ()


def saw_tooth(kit: type[Kit], *, forced: bool = False, seed: int = 0) -> MadeSession:
    """A fan that goes up at 225 psi and lets go at 175; ``forced``: by hand, at rest, at any level."""
    up, down = ((178.0, 8.0), (228.0, 8.0)) if forced else ((120.0, 30.0), (280.0, 30.0))
    turns = [kit.Turn(0.0, "start", kit.targets(30.0, 180.0, 750.0))]
    at_s, level, goes_up = 40.0, 180.0, False
    for i in range(9):
        target, constant_s = down if not goes_up else up
        target += 12.0 * (i % 3 - 1) if forced else 0.0
        turns.append(kit.Turn(at_s, "fan", kit.targets(30.0, target, 750.0), {"high": constant_s}))
        until = (UP_PSI if not goes_up else DOWN_PSI) if not forced else target
        lasts_s = 60.0 if forced else constant_s * float(np.log((target - level) / (target - until)))
        level, at_s, goes_up = until, at_s + lasts_s, not goes_up
    return kit.make(turns, at_s + 30.0, seed=seed, noise=kit.Noise(of_limit=0.06))


def test_a_fan_that_the_high_side_calls_tells_its_thresholds_and_hysteresis(kit: type[Kit]) -> None:
    for seed in range(3):
        (threshold,) = found(saw_tooth(kit, seed=seed).recording).thresholds
        assert threshold.up_pa is not None
        assert threshold.down_pa is not None
        for told, true_psi in ((threshold.up_pa, UP_PSI), (threshold.down_pa, DOWN_PSI)):
            true_pa = true_psi * kit.PSI + STANDARD_ATMOSPHERE_PA
            assert told.value == pytest.approx(true_pa, rel=0.02)
            assert abs(told.value - true_pa) < 2.5 * told.standard_uncertainty
        assert threshold.ups >= 3
        assert threshold.downs >= 3


def test_thresholds_name_the_samples_from_the_first_turn_to_the_last(kit: type[Kit]) -> None:
    told = found(saw_tooth(kit).recording)
    (threshold,) = told.thresholds
    moments_s = [one.at_s for one in told.happened.fan]
    assert threshold.evidence is not None
    assert threshold.evidence.channels == (Role.HIGH_SIDE,)
    seen = [one for one in moments_s if threshold.evidence.from_s <= one <= threshold.evidence.until_s]
    assert len(seen) >= threshold.ups + threshold.downs
    assert threshold.evidence.until_s <= max(moments_s) + 5.0


def test_no_thresholds_are_read_from_steps_that_a_note_may_explain(kit: type[Kit]) -> None:
    made = saw_tooth(kit)
    derived = derive(made.recording, "R-134a", STANDARD_ATMOSPHERE_PA)
    searched = grids(derived)
    steps = found(made.recording).happened.fan
    doubted = tuple(replace(one, doubted=True) for one in steps)
    assert fan_thresholds(searched, FanHistory(steps, 1), Instruments()) != ()
    assert fan_thresholds(searched, FanHistory(doubted, 1), Instruments()) == ()


def test_a_fan_that_somebody_switches_at_rest_tells_no_thresholds(kit: type[Kit]) -> None:
    told = found(saw_tooth(kit, forced=True).recording)
    assert len(told.happened.fan) >= 6
    assert told.thresholds == ()


def test_a_single_fan_step_tells_no_threshold(kit: type[Kit]) -> None:
    assert found(kit.make(fan_turns(kit, 120.0, 120.0, 5.0), 240.0).recording).thresholds == ()


def ambient_course(time_s: NDArray[np.float64], moments_s: Sequence[float]) -> NDArray[np.float64]:
    """A high side that follows cooler and warmer air through two lags of 12 s: bent, never a kink."""
    target = np.full(time_s.size, 150.0)
    for i, at_s in enumerate(moments_s):
        target[time_s >= at_s] = 135.0 if i % 2 == 0 else 150.0
    for _ in range(2):
        for i in range(1, target.size):
            target[i] = target[i - 1] + (target[i] - target[i - 1]) * (time_s[i] - time_s[i - 1]) / 12.0
    return target


def test_a_gust_of_cooler_air_bends_the_high_side_and_is_no_fan_step(kit: type[Kit]) -> None:
    for seed in range(6):
        made = kit.make([kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0))], 400.0, seed=seed)
        low, high, *others = made.recording.channels
        values = high.values - 150.0 + ambient_course(made.recording.time_s, (120.0, 240.0))
        course = Channel(high.name, high.role, high.unit, high.gauge, values)
        assert found(Recording(made.recording.time_s, (low, course, *others))).happened.fan == ()


def test_a_fan_step_is_found_while_the_expansion_valve_hunts(kit: type[Kit]) -> None:
    for seed in range(4):
        noise = kit.Noise(of_limit=0.05, hunting_psi=2.0, hunting_period_s=26.0)
        made = kit.make(fan_turns(kit, 180.0, 115.0, 6.0), 360.0, seed=seed, noise=noise)
        happened = found(made.recording).happened
        assert [step.up for step in happened.fan] == [True]
        assert happened.fan[0].at_s == pytest.approx(180.0, abs=4.0)
        assert happened.hunting
