"""Plain simulated cars and their settled states, each simulated once."""

from __future__ import annotations

from functools import cache
from typing import Protocol

import pytest

from knowngood_demo.design import HEALTHY, CompressorDesign, FanDesign, Faults, LoopDesign, Surroundings
from knowngood_demo.run import Leg, run
from knowngood_refdata.quantities import Kind, unit
from knowngood_refdata.records import CompressorKind, MeteringDevice

PSI = unit("psi", Kind.PRESSURE).factor


class PlainCar(Protocol):
    def __call__(
        self,
        kind: CompressorKind,
        *,
        refrigerant: str = "R-134a",
        metering: MeteringDevice = MeteringDevice.EXPANSION_VALVE,
        fan_kg_per_s: float = 0.5,
    ) -> LoopDesign: ...


class Settle(Protocol):
    def __call__(
        self, design: LoopDesign, around: Surroundings, faults: Faults = HEALTHY, rpm: float = 1_000.0
    ) -> dict[str, float]: ...


@pytest.fixture(scope="session")
def plain_car() -> PlainCar:
    """A car with one fan stage and a clutch that does not cycle: one influence at a time."""

    def make(
        kind: CompressorKind,
        *,
        refrigerant: str = "R-134a",
        metering: MeteringDevice = MeteringDevice.EXPANSION_VALVE,
        fan_kg_per_s: float = 0.5,
    ) -> LoopDesign:
        volume = 34e-6 if kind is CompressorKind.ELECTRIC else 160e-6
        never_cycles_k = 240.0 if kind is CompressorKind.FIXED else 277.15
        compressor = CompressorDesign(kind, displacement_m3=volume, air_off_k=never_cycles_k)
        fan = FanDesign(stage_kg_per_s=(fan_kg_per_s, fan_kg_per_s))
        return LoopDesign(refrigerant, 0.5, compressor, metering, fan)

    return make


@cache
def _settled(design: LoopDesign, around: Surroundings, faults: Faults, rpm: float) -> dict[str, float]:
    mean = run(design, around, [Leg(15, rpm)], faults, warm_up_s=210.0).settled(0, 15)
    return {
        **mean,
        "low_psi": mean["low_pa"] / PSI,
        "high_psi": mean["high_pa"] / PSI,
        "subcooling_k": mean["condensing_k"] - mean["liquid_line_k"],
    }


@pytest.fixture(scope="session")
def settle() -> Settle:
    """Settled values of a car: a `Snapshot`'s fields and both sides in psi absolute, subcooling in K."""

    def settled(
        design: LoopDesign, around: Surroundings, faults: Faults = HEALTHY, rpm: float = 1_000.0
    ) -> dict[str, float]:
        return _settled(design, around, faults, rpm)

    return settled


@pytest.fixture(scope="session")
def high_load() -> Surroundings:
    return Surroundings(303.15, 300.15, 0.5)


@pytest.fixture(scope="session")
def moderate_load() -> Surroundings:
    return Surroundings(298.15, 298.15, 0.4)
