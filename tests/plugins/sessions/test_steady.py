"""Where a session is steady, and where it is not."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA
from knowngood_refdata.records import Recording
from knowngood_sessions.core.channels.derive import derive
from knowngood_sessions.core.finding.grid import grids
from knowngood_sessions.core.finding.steady import Stretch, steady_stretches

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tests.plugins.sessions.conftest import Kit, MadeSession


def stretches(made: MadeSession, disturbed_s: Sequence[float] = ()) -> tuple[Stretch, ...]:
    derived = derive(made.recording, "R-134a", STANDARD_ATMOSPHERE_PA)
    return tuple(one for grid in grids(derived) for one in steady_stretches(grid, disturbed_s))


def ramp(kit: type[Kit], psi_a_minute: float, seed: int) -> MadeSession:
    turns = [kit.Turn(0.0, "start", kit.targets(30.0, 120.0, 750.0))]
    noise = kit.Noise(of_limit=0.05, drift_psi_a_minute=psi_a_minute)
    return kit.make(turns, 420.0, seed=seed, noise=noise, without=("liquid",))


@pytest.mark.parametrize("sampling_s", [1.0, 0.2])
def test_a_window_begins_where_every_channel_has_come_within_its_band_of_the_end(
    kit: type[Kit], sampling_s: float
) -> None:
    turns = [
        kit.Turn(0.0, "start", kit.targets(30.0, 120.0, 750.0)),
        kit.Turn(20.0, "load", kit.targets(30.0, 180.0, 750.0), {"high": 25.0, "liquid": 5.0}),
    ]
    made = kit.make(turns, 300.0, sampling_s=sampling_s)
    (window,) = stretches(made, [20.0])
    # 60 psi fall to 2.5 % of 194.7 psi absolute after 25 s ln(60 / 4.87) = 62.8 s.
    assert window.start_s == pytest.approx(20.0 + 62.8, abs=6.0)
    assert window.end_s == pytest.approx(300.0, abs=2.0)


@pytest.mark.parametrize("of_limit", [0.02, 0.1, 0.4])
def test_noise_neither_hides_nor_makes_a_window(kit: type[Kit], of_limit: float) -> None:
    turns = [kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0))]
    for seed in range(8):
        made = kit.make(turns, 180.0, seed=seed, noise=kit.Noise(of_limit=of_limit))
        (window,) = stretches(made)
        assert window.end_s - window.start_s > 0.9 * 180.0


def test_a_drift_of_three_times_what_counts_as_standing_still_is_never_steady(kit: type[Kit]) -> None:
    assert [stretches(ramp(kit, 9.0, seed)) for seed in range(12)] == [()] * 12


def test_a_slow_drift_leaves_one_window_near_the_end_of_the_session(kit: type[Kit]) -> None:
    for seed in range(6):
        (window,) = stretches(ramp(kit, 1.5, seed))
        assert window.end_s > 410.0
        # 2.5 % of about 145 psi absolute, at 1.5 psi a minute: the last two and a half minutes.
        assert 90.0 < window.end_s - window.start_s < 200.0


def test_an_unannounced_change_parts_two_windows(kit: type[Kit]) -> None:
    turns = [
        kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0)),
        kit.Turn(200.0, "blower", kit.targets(24.0, 125.0, 750.0), {"low": 25.0, "high": 35.0}),
    ]
    first, second = stretches(kit.make(turns, 500.0))
    assert first.end_s < 215.0
    assert second.start_s > 225.0


def test_hunting_of_the_expansion_valve_is_steady_in_the_mean(kit: type[Kit]) -> None:
    turns = [kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0))]
    for period_s in (12.0, 25.0, 40.0):
        noise = kit.Noise(of_limit=0.05, hunting_psi=1.2, hunting_period_s=period_s)
        (window,) = stretches(kit.make(turns, 300.0, noise=noise))
        assert window.end_s - window.start_s > 200.0


def test_a_line_temperature_that_still_moves_keeps_a_window_shut(kit: type[Kit]) -> None:
    held = kit.targets(30.0, 150.0, 750.0)
    turns = [
        kit.Turn(0.0, "start", {**held, "suction": held["suction"] + 12.0}),
        kit.Turn(1.0, "clamp", held, {"suction": 40.0}),
    ]
    (window,) = stretches(kit.make(turns, 300.0), [1.0])
    # 12 K fall below 1 K after 40 s ln 12 = 99 s; the pressures were steady throughout.
    assert window.start_s == pytest.approx(100.0, abs=15.0)


def test_an_engine_speed_that_creeps_up_keeps_a_window_shut(kit: type[Kit]) -> None:
    made = kit.make([kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0))], 200.0)
    rpm = made.recording.channels[-1].values
    rpm += 6.0 * made.recording.time_s
    (window,) = stretches(made)
    assert window.end_s - window.start_s < 40.0


def test_no_window_reaches_over_a_gap_in_the_recording(kit: type[Kit]) -> None:
    made = kit.make([kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0))], 300.0)
    kept = (made.recording.time_s < 120.0) | (made.recording.time_s > 160.0)
    channels = tuple(
        type(one)(one.name, one.role, one.unit, one.gauge, one.values[kept])
        for one in made.recording.channels
    )
    cut = type(made)(Recording(made.recording.time_s[kept], channels), made.clean, made.turns)
    assert [(round(one.start_s), round(one.end_s)) for one in stretches(cut)] == [(0, 119), (161, 299)]


def test_no_window_reaches_over_a_sensor_that_fell_silent(kit: type[Kit]) -> None:
    made = kit.make([kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0))], 300.0)
    made.recording.channels[1].values[100:140] = np.nan
    assert [(round(one.start_s), round(one.end_s)) for one in stretches(made)] == [(0, 99), (140, 299)]


def test_scattered_missing_samples_do_not_part_a_window(kit: type[Kit]) -> None:
    turns = [kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0))]
    (window,) = stretches(kit.make(turns, 300.0, uneven=True, missing=0.2))
    assert window.end_s - window.start_s > 290.0


def test_a_system_at_rest_is_no_steady_window(kit: type[Kit]) -> None:
    turns = [kit.Turn(0.0, "start", kit.targets(84.0, 86.0, 750.0))]
    assert stretches(kit.make(turns, 300.0)) == ()


@pytest.mark.parametrize("count", [1, 2, 3, 10])
def test_a_session_of_a_few_samples_has_no_window(kit: type[Kit], count: int) -> None:
    turns = [kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0))]
    assert stretches(kit.make(turns, float(count))) == ()
