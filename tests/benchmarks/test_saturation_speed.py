"""Superheat and subcooling of a million samples: our table against CoolProp's own vectorised calls."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from knowngood_refdata.refrigerants import saturation, subcooling_k, superheat_k

if TYPE_CHECKING:
    from pytest_benchmark.fixture import BenchmarkFixture

SAMPLES = 1_000_000
LEAST = 20.0
WITHIN_K = 1e-3


@pytest.mark.benchmark(group="a million samples")
@pytest.mark.parametrize(("name", "fluid"), [("R-134a", "R134a"), ("R-1234yf", "R1234yf")])
def test_superheat_and_subcooling_are_twenty_times_faster_than_coolprop(
    name: str, fluid: str, benchmark: BenchmarkFixture
) -> None:
    random = np.random.default_rng(5)
    low, high = random.uniform(1.5e5, 5e5, SAMPLES), random.uniform(6e5, 25e5, SAMPLES)
    suction, liquid = np.full(SAMPLES, 285.0), np.full(SAMPLES, 305.0)
    curve = saturation(name)

    def ours() -> tuple[np.ndarray, np.ndarray]:
        return superheat_k(curve, low, suction), subcooling_k(curve, high, liquid)

    # CoolProp makes its list of fluids at the first call: that is not counted against it.
    PropsSI("T", "P", 3e5, "Q", 1, fluid)
    begun = time.perf_counter()
    rival = suction - PropsSI("T", "P", low, "Q", 1, fluid), PropsSI("T", "P", high, "Q", 0, fluid) - liquid
    rival_s = time.perf_counter() - begun
    found = benchmark(ours)
    times = []
    for _ in range(7):
        begun = time.perf_counter()
        ours()
        times.append(time.perf_counter() - begun)
    ratio = rival_s / min(times)
    error_k = max(float(np.abs(mine - theirs).max()) for mine, theirs in zip(found, rival, strict=True))
    benchmark.extra_info.update(ratio=round(ratio, 1), largest_difference_k=error_k)
    print(f"\n{name}: {min(times):.4f} s against {rival_s:.3f} s, {ratio:.0f} times, {error_k:.1e} K apart")
    assert error_k < WITHIN_K
    assert ratio > LEAST
