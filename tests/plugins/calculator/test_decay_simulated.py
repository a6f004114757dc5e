"""The verdict on holds from a small simulator of its own: two volumes, an orifice, a puddle that cools."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_calculator.core.decay import Verdict, judge_decay
from knowngood_calculator.core.decay_hold import Decay

if TYPE_CHECKING:
    from numpy.typing import NDArray

MICRON_PA = 0.133322387415
AIR_PA = 101_325.0
AMBIENT_C = 20.0
LATENT_J_KG = 2.6e6
VAPOUR_J_KG_K = 461.5
METAL_J_K = 20.0  # of what the puddle stands on


@dataclass(frozen=True)
class System:
    """A system behind its closed valve; the gauge sits in a hose that was pulled deeper than the rest."""

    hose_micron: float = 250.0
    parts_micron: float = 350.0
    evening_s: float = 25.0
    leak_micron_s: float = 0.0  # while choked
    water_kg: float = 0.0
    uptake_w_k: float = 0.05  # heat that reaches the water
    passage: float = 4e-9  # kg/(s Pa) between the water and the rest
    volume_m3: float = 0.004
    sorbed_micron: float = 0.0  # what water in oil and drier would reach
    sorbed_s: float = 120.0


@dataclass(frozen=True)
class Gauge:
    """How the pressure is read and how often."""

    step_micron: float = 1.0
    scatter: float = 0.003
    every_s: float = 10.0


def saturation_pa(celsius: float) -> float:
    """Magnus formulas over water and ice (WMO Guide No. 8, annex 4.B, from memory)."""
    if celsius < 0.0:
        return float(611.2 * np.exp(22.46 * celsius / (272.62 + celsius)))
    return float(611.2 * np.exp(17.62 * celsius / (243.12 + celsius)))


def hold(system: System, gauge: Gauge, length_s: float, rng: np.random.Generator) -> Decay:
    """Step by 0.5 s: flow through an orifice, evaporation against heat that seeps in, evening out."""
    step = 0.5
    hose, parts = system.hose_micron * MICRON_PA, system.parts_micron * MICRON_PA
    water_c, water = AMBIENT_C, system.water_kg
    if water:
        # The pump has cooled the puddle to where it boils.
        water_c = -15.0
    shown = []
    for _ in range(round(length_s / step) + 1):
        shown.append(hose)
        ratio = max(parts, 1.0) / AIR_PA
        slowed = 1.0 if ratio < 0.5283 else float(np.sqrt(max(1.0 - ((ratio - 0.5283) / 0.4717) ** 2, 0.0)))
        parts += system.leak_micron_s * MICRON_PA * slowed * step
        if water > 0.0:
            gone = min(system.passage * (saturation_pa(water_c) - parts) * step, water)
            parts += gone * VAPOUR_J_KG_K * 293.0 / system.volume_m3
            heat = system.uptake_w_k * (AMBIENT_C - water_c) * step - gone * LATENT_J_KG
            water_c += heat / (water * 4186.0 + METAL_J_K)
            water -= gone
        if system.sorbed_micron:
            parts += (system.sorbed_micron * MICRON_PA - parts) * step / system.sorbed_s
        flow = (parts - hose) * step / system.evening_s
        hose += 0.85 * flow
        parts -= 0.15 * flow
    every = round(gauge.every_s / step)
    pressures: NDArray[np.float64] = np.array(shown[::every]) / MICRON_PA
    pressures *= 1.0 + gauge.scatter * rng.standard_normal(len(pressures))
    stepped: NDArray[np.float64] = (
        np.maximum(np.round(pressures / gauge.step_micron), 1.0) * gauge.step_micron
    )
    return Decay(
        np.arange(len(stepped), dtype=np.float64) * gauge.every_s,
        stepped * MICRON_PA,
        gauge.step_micron * MICRON_PA,
    )


def some_gauge(rng: np.random.Generator) -> Gauge:
    return Gauge(
        step_micron=float(rng.choice([1.0, 5.0, 10.0])),
        scatter=float(rng.uniform(0.001, 0.01)),
        every_s=float(rng.choice([2.0, 10.0, 30.0, 60.0])),
    )


def some_system(cause: str, rng: np.random.Generator) -> System:
    evening = float(rng.uniform(5.0, 50.0))
    hose, parts = rng.uniform(150.0, 400.0), rng.uniform(250.0, 550.0)
    if cause == "tight":
        return System(hose, parts, evening)
    if cause == "leak":
        return System(
            hose, parts, evening, leak_micron_s=float(np.exp(rng.uniform(np.log(0.5), np.log(60.0))))
        )
    if cause == "sorbed":
        reach = float(np.exp(rng.uniform(np.log(1_200.0), np.log(8_000.0))))
        return System(hose, parts, evening, sorbed_micron=reach, sorbed_s=float(rng.uniform(40.0, 400.0)))
    water = float(np.exp(rng.uniform(np.log(1e-4), np.log(1e-2))))
    passage = float(np.exp(rng.uniform(np.log(1e-10), np.log(1e-8))))
    leak = float(rng.uniform(1.0, 20.0)) if cause == "both" else 0.0
    return System(hose, parts, evening, leak, water, float(rng.uniform(0.02, 0.2)), passage)


def verdicts(cause: str, count: int, seed: int, minutes: tuple[int, int]) -> Counter[Verdict]:
    rng = np.random.default_rng(seed)
    return Counter(
        judge_decay(
            hold(some_system(cause, rng), some_gauge(rng), 60.0 * rng.integers(*minutes), rng)
        ).verdict
        for _ in range(count)
    )


@pytest.mark.parametrize("minutes", [(10, 11), (15, 31)])
def test_a_simulated_leak_is_never_called_tight(minutes: tuple[int, int]) -> None:
    found = verdicts("leak", 60, 1, minutes)
    assert set(found) <= {Verdict.LEAK, Verdict.CANNOT_TELL}
    assert found[Verdict.LEAK] >= 36


@pytest.mark.parametrize("minutes", [(10, 11), (15, 31)])
def test_a_simulated_tight_system_is_called_tight(minutes: tuple[int, int]) -> None:
    found = verdicts("tight", 60, 2, minutes)
    assert set(found) <= {Verdict.TIGHT, Verdict.CANNOT_TELL}
    assert found[Verdict.TIGHT] >= 54


@pytest.mark.parametrize("minutes", [(10, 11), (15, 31)])
def test_simulated_water_in_oil_and_drier_is_called_moisture(minutes: tuple[int, int]) -> None:
    found = verdicts("sorbed", 60, 3, minutes)
    assert set(found) <= {Verdict.MOISTURE, Verdict.CANNOT_TELL}
    assert found[Verdict.MOISTURE] >= 51


def test_a_simulated_puddle_is_never_called_tight_and_seldom_a_leak() -> None:
    # A frozen puddle that warms up can rise straight for 10 min: no shape tells it from a leak then.
    found = verdicts("puddle", 60, 4, (15, 31))
    assert found[Verdict.TIGHT] == 0
    assert found[Verdict.LEAK] <= 9


def test_a_simulated_leak_beside_a_puddle_is_never_called_tight() -> None:
    assert verdicts("both", 60, 5, (10, 31))[Verdict.TIGHT] == 0


def test_simulated_short_holds_decide_nothing() -> None:
    for cause in ("tight", "leak", "sorbed"):
        assert set(verdicts(cause, 15, 6, (3, 9))) == {Verdict.CANNOT_TELL}


def test_a_leak_too_small_to_see_is_told_of() -> None:
    rng = np.random.default_rng(8)
    found = judge_decay(hold(System(leak_micron_s=0.02), Gauge(), 900.0, rng))
    assert found.verdict is Verdict.TIGHT
    assert "would not show" in found.reason
    assert found.rate_pa_s is not None
    assert found.rate_uncertainty_pa_s is not None
    # The hose, 15 % of the whole, shares what comes in.
    assert found.rate_pa_s == pytest.approx(0.85 * 0.02 * MICRON_PA, abs=3.0 * found.rate_uncertainty_pa_s)
