"""The states of a whole session, against CoolProp asked one by one; single states; lines of a diagram.

Rivals in the same run: CoolProp's `AbstractState`, its quickest way for one state (low-level, the phase said
beforehand), and `PropsSI`, its usual one. Target: 20 times faster than the quicker of the two.
"""

from __future__ import annotations

import statistics
import time
from typing import TYPE_CHECKING

import CoolProp
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from knowngood_refdata.generate_saturation import FLUIDS
from knowngood_refdata.isolines import lines
from knowngood_refdata.states import Fluid, fluid

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray
    from pytest_benchmark.fixture import BenchmarkFixture

    Floats = NDArray[np.float64]

SAMPLES, RIVAL_SAMPLES = 200_000, 4_000
TIMES_FASTER = 20.0
MOST_DENSITY, MOST_J_KG = 1e-5, 3.0
MOST_SCALAR_S, MOST_LINES_S, MOST_LOADING_S = 300e-6, 20e-3, 20e-3


def session(found: Fluid) -> tuple[Floats, Floats, Floats]:
    """Low side, suction line and high side of a session whose gas comes close to saturation."""
    random = np.random.default_rng(3)
    curve = found.curve
    low = random.uniform(curve.pressure_pa(258.15), curve.pressure_pa(288.15), SAMPLES)
    high = random.uniform(curve.pressure_pa(293.15), 0.88 * curve.critical_pa, SAMPLES)
    return low, curve.temperature_k(low) + 0.05 + random.exponential(8.0, SAMPLES), high


def ours(found: Fluid, low: Floats, suction: Floats, high: Floats) -> Floats:
    """Density and enthalpy of the gas, of saturated liquid and of saturated vapour: shape (6, n)."""
    states = (found.gas(low, suction), found.saturated_liquid(high), found.saturated_vapour(low))
    return np.array([row for state in states for row in (state.density_kg_m3, state.enthalpy_j_kg)])


def one_by_one(name: str, low: Floats, suction: Floats, high: Floats) -> Floats:
    """The same from CoolProp's low-level interface."""
    gas, other = (CoolProp.AbstractState("HEOS", FLUIDS[name]) for _ in range(2))
    gas.specify_phase(CoolProp.iphase_gas)
    found = np.empty((6, len(low)))
    for sample, (low_pa, kelvin, high_pa) in enumerate(zip(low, suction, high, strict=True)):
        gas.update(CoolProp.PT_INPUTS, low_pa, kelvin)
        found[:2, sample] = gas.rhomass(), gas.hmass()
        other.update(CoolProp.PQ_INPUTS, high_pa, 0.0)
        found[2:4, sample] = other.rhomass(), other.hmass()
        other.update(CoolProp.PQ_INPUTS, low_pa, 1.0)
        found[4:, sample] = other.rhomass(), other.hmass()
    return found


def as_usual(name: str, low: Floats, suction: Floats, high: Floats) -> Floats:
    """The same from `PropsSI`, a call a value."""
    liquid = FLUIDS[name]
    found = np.empty((6, len(low)))
    for sample, (low_pa, kelvin, high_pa) in enumerate(zip(low, suction, high, strict=True)):
        for row, key in enumerate(("D", "H")):
            found[row, sample] = PropsSI(key, "P", low_pa, "T", kelvin, liquid)
            found[2 + row, sample] = PropsSI(key, "P", high_pa, "Q", 0.0, liquid)
            found[4 + row, sample] = PropsSI(key, "P", low_pa, "Q", 1.0, liquid)
    return found


def seconds(work: Callable[[], object]) -> float:
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


@pytest.mark.parametrize("name", FLUIDS)
def test_the_states_of_a_session_are_answered_twenty_times_faster_than_one_by_one(
    name: str, benchmark: BenchmarkFixture
) -> None:
    found = fluid(name)
    low, suction, high = session(found)
    few = low[:RIVAL_SAMPLES], suction[:RIVAL_SAMPLES], high[:RIVAL_SAMPLES]
    PropsSI("T", "P", 8e5, "Q", 1.0, FLUIDS[name])  # its first call loads the equations of state
    answer = benchmark.pedantic(ours, (found, low, suction, high), rounds=5, warmup_rounds=1)  # type: ignore[no-untyped-call]
    expected = one_by_one(name, *few)
    expected[1::2] += 200e3 - PropsSI("H", "T", 273.15, "Q", 0.0, FLUIDS[name])
    off = np.abs(answer[:, :RIVAL_SAMPLES] - expected)
    density, enthalpy = (off[::2] / expected[::2]).max(), off[1::2].max()
    quick_s = statistics.median(seconds(lambda: one_by_one(name, *few)) for _ in range(3)) / RIVAL_SAMPLES
    usual_s = seconds(lambda: as_usual(name, *(values[:500] for values in few))) / 500
    assert benchmark.stats is not None
    ours_s = benchmark.stats.stats.median / SAMPLES
    ratio = quick_s / ours_s
    benchmark.extra_info.update(ratio=ratio, usual_ratio=usual_s / ours_s, density=density, enthalpy=enthalpy)
    print(
        f"\n{name}: ours {ours_s * 1e6:.2f} µs a sample; low-level {quick_s * 1e6:.1f}, {ratio:.0f} times;"
        f" PropsSI {usual_s * 1e6:.0f}, {usual_s / ours_s:.0f} times; {density:.1e}, {enthalpy:.2f} J/kg off"
    )
    assert density < MOST_DENSITY
    assert enthalpy < MOST_J_KG
    assert ratio >= TIMES_FASTER


def test_a_single_state_takes_a_fraction_of_a_keystroke() -> None:
    found = fluid("R-134a")
    enthalpy = float(found.gas(3e5, 290.0).enthalpy_j_kg)
    entropy = float(found.gas(3e5, 290.0).entropy_j_kg_k)
    asked: dict[str, Callable[[], object]] = {
        "gas": lambda: found.gas(3e5, 290.0),
        "saturated_liquid": lambda: found.saturated_liquid(12e5),
        "at_enthalpy": lambda: found.at_enthalpy(3e5, enthalpy),
        "at_entropy": lambda: found.at_entropy(12e5, entropy),
    }
    for name, ask in asked.items():
        ask()
        taken = statistics.median(seconds(ask) for _ in range(300))
        print(f"\n{name}: {taken * 1e6:.0f} µs")
        assert taken < MOST_SCALAR_S, name


@pytest.mark.parametrize("name", FLUIDS)
def test_tables_and_lines_of_a_refrigerant_are_loaded_within_a_frame_or_two(name: str) -> None:
    def load() -> None:
        fluid.cache_clear()
        fluid(name)

    def draw() -> None:
        lines.cache_clear()
        lines(name, "si")

    # The quickest of nine: a machine busy with other work says nothing about the loading.
    loading, drawing = (min(seconds(work) for _ in range(9)) for work in (load, draw))
    print(f"\n{name}: tables {loading * 1e3:.1f} ms, lines {drawing * 1e3:.1f} ms")
    assert loading < MOST_LOADING_S
    assert drawing < MOST_LINES_S
