"""The numbers of readings taken out of the records: once for each reading, however often the book grows."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.model.covariates import raw
from knowngood_refdata.records import Estimate, Quantity
from knowngood_refdata.refrigerants import UnknownRefrigerant, saturation

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from knowngood_refdata.expected.model.nesting import Floats
    from knowngood_refdata.records import Reading, Vehicle
    from knowngood_refdata.refrigerants import SaturationCurve

NOBODY = -1
"""Stands for a car that is not named: cars without a name cannot be told apart and count as one."""

NOMINAL = "R-134a"
"""Whose curve turns pressures into temperatures, and back, where the refrigerant is not on record."""

_READ = (
    Quantity.EVAPORATING,
    Quantity.CONDENSING_ABOVE_AMBIENT,
    Quantity.SUPERHEAT,
    Quantity.SUBCOOLING,
    Quantity.VENT,
    Quantity.LOW_SIDE,
    Quantity.HIGH_SIDE,
)
_MODELLED = 5
_NOTHING = Estimate(math.nan, math.nan)

ABSURD = 1e4
"""No condition is as large as this in the units of the model: such a one counts as not recorded."""
_HIGHEST = 1e9
"""Larger values are all the same nonsense; this keeps their squares finite."""


@dataclass(frozen=True, slots=True)
class Extract:
    """Readings as arrays before they are sorted.

    Attributes
    ----------
    raw
        (10, n) conditions, see `knowngood_refdata.expected.model.covariates.raw`.
    keys
        (5, n): vehicle, unit, visit, moment, number of the reading.
    values, stated
        (m, n): modelled quantities and their standard uncertainties, NaN where not measured or no number.
    log_pressure
        (2, n) logarithms of the absolute pressures of low and high side.
    """

    readings: tuple[Reading, ...]
    raw: Floats
    keys: NDArray[np.int64]
    values: Floats
    stated: Floats
    log_pressure: Floats

    def joined(self, other: Extract) -> Extract:
        """Both together."""
        return Extract(
            self.readings + other.readings,
            np.hstack([self.raw, other.raw]),
            np.hstack([self.keys, other.keys]),
            np.hstack([self.values, other.values]),
            np.hstack([self.stated, other.stated]),
            np.hstack([self.log_pressure, other.log_pressure]),
        )

    def part(self, at: NDArray[np.intp]) -> Extract:
        """Some of the readings."""
        return Extract(
            tuple(self.readings[i] for i in at), self.raw[:, at], self.keys[:, at], self.values[:, at],
            self.stated[:, at], self.log_pressure[:, at],
        )  # fmt: skip


def curve_of(vehicle: Vehicle) -> SaturationCurve:
    """The vehicle's saturation curve, or the nominal one."""
    try:
        return saturation(vehicle.refrigerant or NOMINAL)
    except UnknownRefrigerant:
        return saturation(NOMINAL)


def extract(readings: Sequence[Reading], vehicles: Mapping[int, Vehicle]) -> Extract:
    """Take the numbers out of the records; pressures without a temperature become temperatures."""
    n = len(readings)
    found = [raw(one.conditions, one.engine_rpm, one.fan_stage) for one in readings]
    rows = np.array(found, dtype=np.float64).reshape(n, 10).T
    rows = np.where(np.abs(rows) < ABSURD, rows, np.nan)
    keys = np.array([_keys(one) for one in readings], dtype=np.int64).reshape(n, 5).T
    numbers = [_numbers(one.values) for one in readings]
    pairs = np.array(numbers, dtype=np.float64).reshape(n, 2 * len(_READ)).T
    values, stated = _finite(pairs[: len(_READ)]), pairs[len(_READ) :]
    stated = np.where(stated >= 0.0, np.minimum(stated, _HIGHEST), np.nan)
    values[5:][~(values[5:] > 0.0)] = np.nan
    log_pressure = np.log(values[5:])
    for curve, at in _by_curve(keys[0], vehicles):
        _between(curve, at, rows[0], values, stated, log_pressure)
    return Extract(
        tuple(readings), rows, keys, values[:_MODELLED].copy(), stated[:_MODELLED].copy(), log_pressure
    )


def _by_curve(
    vehicle: NDArray[np.int64], vehicles: Mapping[int, Vehicle]
) -> list[tuple[SaturationCurve, NDArray[np.intp]]]:
    numbers, of = np.unique(vehicle, return_inverse=True)
    curves = [curve_of(vehicles[int(number)]) for number in numbers]
    by_name = {curve.name: curve for curve in curves}
    name = np.array([curve.name for curve in curves], dtype=str)[of]
    return [(by_name[one], np.flatnonzero(name == one)) for one in sorted(by_name)]


def _keys(one: Reading) -> tuple[int, int, int, int, int]:
    visit = one.session_id if one.session_id is not None else -one.taken_at.toordinal()
    unit = NOBODY if one.unit_id is None else one.unit_id
    return one.vehicle_id, unit, visit, int(one.taken_at.timestamp()), one.id


def _numbers(of: Mapping[Quantity, Estimate]) -> list[float]:
    found = [of.get(quantity, _NOTHING) for quantity in _READ]
    return [one.value for one in found] + [one.standard_uncertainty for one in found]


def _finite(values: Floats) -> Floats:
    return np.where(np.isfinite(values), np.clip(values, -_HIGHEST, _HIGHEST), np.nan)


def _between(
    curve: SaturationCurve, at: NDArray[np.intp], ambient_k: Floats, values: Floats, stated: Floats,
    log_pressure: Floats,
) -> None:  # fmt: skip
    """Fill what is missing of temperatures and pressures from one another, in place, for one vehicle."""
    for place, above in ((0, 0.0), (1, ambient_k[at])):
        temperature, pressure = values[place, at] + above, values[place + 5, at]
        found = curve.temperature_k(pressure)
        lacking = np.isnan(temperature) & np.isfinite(found)
        values[place, at] = np.where(lacking, found - above, values[place, at])
        through = stated[place + 5, at] * curve.slope_k_per_pa(pressure)
        stated[place, at] = np.where(lacking, through, stated[place, at])
        log = np.log(curve.pressure_pa(temperature))
        log_pressure[place, at] = np.where(np.isnan(pressure), log, log_pressure[place, at])
