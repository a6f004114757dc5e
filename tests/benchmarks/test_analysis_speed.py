"""A million samples of four channels are searched in the time a plain loop takes for a few thousand.

Rival in the same run: a rolling straight line by `numpy.polyfit`, window by window, over 5,000 samples of
one channel, its time scaled up to four channels of a million. Target: under 1.5 s, and 30 times faster.
"""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from knowngood_refdata.records import Channel, Conditions, Findings, Instruments, Recording, Role
from knowngood_sessions.core.analysis import analyse

if TYPE_CHECKING:
    from numpy.typing import NDArray

SAMPLES = 1_000_000
RIVAL_SAMPLES = 5_000
WINDOW = 30
TARGET_S = 1.5
TIMES_FASTER = 30.0


def recording(sampling_s: float) -> Recording:
    """Four channels that go to and fro between two engine speeds every five minutes."""
    random = np.random.default_rng(0)
    time_s = sampling_s * np.arange(SAMPLES, dtype=np.float64)
    fast = (time_s // 300.0) % 2.0
    low = 30.0 - 8.0 * fast + random.normal(0.0, 0.2, SAMPLES)
    high = 150.0 + 40.0 * fast + random.normal(0.0, 0.8, SAMPLES)
    rpm = 750.0 + 1500.0 * fast + random.normal(0.0, 12.0, SAMPLES)
    return Recording(
        time_s,
        (
            Channel("low", Role.LOW_SIDE, "psi", True, low),
            Channel("high", Role.HIGH_SIDE, "psi", True, high),
            Channel("line", Role.SUCTION_LINE, "K", False, 280.0 + random.normal(0.0, 0.1, SAMPLES)),
            Channel("rpm", Role.ENGINE_SPEED, "rpm", False, rpm),
        ),
    )


def rolling_lines(time_s: NDArray[np.float64], values: NDArray[np.float64]) -> list[float]:
    """Slope of a straight line through each window, one fit after the other."""
    return [
        float(np.polyfit(time_s[i : i + WINDOW], values[i : i + WINDOW], 1)[0])
        for i in range(values.size - WINDOW)
    ]


@pytest.mark.parametrize("sampling_s", [0.02, 0.2, 1.0])
def test_a_million_samples_are_analysed_within_the_target(benchmark: Any, sampling_s: float) -> None:
    made = recording(sampling_s)
    result: Findings = benchmark.pedantic(
        analyse, args=(made, "R-134a", Conditions(), Instruments()), rounds=3, warmup_rounds=1
    )
    assert len(result.windows) == pytest.approx(SAMPLES * sampling_s / 300.0, abs=2.0)
    started = time.perf_counter()
    rolling_lines(made.time_s[:RIVAL_SAMPLES], made.channels[1].values[:RIVAL_SAMPLES])
    rival_s = (time.perf_counter() - started) * 4 * SAMPLES / RIVAL_SAMPLES
    benchmark.extra_info["rolling polyfit, scaled, s"] = round(rival_s, 1)
    benchmark.extra_info["times faster"] = round(rival_s / benchmark.stats.stats.min)
    assert benchmark.stats.stats.min < TARGET_S
    assert rival_s > TIMES_FASTER * benchmark.stats.stats.min
