"""Engine-speed steps: when, from where to where; and what is none."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA
from knowngood_refdata.records import Channel, Recording, Role
from knowngood_sessions.core.channels.derive import derive
from knowngood_sessions.core.finding.engine import engine_steps
from knowngood_sessions.core.finding.grid import grids

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_sessions.core.finding.engine import EngineStep

IDLE = 800.0


def steps_of(
    time_s: NDArray[np.float64],
    rpm: NDArray[np.float64],
    low_pa: NDArray[np.float64] | None = None,
    high_pa: NDArray[np.float64] | None = None,
) -> tuple[EngineStep, ...]:
    noise = np.random.default_rng(4).normal(0.0, 8.0, rpm.size)
    recording = Recording(time_s, (Channel("rpm", Role.ENGINE_SPEED, "rpm", False, rpm + noise),))
    derived = derive(recording, "R-134a", STANDARD_ATMOSPHERE_PA)
    (grid,) = grids(derived)
    assert derived.engine_rpm is not None
    return engine_steps(grid, derived.time_s, derived.engine_rpm, low_pa, high_pa)


def ramp(time_s: NDArray[np.float64], at_s: float, to_rpm: float, rpm_per_s: float) -> NDArray[np.float64]:
    lasts_s = abs(to_rpm - IDLE) / rpm_per_s
    return np.interp(time_s, [at_s, at_s + lasts_s], [IDLE, to_rpm])


@pytest.mark.parametrize("sampling_s", [0.05, 0.2, 0.5, 1.0])
@pytest.mark.parametrize("rpm_per_s", [150.0, 400.0, 3_000.0])
@pytest.mark.parametrize("at_s", [90.0, 90.37, 90.81])
def test_a_ramp_is_dated_where_it_begins(sampling_s: float, rpm_per_s: float, at_s: float) -> None:
    time_s = np.arange(0.0, 200.0, sampling_s)
    (step,) = steps_of(time_s, ramp(time_s, at_s, 2_200.0, rpm_per_s))
    assert step.at_s == pytest.approx(at_s, abs=0.6)
    assert [step.from_rpm, step.to_rpm] == pytest.approx([IDLE, 2_200.0], abs=15.0)


@pytest.mark.parametrize("at_s", [90.0, 90.9, 91.4])
def test_sampled_every_two_seconds_a_step_is_still_found(at_s: float) -> None:
    time_s = np.arange(0.0, 200.0, 2.0)
    (step,) = steps_of(time_s, ramp(time_s, at_s, 2_000.0, 500.0))
    assert step.at_s == pytest.approx(at_s, abs=1.0)


def test_samples_missing_about_a_step_do_not_lose_it() -> None:
    time_s = np.arange(0.0, 200.0, 0.5)
    rpm = ramp(time_s, 90.0, 2_000.0, 800.0)
    rpm[[179, 181, 183, 186]] = np.nan
    (step,) = steps_of(time_s, rpm)
    assert step.at_s == pytest.approx(90.0, abs=0.6)


def test_an_engine_that_is_brought_up_over_minutes_makes_no_step() -> None:
    time_s = np.arange(0.0, 400.0, 0.5)
    assert steps_of(time_s, ramp(time_s, 90.0, 2_000.0, 8.0)) == ()


@pytest.mark.parametrize("lasts_s", [0.5, 1.5, 2.5])
def test_a_blip_of_the_pedal_is_no_step(lasts_s: float) -> None:
    time_s = np.arange(0.0, 200.0, 0.1)
    rpm = np.where((time_s > 90.0) & (time_s < 90.0 + lasts_s), 2_400.0, IDLE)
    assert steps_of(time_s, rpm) == ()


def test_a_channel_that_dies_in_the_middle_keeps_the_steps_before_and_makes_none() -> None:
    time_s = np.arange(0.0, 300.0, 0.5)
    rpm = ramp(time_s, 90.0, 2_000.0, 800.0)
    rpm[time_s > 150.0] = np.nan
    (step,) = steps_of(time_s, rpm)
    assert step.at_s == pytest.approx(90.0, abs=0.6)


@pytest.mark.parametrize("sampling_s", [0.5, 1.0])
@pytest.mark.parametrize("constant_s", [0.3, 0.6, 1.2])
@pytest.mark.parametrize("at_s", [90.03, 90.31, 90.55, 90.93])
def test_an_engine_that_closes_in_on_its_speed_is_dated_where_it_leaves_the_other(
    sampling_s: float, constant_s: float, at_s: float
) -> None:
    time_s = np.arange(0.0, 200.0, sampling_s)
    on_its_way = 1.0 - np.exp(-np.maximum(time_s - at_s, 0.0) / constant_s)
    (step,) = steps_of(time_s, IDLE + 1_400.0 * on_its_way)
    assert step.at_s == pytest.approx(at_s, abs=0.5)


@pytest.mark.parametrize("at_s", [90.1, 90.5, 90.85])
def test_where_no_sample_was_on_the_way_about_the_middle_is_told_and_how_far_off_it_may_be(
    at_s: float,
) -> None:
    time_s = np.arange(0.0, 200.0)
    (step,) = steps_of(time_s, np.where(time_s < at_s, IDLE, 2_200.0))
    assert step.at_s == pytest.approx(90.5, abs=0.2)
    assert abs(step.at_s - at_s) <= step.within_s <= 0.8


@pytest.mark.parametrize(("sampling_s", "widest_s"), [(0.1, 0.4), (0.5, 0.5), (1.0, 0.7), (2.0, 1.2)])
def test_the_moment_lies_in_the_interval_that_is_told(sampling_s: float, widest_s: float) -> None:
    time_s = np.arange(0.0, 200.0, sampling_s)
    held, within_s = [], []
    for lasts_s in (0.3, 0.8, 1.5, 3.0, 6.0):
        for at_s in (90.0 + sampling_s * np.arange(0.05, 1.0, 0.1)).tolist():
            (step,) = steps_of(time_s, ramp(time_s, at_s, 2_200.0, 1_400.0 / lasts_s))
            held.append(abs(step.at_s - at_s) <= step.within_s)
            within_s.append(step.within_s)
    assert np.mean(held) >= 0.93
    assert max(within_s) <= widest_s


def following(time_s: NDArray[np.float64], at_s: float, part: float) -> NDArray[np.float64]:
    """What a side does after an engine that takes a second and a half: by a part of itself, a lag of 5 s."""
    fine_s = np.arange(-5.0, 120.0, 0.05)
    speed = np.interp(fine_s, [0.0, 1.5], [0.0, 1.0])
    side = np.zeros(fine_s.size)
    for i in range(1, fine_s.size):
        side[i] = side[i - 1] + 0.05 / 5.0 * (speed[i] - side[i - 1])
    return np.exp(part * np.interp(time_s - at_s, fine_s, side))


@pytest.mark.parametrize("pressures_every_s", [0.5, 2.0])
def test_pressures_that_follow_the_engine_date_a_step_that_is_sampled_seldom(
    pressures_every_s: float,
) -> None:
    time_s = np.arange(0.0, 200.0, pressures_every_s)
    seldom = np.arange(time_s.size) % round(2.0 / pressures_every_s) == 0
    alone_s, helped_s = [], []
    for at_s in np.arange(90.0, 92.0, 0.2).tolist():
        rpm = ramp(time_s, at_s, 2_200.0, 1_400.0 / 1.5)
        rpm[~seldom] = np.nan
        sides = 3e5 * following(time_s, at_s, -0.3), 1.4e6 * following(time_s, at_s, 0.2)
        alone_s.append(abs(steps_of(time_s, rpm)[0].at_s - at_s))
        helped_s.append(abs(steps_of(time_s, rpm, *sides)[0].at_s - at_s))
    assert max(helped_s) <= 0.6
    assert np.mean(helped_s) < 0.8 * np.mean(alone_s)


def test_pressures_that_a_control_turns_about_say_nothing_of_the_moment() -> None:
    time_s = np.arange(0.0, 200.0, 2.0)
    rpm = ramp(time_s, 90.5, 2_200.0, 900.0)
    sides = 3e5 * following(time_s, 92.0, 0.1), 1.4e6 * following(time_s, 92.0, -0.1)
    assert steps_of(time_s, rpm, *sides) == steps_of(time_s, rpm)
