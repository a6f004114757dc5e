"""Superheat and subcooling of a million samples, against CoolProp's own vectorised calls.

Rival in the same run: `CoolProp.PropsSI` over the whole arrays, saturated vapour for superheat, saturated
liquid for subcooling. Target: 20 times faster, no sample farther than 1 mK.
"""

from __future__ import annotations

import statistics
import time
from typing import TYPE_CHECKING

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from knowngood_refdata.generate_saturation import FLUIDS
from knowngood_refdata.refrigerants import SaturationCurve, saturation, subcooling_k, superheat_k

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from pytest_benchmark.fixture import BenchmarkFixture

    Floats = NDArray[np.float64]

SAMPLES = 1_000_000
ROUNDS, RIVAL_ROUNDS = 9, 3
TIMES_FASTER = 20.0
MOST_K = 1e-3


def readings(curve: SaturationCurve) -> tuple[Floats, Floats, Floats, Floats]:
    """Low side, suction line, high side and liquid line of every state that an idling car passes."""
    random = np.random.default_rng(3)
    cold, warm = curve.pressure_pa(273.15 - 20.0), curve.pressure_pa(273.15 + 25.0)
    low, high = random.uniform(cold, warm, SAMPLES), random.uniform(warm, 0.9 * curve.critical_pa, SAMPLES)
    return low, random.uniform(260.0, 300.0, SAMPLES), high, random.uniform(290.0, 340.0, SAMPLES)


@pytest.mark.parametrize(("name", "in_coolprop"), FLUIDS.items())
def test_a_million_samples_are_answered_twenty_times_faster_and_within_a_millikelvin(
    name: str, in_coolprop: str, benchmark: BenchmarkFixture
) -> None:
    curve = saturation(name)
    low, suction, high, liquid = readings(curve)

    def ours() -> tuple[Floats, Floats]:
        return superheat_k(curve, low, suction), subcooling_k(curve, high, liquid)

    def rival() -> tuple[Floats, Floats]:
        warm = suction - PropsSI("T", "P", low, "Q", 1.0, in_coolprop)
        return warm, PropsSI("T", "P", high, "Q", 0.0, in_coolprop) - liquid

    PropsSI("T", "P", 3e5, "Q", 1.0, in_coolprop)  # its first call loads the equations of state
    found = benchmark.pedantic(ours, rounds=ROUNDS, warmup_rounds=1)  # type: ignore[no-untyped-call]
    taken = []
    for _ in range(RIVAL_ROUNDS):
        begun = time.perf_counter()
        expected = rival()
        taken.append(time.perf_counter() - begun)
    farthest_k = max(float(np.max(np.abs(one - other))) for one, other in zip(found, expected, strict=True))
    assert benchmark.stats is not None
    ours_s, coolprop_s = benchmark.stats.stats.median, statistics.median(taken)
    ratio = coolprop_s / ours_s
    benchmark.extra_info.update(coolprop_s=coolprop_s, ratio=ratio, farthest_k=farthest_k)
    print(
        f"\n{name}: ours {ours_s:.4f} s, CoolProp {coolprop_s:.3f} s, {ratio:.0f} times; {farthest_k:.1e} K"
    )
    assert farthest_k < MOST_K
    assert ratio >= TIMES_FASTER
