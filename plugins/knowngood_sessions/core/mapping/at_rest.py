"""Both sides at rest against saturation: whether their pressures count from the air or from vacuum.

Before the compressor runs, and long after, both sides stand at the saturation pressure of the coldest place
that holds liquid. With the temperature around it known, a pressure taken as gauge and the same taken as
absolute lie four to seven kelvins of saturation temperature apart, and only one of them fits.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind, unit
from knowngood_refdata.records import Role
from knowngood_refdata.refrigerants import saturation

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_refdata.logs import LogTable

    from .assignment import Assignment, ColumnMapping

REFRIGERANTS = ("R-134a", "R-1234yf")
_AROUND = (Role.AMBIENT, Role.SUCTION_LINE, Role.LIQUID_LINE, Role.INTAKE, Role.VENT)
_EQUAL = 0.03
_EQUAL_PA = 15_000.0
_FLAT = 0.06
_FEWEST = 5
_TURNING_RPM = 100.0
_AGREE_K = 8.0
_FITS_K = 2.5
_CLEARLY_K = 2.0


@dataclass(frozen=True, slots=True)
class AtRest:
    """What both sides at rest tell: ``gauge`` is None where both readings or neither fit; in words."""

    gauge: bool | None
    words: str


def at_rest(table: LogTable, mapping: ColumnMapping) -> AtRest | None:
    """What the first stretch at rest tells about gauge or absolute, None when there is no such stretch."""
    sides = [_named(mapping, role) for role in (Role.LOW_SIDE, Role.HIGH_SIDE)]
    if any(name is None for name in sides):
        return None
    low, high = (_si(table, mapping, name) for name in sides if name is not None)
    rows = _resting(low, high, _turning(table, mapping))
    if rows is None:
        return None
    around_k = [
        float(np.median(part)) for role in _AROUND if (part := _known(table, mapping, role, rows)).size
    ]
    if not around_k or max(around_k) - min(around_k) > _AGREE_K:
        return None
    name = sides[1]
    assert name is not None
    middle_k, stands_pa = float(np.median(around_k)), float(np.median(high[rows]))
    return _judged(stands_pa, middle_k, _temperature_unit(mapping), mapping[name].unit)


def absolute_pa(values: NDArray[np.float64], one: Assignment) -> NDArray[np.float64]:
    """Pressures (n,) as assigned, as absolute ones at the standard atmosphere; gauge unless stated."""
    si = unit(one.unit, Kind.PRESSURE).to_si(values)
    return si if one.gauge is False else si + STANDARD_ATMOSPHERE_PA


def _judged(stands_pa: float, around_k: float, degrees: str, pressure_unit: str) -> AtRest:
    off_k = {
        gauge: min(
            (saturation(fluid).temperature_k(stands_pa + added_pa) - around_k for fluid in REFRIGERANTS),
            key=abs,
        )
        for gauge, added_pa in ((True, STANDARD_ATMOSPHERE_PA), (False, 0.0))
    }
    better = min(off_k, key=lambda gauge: abs(off_k[gauge]))
    other = abs(off_k[not better])
    clear = abs(off_k[better]) <= _FITS_K and other - abs(off_k[better]) >= _CLEARLY_K
    pressure = float(unit(pressure_unit, Kind.PRESSURE).from_si(stands_pa))
    shown = {
        key: float(unit(degrees, Kind.TEMPERATURE).from_si(around_k + value))
        for key, value in ((True, off_k[True]), (False, off_k[False]), (None, 0.0))
    }
    words = (
        f"At rest both sides read {pressure:.4g} {pressure_unit}, with {shown[None]:.0f} {degrees} around "
        f"them. Taken as gauge that is saturated at {shown[True]:.0f} {degrees}, as absolute at "
        f"{shown[False]:.0f} {degrees}."
    )
    return AtRest(better if clear else None, words)


def _resting(
    low: NDArray[np.float64], high: NDArray[np.float64], turning: NDArray[np.bool_]
) -> NDArray[np.intp] | None:
    """The rows of the first stretch in which both sides are equal and level while nothing turns."""
    with np.errstate(invalid="ignore"):
        equal = np.abs(high - low) <= np.maximum(_EQUAL * np.abs(high), _EQUAL_PA)
    seen = np.isfinite(high) & np.isfinite(low)
    where = np.flatnonzero(seen)
    quiet = (equal & ~turning)[where]
    edges = np.flatnonzero(np.diff(quiet, prepend=False, append=False))
    for first, last in zip(edges[0::2], edges[1::2], strict=True):
        rows = where[first:last]
        if rows.size >= _FEWEST and float(np.ptp(high[rows])) <= _FLAT * abs(float(np.median(high[rows]))):
            return rows
    return None


def _turning(table: LogTable, mapping: ColumnMapping) -> NDArray[np.bool_]:
    name = next((name for name, one in mapping.items() if one.use is Role.ENGINE_SPEED), None)
    if name is None:
        return np.zeros(len(table.lines), dtype=bool)
    with np.errstate(invalid="ignore"):
        return np.asarray(table.column(name).numbers > _TURNING_RPM)


def _named(mapping: ColumnMapping, role: Role) -> str | None:
    """The only column of a role, with a unit."""
    names = [name for name, one in mapping.items() if one.use is role]
    return names[0] if len(names) == 1 and mapping[names[0]].unit else None


def _si(table: LogTable, mapping: ColumnMapping, name: str) -> NDArray[np.float64]:
    """Pressures in pascals from whatever they count."""
    return unit(mapping[name].unit, Kind.PRESSURE).to_si(table.column(name).numbers)


def _known(
    table: LogTable, mapping: ColumnMapping, role: Role, rows: NDArray[np.intp]
) -> NDArray[np.float64]:
    """The temperatures of a role in the rows, in kelvins, without those that are missing."""
    name = _named(mapping, role)
    if name is None:
        return np.empty(0)
    values = unit(mapping[name].unit, Kind.TEMPERATURE).to_si(table.column(name).numbers[rows])
    return np.asarray(values[np.isfinite(values)])


def _temperature_unit(mapping: ColumnMapping) -> str:
    names = [name for role in _AROUND if (name := _named(mapping, role)) is not None]
    return mapping[names[0]].unit if names else "°C"
