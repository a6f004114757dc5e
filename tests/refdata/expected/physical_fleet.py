"""A fleet whose readings follow from loads, capacities and conductances; built apart from the drawn one.

Nothing is linear: a variable compressor holds its set point until it runs at full stroke, heat goes through
conductances that scatter by factors, the fan works by a power of its stage. Scatter grows with hunting.
Subcooling has a second hump by family and by year. All figures are invented.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from tests.refdata.expected.drawn_fleet import MAKERS, wet_bulb_c
from tests.refdata.expected.fleet import Fleet, Kept, reading, vehicle

from knowngood_refdata.quantities import ZERO_CELSIUS_K
from knowngood_refdata.records import (
    AirSource,
    CompressorKind,
    Conditions,
    Estimate,
    MeteringDevice,
    Opening,
    Quantity,
)
from knowngood_refdata.refrigerants import saturation

if TYPE_CHECKING:
    from knowngood_refdata.records import Reading, Vehicle

K = CompressorKind
HUNTING = {K.FIXED: 0.5, K.INTERNAL_VARIABLE: 0.8, K.EXTERNAL_VARIABLE: 1.5, K.ELECTRIC: 0.6}
LEVELS = ("maker", "family", "configuration", "unit")
SPREAD = {
    # How far each level moves a part: temperatures [K] as sums, conductances as logarithms.
    "set_k": (0.4, 1.2, 0.6, 0.4),
    "condenser": (0.06, 0.16, 0.10, 0.05),
    "capacity": (0.05, 0.20, 0.12, 0.03),
    "superheat_k": (0.4, 1.5, 0.8, 0.7),
    "subcooling_k": (0.4, 1.2, 0.7, 0.5),
    "duct": (0.03, 0.12, 0.08, 0.05),
    "fan": (0.03, 0.15, 0.05, 0.02),
    "stroke_k": (0.2, 0.5, 0.3, 0.1),
}


@dataclass(frozen=True, slots=True)
class _Design:
    """Parts of a car; each level of the fleet moves those of the level above."""

    parts: dict[str, float]
    kind: CompressorKind
    metering: MeteringDevice
    refrigerant: str
    sectioned: float  # the part of its cars that have a subcooling section, or 0 or 1

    def moved(self, rng: np.random.Generator, level: str) -> _Design:
        place = LEVELS.index(level)
        moved = {
            name: self.parts[name] + sds[place] * rng.standard_t(5.0) * 0.775 for name, sds in SPREAD.items()
        }
        return _Design(moved, self.kind, self.metering, self.refrigerant, self.sectioned)


def physical_fleet(seed: int, makers: int = 8, families: int = 25, configurations: int = 120) -> Fleet:
    """A fleet of a seed; two more makers and one more configuration in six are kept back."""
    return _Shop(np.random.default_rng([29, seed])).fleet(makers, families, configurations)


class _Shop:
    def __init__(self, rng: np.random.Generator) -> None:
        self.rng = rng
        self.vehicles: list[Vehicle] = []
        self.numbers = {"reading": 0, "visit": 0, "unit": 0}

    def _next(self, what: str) -> int:
        self.numbers[what] += 1
        return self.numbers[what]

    def fleet(self, makers: int, families: int, configurations: int) -> Fleet:
        rng = self.rng
        library: list[Reading] = []
        kept: list[tuple[Kept, Reading]] = []
        known = self._makers(MAKERS[:makers], families, configurations)
        for number, (record, design) in enumerate(known):
            if number % 6 == 5:
                kept += [(Kept.NEW_CONFIGURATION, r) for r in self._unit(record, design, 2)[0]]
                continue
            wanted = int(rng.integers(1, 13))
            while wanted > 0:
                size = min(wanted, int(rng.geometric(0.35)))
                readings, unit, car = self._unit(record, design, size)
                library += readings
                wanted -= size
            kept += [(Kept.KNOWN, r) for r in self._readings(record, car, unit, 1)]
            kept += [(Kept.NEW_UNIT, r) for r in self._unit(record, design, 1)[0]]
        for record, design in self._makers(MAKERS[makers : makers + 2], 5, max(configurations // 6, 5)):
            kept += [(Kept.NEW_MAKER, r) for r in self._unit(record, design, 2)[0]]
        return Fleet(tuple(self.vehicles), tuple(library), tuple(kept))

    def _makers(self, names: tuple[str, ...], families: int, count: int) -> list[tuple[Vehicle, _Design]]:
        rng = self.rng
        houses = [self._maker() for _ in names]
        house = np.sort(
            np.concatenate([np.arange(len(names)), rng.integers(0, len(names), families - len(names))])
        )
        lines = [self._family(houses[h]).moved(rng, "family") for h in house]
        first = 1 + max((v.family_id or 0 for v in self.vehicles), default=0)
        of = np.concatenate([np.arange(families), rng.integers(0, families, count - families)])
        found = []
        for f in of:
            design = lines[f].moved(rng, "configuration")
            section = design.sectioned if design.sectioned in (0.0, 1.0) else float(rng.random() < 0.6)
            design = _Design(design.parts, design.kind, design.metering, design.refrigerant, section)
            record = vehicle(
                len(self.vehicles) + 1, names[house[f]], first + int(f), design.kind, design.metering,
                design.refrigerant,
            )  # fmt: skip
            self.vehicles.append(record)
            found.append((record, design))
        return found

    def _maker(self) -> _Design:
        base = dict.fromkeys(SPREAD, 0.0)
        return _Design(base, K.FIXED, MeteringDevice.EXPANSION_VALVE, "R-134a", 0.0).moved(self.rng, "maker")

    def _family(self, house: _Design) -> _Design:
        rng = self.rng
        kind = rng.choice(np.array([*K], dtype=object), p=[0.3, 0.25, 0.3, 0.15])
        orifice = kind is K.FIXED and rng.random() < 0.5
        metering = MeteringDevice.ORIFICE_TUBE if orifice else MeteringDevice.EXPANSION_VALVE
        gas = str(rng.choice(["R-134a", "R-1234yf"]))
        return _Design(house.parts, kind, metering, gas, float(rng.choice([0.0, 1.0, 0.5])))

    def _unit(self, record: Vehicle, design: _Design, count: int) -> tuple[list[Reading], int, _Design]:
        unit, car = self._next("unit"), design.moved(self.rng, "unit")
        return self._readings(record, car, unit, count), unit, car

    def _readings(self, record: Vehicle, car: _Design, unit: int, count: int) -> list[Reading]:
        found: list[Reading] = []
        while count > 0:
            size = min(count, int(self.rng.integers(1, 4)))
            found += self._visit(record, car, unit, size)
            count -= size
        return found

    def _visit(self, record: Vehicle, car: _Design, unit: int, size: int) -> list[Reading]:
        rng, visit = self.rng, self._next("visit")
        ambient_c, humidity = float(rng.uniform(20.0, 38.0)), float(rng.uniform(0.2, 0.75))
        intake_c = ambient_c - float(rng.uniform(2.0, 6.0))
        digital = rng.random() < 0.5
        u = np.array([0.5, 0.4, 0.3, 0.3] if digital else [0.9, 0.8, 0.9, 0.5])
        offset = u * rng.uniform(-1.0, 1.0, 4)
        day = rng.normal(0.0, 1.0, 3) * np.array([0.2, 0.02, 0.3])
        blower = float(rng.choice([1.0, 0.8, 0.6], p=[0.75, 0.15, 0.1]))
        found = []
        for step in range(size):
            rpm = (
                float(rng.uniform(680.0, 920.0)) if step == 0 else float(rng.choice([1500.0, 2000.0, 2500.0]))
            )
            stage = 1 + int(ambient_c > 25.0 + rng.normal(0.0, 2.0)) + int(ambient_c > 34.0)
            true = _answer(car, ambient_c, wet_bulb_c(intake_c, humidity), rpm, stage, blower, day)
            swing = HUNTING[car.kind] * np.array([0.5, 0.8, 0.9, 0.6, 0.6])
            shown = true + swing * rng.standard_t(4.0, 5) * 0.707
            shown += np.array([offset[0], offset[1], offset[2] - offset[0], offset[1] - offset[2], offset[3]])
            conditions = Conditions(
                ambient_k=ambient_c + ZERO_CELSIUS_K, intake_k=intake_c + ZERO_CELSIUS_K,
                relative_humidity=humidity, barometer_pa=99_000.0, blower=blower,
                air_source=AirSource.RECIRCULATION, doors=Opening.OPEN, hood=Opening.CLOSED, sun=False,
                fan_stage=stage, run_time_s=800.0,
            )  # fmt: skip
            values = _estimates(shown, u, ambient_c, car.refrigerant)
            number = self._next("reading")
            found.append(reading(number, record, unit, visit, conditions, rpm, values, stage))
        return found


def _answer(
    car: _Design, ambient_c: float, wet_c: float, rpm: float, stage: int, blower: float, day: np.ndarray
) -> np.ndarray:
    part = car.parts
    load = (0.35 + 0.05 * (wet_c - 12.0)) * blower**0.6
    speed = 1.4 if car.kind is K.ELECTRIC else rpm / 900.0
    full = np.exp(part["capacity"]) * speed**0.75
    floating = 4.0 - 9.0 * np.log(full / load) + 0.1 * (ambient_c - 28.0)
    if car.kind is K.FIXED:
        evaporating = 2.0 + 0.45 * floating
    else:
        # The set point holds until the stroke is full; the change is a bend, not a corner.
        evaporating = (
            3.0 + part["set_k"] + 0.15 * (wet_c - 18.0) + 1.2 * np.logaddexp(0.0, floating / 1.2 - 3.0)
        )
    evaporating += part["stroke_k"] + day[0]
    shifted = 1.0 if car.kind is K.FIXED else 0.35
    heat = load * (1.25 + 0.15 * shifted * np.log(full / load))
    air = np.exp(part["condenser"] + day[1]) * (0.6 + 0.4 * stage) ** (0.6 + part["fan"])
    above = 21.0 * heat / air
    tube = car.metering is MeteringDevice.ORIFICE_TUBE
    superheat = (9.0 if tube else 5.5) + part["superheat_k"] + day[2] + (1.5 if tube else 0.2) * np.log(speed)
    subcooling = 3.5 + part["subcooling_k"] + car.sectioned * (3.0 + 0.28 * above)
    vent = evaporating + np.exp(part["duct"]) * (3.0 + 0.22 * (ambient_c - 20.0)) * blower**0.8
    return np.array([evaporating + ZERO_CELSIUS_K, above, superheat, subcooling, vent + ZERO_CELSIUS_K])


def _estimates(shown: np.ndarray, u: np.ndarray, ambient_c: float, gas: str) -> dict[Quantity, Estimate]:
    curve = saturation(gas)
    evaporating, above, superheat, subcooling, vent = (float(v) for v in shown)
    condensing = above + ambient_c + ZERO_CELSIUS_K
    low, high = curve.pressure_pa(evaporating), curve.pressure_pa(condensing)
    return {
        Quantity.LOW_SIDE: Estimate(low, u[0] / curve.slope_k_per_pa(low)),
        Quantity.HIGH_SIDE: Estimate(high, u[1] / curve.slope_k_per_pa(high)),
        Quantity.EVAPORATING: Estimate(evaporating, u[0]),
        Quantity.CONDENSING_ABOVE_AMBIENT: Estimate(above, u[1]),
        Quantity.SUPERHEAT: Estimate(superheat, float(np.hypot(u[0], u[2]))),
        Quantity.SUBCOOLING: Estimate(subcooling, float(np.hypot(u[1], u[2]))),
        Quantity.VENT: Estimate(vent, u[3]),
    }
