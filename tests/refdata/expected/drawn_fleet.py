"""A fleet drawn from distributions: nested effects, slopes of families, long tails, two humps.

Scatter differs by compressor kind, readings of a visit share weather and instruments, half the condensers
have a subcooling section that nobody recorded. All figures are invented.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from tests.refdata.expected.fleet import Fleet, Kept, reading, vehicle

from knowngood_refdata.quantities import ZERO_CELSIUS_K
from knowngood_refdata.records import AirSource, CompressorKind, Conditions, Estimate, Opening, Quantity

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_refdata.records import Reading, Vehicle

KINDS = tuple(CompressorKind)
MAKERS = ("Tarn", "Fen", "Moor", "Gill", "Beck", "Holm", "Ness", "Wyke", "Carr", "Lathe", "Mere")
Q = (
    Quantity.EVAPORATING,
    Quantity.CONDENSING_ABOVE_AMBIENT,
    Quantity.SUPERHEAT,
    Quantity.SUBCOOLING,
    Quantity.VENT,
)
BASE = np.array([ZERO_CELSIUS_K + 3.0, 18.0, 6.0, 6.0, ZERO_CELSIUS_K + 9.0])
MAKER, FAMILY, CONFIGURATION, UNIT, VISIT = (
    np.array(sd) for sd in (
        (0.5, 1.0, 0.7, 0.8, 0.6), (1.3, 2.5, 1.6, 1.6, 1.5), (0.8, 1.4, 1.0, 1.0, 1.0),
        (0.5, 0.7, 0.7, 0.6, 0.6), (0.35, 0.5, 0.4, 0.4, 0.5),
    )
)  # fmt: skip
NOISE = np.array([0.5, 0.8, 0.8, 0.6, 0.7])
SCATTER = dict(zip(KINDS, (0.6, 1.0, 1.7, 0.8), strict=True))
"""How much the readings of each kind of compressor scatter, against the mean."""
# For each quantity: ambient and wet bulb [K/K], octave of engine speed, fan stage, blower (full: 1).
SLOPES = np.array([
    (0.10, 0.30, -1.5, -0.1, 2.0),
    (0.05, 0.35, 1.5, -4.0, 3.0),
    (0.00, -0.10, 0.3, 0.0, 1.0),
    (0.02, 0.05, 0.3, -0.3, 0.0),
    (0.25, 0.45, -1.5, -0.3, 4.0),
])  # fmt: skip
KIND_OCTAVE = {KINDS[0]: 2.2, KINDS[1]: 0.5, KINDS[2]: 0.6, KINDS[3]: 0.0}
HUMP_K = 8.0
LIMITS = (  # evaporating, condensing, line and air probes: standard uncertainties of two sets
    np.array([0.3, 0.3, 0.29, 0.25]),
    np.array([0.9, 0.7, 0.8, 0.5]),
)


@dataclass(frozen=True, slots=True)
class _Configuration:
    record: Vehicle
    kind: CompressorKind
    level: NDArray[np.float64]  # (quantities,)
    slopes: NDArray[np.float64]  # (quantities, 5)
    idle_rpm: float


def drawn_fleet(seed: int, makers: int = 8, families: int = 25, configurations: int = 120) -> Fleet:
    """A fleet of a seed; three more makers and one more configuration in six are kept back."""
    rng = np.random.default_rng([11, seed])
    return _Drawing(rng, makers, families, configurations).fleet()


class _Drawing:
    def __init__(self, rng: np.random.Generator, makers: int, families: int, configurations: int) -> None:
        self.rng = rng
        self.vehicles: list[Vehicle] = []
        self.readings = 0
        self.visits = 0
        self.units = 0
        self.known = self._configurations(0, makers, families, configurations)
        fewer = configurations // 6
        self.new = self._configurations(makers, 3, 6, fewer, first_family=families)

    def _tail(self, scale: NDArray[np.float64], freedom: float) -> NDArray[np.float64]:
        drawn = self.rng.standard_t(freedom, len(scale)) * np.sqrt((freedom - 2) / freedom)
        return np.asarray(scale * drawn)

    def _configurations(
        self, first: int, makers: int, families: int, count: int, first_family: int = 0
    ) -> list[_Configuration]:
        rng = self.rng
        maker_level = rng.normal(0.0, 1.0, (makers, 5)) * MAKER
        of = np.concatenate([np.arange(makers), rng.integers(0, makers, families - makers)])
        # A maker has a few families, a family a few configurations; some have many.
        share = rng.dirichlet(np.full(families, 2.0))
        family_of = np.concatenate([np.arange(families), rng.choice(families, count - families, p=share)])
        kinds = [KINDS[i] for i in rng.choice(4, families, p=(0.25, 0.2, 0.4, 0.15))]
        levels = [maker_level[of[f]] + self._tail(FAMILY, 5.0) for f in range(families)]
        slopes = [SLOPES * rng.normal(1.0, 0.35, SLOPES.shape) for _ in range(families)]
        split = rng.random(families) < 0.5
        found = []
        for f in family_of:
            maker = MAKERS[first + of[f]]
            record = vehicle(len(self.vehicles) + 1, maker, first_family + int(f) + 1, kinds[f])
            self.vehicles.append(record)
            level = BASE + levels[f] + self._tail(CONFIGURATION, 5.0)
            sectioned = rng.random() < (0.5 if split[f] else 0.5 + 0.45 * np.sign(levels[f][3]))
            level[3] += HUMP_K * (float(sectioned) - 0.5)
            own = slopes[f] * rng.normal(1.0, 0.1, SLOPES.shape)
            own[:, 2] *= KIND_OCTAVE[kinds[f]]
            found.append(_Configuration(record, kinds[f], level, own, rng.uniform(700.0, 900.0)))
        return found

    def fleet(self) -> Fleet:
        library: list[Reading] = []
        kept: list[tuple[Kept, Reading]] = []
        unseen = set(self.rng.choice(len(self.known), len(self.known) // 6, replace=False).tolist())
        for number, one in enumerate(self.known):
            if number in unseen:
                kept += [(Kept.NEW_CONFIGURATION, r) for r in self._car(one, int(self.rng.integers(1, 4)))]
                continue
            wanted = int(self.rng.integers(1, 13))
            while wanted > 0:
                level = self._tail(UNIT, 5.0)
                unit = self._next_unit()
                size = min(wanted, int(self.rng.integers(1, 7)))
                library += self._car(one, size, unit, level)
                wanted -= size
            kept += [(Kept.KNOWN, r) for r in self._car(one, 1, unit, level)]
            kept += [(Kept.NEW_UNIT, r) for r in self._car(one, 1)]
        for one in self.new:
            kept += [(Kept.NEW_MAKER, r) for r in self._car(one, int(self.rng.integers(1, 4)))]
        return Fleet(tuple(self.vehicles), tuple(library), tuple(kept))

    def _next_unit(self) -> int:
        self.units += 1
        return self.units

    def _car(
        self,
        of: _Configuration,
        count: int,
        unit: int | None = None,
        level: NDArray[np.float64] | None = None,
    ) -> list[Reading]:
        """Readings of one car, up to three a visit."""
        if unit is None or level is None:
            unit, level = self._next_unit(), self._tail(UNIT, 5.0)
        found: list[Reading] = []
        while count > 0:
            size = min(count, int(self.rng.integers(1, 4)))
            found += self._visit(of, unit, level, size)
            count -= size
        return found

    def _visit(self, of: _Configuration, unit: int, level: NDArray[np.float64], size: int) -> list[Reading]:
        rng = self.rng
        self.visits += 1
        ambient_c, humidity = rng.normal(28.0, 5.0), rng.uniform(0.25, 0.8)
        wet_c = wet_bulb_c(ambient_c - 3.0, humidity)
        stated = LIMITS[int(rng.random() < 0.4)]
        shift = stated * rng.uniform(-1.0, 1.0, 4) * 1.2
        instruments = np.array([shift[0], shift[1], shift[2] - shift[0], shift[1] - shift[2], shift[3]])
        u = np.hypot(stated[[0, 1, 2, 1, 3]], np.array([0.0, 0.0, stated[0], stated[2], 0.0]))
        same = of.level + level + instruments + self._tail(VISIT, 6.0)
        blower = float(rng.choice([1.0, 0.75, 0.5], p=[0.7, 0.2, 0.1]))
        found = []
        for step in range(size):
            rpm = of.idle_rpm if step == 0 else float(rng.choice([1500.0, 2000.0, 2500.0]))
            stage = int(ambient_c + rng.normal(0.0, 3.0) > 28.0) + 1
            x = np.array([ambient_c - 28.0, wet_c - 20.0, np.log2(rpm / 1200.0), stage - 1.5, blower - 0.9])
            values = same + of.slopes @ x + SCATTER[of.kind] * self._tail(NOISE, 4.0)
            self.readings += 1
            conditions = Conditions(
                ambient_k=ambient_c + ZERO_CELSIUS_K, intake_k=ambient_c - 3.0 + ZERO_CELSIUS_K,
                relative_humidity=humidity, barometer_pa=98_500.0, blower=blower,
                air_source=AirSource.RECIRCULATION, doors=Opening.CLOSED, hood=Opening.OPEN, sun=False,
                fan_stage=stage, run_time_s=900.0,
            )  # fmt: skip
            estimates = {q: Estimate(float(v), float(e)) for q, v, e in zip(Q, values, u, strict=True)}
            found.append(
                reading(self.readings, of.record, unit, self.visits, conditions, rpm, estimates, stage)
            )
        return found


def wet_bulb_c(dry_c: float, humidity: float) -> float:
    """Wet bulb [°C] to some tenths (Stull, J. Appl. Meteorology and Climatology 50 (2011) 2267)."""
    h = 100.0 * humidity
    return float(
        dry_c * np.arctan(0.151977 * np.sqrt(h + 8.313659)) + np.arctan(dry_c + h) - np.arctan(h - 1.676331)
        + 0.00391838 * h**1.5 * np.arctan(0.023101 * h) - 4.686035
    )  # fmt: skip
