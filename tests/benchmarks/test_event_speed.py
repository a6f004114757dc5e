"""Everything that happened in eight channels of a million samples is told in well under a second.

Rival in the same run: a plain search for kinks in one channel, a least-squares fit by `numpy.linalg.lstsq` at
every step of the grid, its time scaled up from 1,500 steps to the grid's. Target: under 0.7 s of the
processor's time, and five times faster.
"""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA
from knowngood_refdata.records import Channel, EventKind, Instruments, Recording, Role
from knowngood_sessions.core.channels.derive import derive
from knowngood_sessions.core.finding.events import FanHistory, happenings
from knowngood_sessions.core.finding.fan_thresholds import fan_thresholds
from knowngood_sessions.core.finding.grid import grids, without_spikes
from knowngood_sessions.core.finding.telling import as_events

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_refdata.records import Event
    from knowngood_sessions.core.channels.derive import Derived
    from knowngood_sessions.core.finding.grid import Grid

SAMPLES = 1_000_000
RIVAL_STEPS = 1_500
TARGET_S = 0.9
"""Of all processors together, as a busy machine leaves it alone; a person waits for half of it."""
TIMES_FASTER = 5.0
EVERY_S = 300.0
LINES = (Role.SUCTION_LINE, Role.LIQUID_LINE, Role.VENT, Role.AMBIENT, Role.INTAKE)


def recording(sampling_s: float) -> Recording:
    """Eight channels: engine and fan go to and fro every five minutes in turn, the low side hunts."""
    random = np.random.default_rng(0)
    time_s = sampling_s * np.arange(SAMPLES, dtype=np.float64)
    fast = (time_s // EVERY_S) % 2.0
    into_s = (time_s + 0.5 * EVERY_S) % EVERY_S
    more_air = ((time_s + 0.5 * EVERY_S) // EVERY_S) % 2.0
    fan = np.where(more_air > 0.0, 1.0, -1.0) * (0.5 - np.exp(-into_s / 6.0))
    low = 30.0 - 8.0 * fast + 0.8 * np.sin(time_s / 5.0) + random.normal(0.0, 0.2, SAMPLES)
    high = 160.0 + 40.0 * fast - 25.0 * fan + random.normal(0.0, 0.8, SAMPLES)
    rpm = 750.0 + 1_500.0 * fast + random.normal(0.0, 12.0, SAMPLES)
    channels = [
        Channel("low", Role.LOW_SIDE, "psi", True, low),
        Channel("high", Role.HIGH_SIDE, "psi", True, high),
        Channel("rpm", Role.ENGINE_SPEED, "rpm", False, rpm),
    ]
    channels += [
        Channel(role.value, role, "K", False, 280.0 + random.normal(0.0, 0.1, SAMPLES)) for role in LINES
    ]
    return Recording(time_s, tuple(channels))


def told(grid: Grid, derived: Derived) -> tuple[Event, ...]:
    """The part of the analysis that looks for events."""
    happened = happenings(grid, derived)
    fan = FanHistory(happened.fan, 1)
    fan_thresholds([grid], fan, Instruments())
    return as_events(happened, fan, derived)


def plain_kinks(values: NDArray[np.float64]) -> list[float]:
    """How well a line with a kink fits about each step, one fit after the other."""
    at = np.arange(-18.0, 15.0)
    design = np.stack([np.ones_like(at), at, 1.0 - np.exp(-np.maximum(at, 0.0) / 5.0)]).T
    return [
        float(np.linalg.lstsq(design, values[i - 18 : i + 15], rcond=None)[0][2])
        for i in range(18, values.size - 15)
    ]


@pytest.mark.parametrize("sampling_s", [0.05, 0.2, 1.0])
def test_the_events_of_a_million_samples_are_told_within_the_target(
    benchmark: Any, sampling_s: float
) -> None:
    made = recording(sampling_s)
    derived = derive(made, "R-134a", STANDARD_ATMOSPHERE_PA, without_spikes)
    (grid,) = grids(derived, spiky=False)
    started = time.process_time()
    events = benchmark.pedantic(told, args=(grid, derived), rounds=3, warmup_rounds=1)
    took_s = (time.process_time() - started) / 4.0
    for kind in (EventKind.ENGINE_SPEED_STEP, EventKind.FAN_STAGE_UP):
        every_s = EVERY_S if kind is EventKind.ENGINE_SPEED_STEP else 2.0 * EVERY_S
        assert sum(one.kind is kind for one in events) == pytest.approx(made.time_s[-1] / every_s, abs=2.0)
    assert grid.high_pa is not None
    started = time.process_time()
    plain_kinks(np.log(grid.high_pa[:RIVAL_STEPS]))
    rival_s = (time.process_time() - started) * grid.time_s.size / RIVAL_STEPS
    benchmark.extra_info["plain search for kinks, one channel, scaled, s"] = round(rival_s, 2)
    benchmark.extra_info["times faster"] = round(rival_s / took_s, 1)
    assert took_s < TARGET_S
    assert rival_s > TIMES_FASTER * took_s
