"""States of the refrigerants on and off the saturation line, fast for one and for a million.

Density, enthalpy and entropy come from tables made with CoolProp 8.0 by `knowngood_refdata.generate_states`
(see `knowngood_refdata.region` for how they are laid out); CoolProp itself is not loaded. The equations of
state are named in `knowngood_refdata.refrigerants`. Enthalpy and entropy count from 200 kJ/kg and
1 kJ/(kg K) in saturated liquid at 0 °C.

Where there are states: saturated ones from the lowest to the critical pressure of the curve; liquid from
180 K (R-744: 216.6 K, its triple point) and gas up to 200 °C, both from the lowest pressure to 0.99 of the
critical; R-744 also as a dense fluid from 1.015 of its critical pressure (74.9 bar) to 162 bar, -5 to
200 °C. The equation of R-1234yf is stated for up to 137 °C, that of R-134a for up to 182 °C; beyond, theirs
are the values to which they extrapolate.

Farthest from CoolProp, measured at 16,000 states a region and refrigerant: up to 0.9 of the critical
pressure and from 1.1 of it density 6e-6 of itself, enthalpy 2 J/kg, entropy 0.03 J/(kg K), the worst in
liquid subcooled by more than 150 K; saturated states 1e-8 of themselves. Nearer to the critical pressure
density 6e-5, enthalpy 12 J/kg, entropy 0.2 J/(kg K); saturated R-744 within 0.1 % of it density 4e-4 and
enthalpy 40 J/kg.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.cubic import Line, Surface
from knowngood_refdata.dome import GAS_SIDE, LIQUID_SIDE, WET, Dome
from knowngood_refdata.refrigerants import DATA, SaturationCurve, saturation
from knowngood_refdata.region import ENTHALPY, ENTROPY, Bounds, Region

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

BLOCK = 4096
"""Samples worked on at once: few calls, and intermediate arrays that still fit a cache."""

LIQUID, VAPOUR = 0, 1
PRESSURE, TEMPERATURE, DENSITY, ENTHALPY_ROW, ENTROPY_ROW, QUALITY = range(6)


@dataclass(frozen=True, slots=True)
class State:
    """Properties of a refrigerant, each an array of the same shape; NaN where there is no such state.

    Attributes
    ----------
    pressure_pa
        Absolute pressure as it was asked for, also where there is no state.
    temperature_k, density_kg_m3, enthalpy_j_kg, entropy_j_kg_k
        In SI units.
    quality
        Share of vapour by mass in a mixture of liquid and vapour; NaN for a single phase.
    """

    pressure_pa: Floats
    temperature_k: Floats
    density_kg_m3: Floats
    enthalpy_j_kg: Floats
    entropy_j_kg_k: Floats
    quality: Floats


@dataclass(frozen=True)
class Fluid:
    """One refrigerant, asked for its states.

    All pressures are absolute. Every argument is a number or an array; arrays are broadcast.

    Attributes
    ----------
    name, curve
        Designation, ``R-134a``, and its saturation curve.
    molar_mass_kg_mol
        Molar mass.
    """

    name: str
    curve: SaturationCurve
    molar_mass_kg_mol: float
    _dome: Dome = field(repr=False)
    _gas: tuple[Region, ...] = field(repr=False)
    _liquid: Region = field(repr=False)

    def saturated_liquid(self, pressure_pa: float | Floats) -> State:
        """Liquid about to boil, at absolute pressures [Pa].

        Source of the check value: Tillner-Roth and Baehr, J. Phys. Chem. Ref. Data 23 (1994) 657, table 8,
        where 0.1 MPa belongs to 1377.5 kg/m³, 165.44 kJ/kg and 0.8676 kJ/(kg K).

        >>> state = fluid("R-134a").saturated_liquid(1e5)
        >>> float(state.density_kg_m3.round(1)), float(state.enthalpy_j_kg.round()), float(state.quality)
        (1377.5, 165442.0, 0.0)
        """
        return _blockwise(lambda p, _: self._saturated(p, LIQUID), pressure_pa, 0.0)

    def saturated_vapour(self, pressure_pa: float | Floats) -> State:
        """Vapour about to condense, at absolute pressures [Pa].

        Source of the check value as for the liquid: 0.1 MPa belongs to 5.1932 kg/m³ and 382.60 kJ/kg.

        >>> state = fluid("R-134a").saturated_vapour(1e5)
        >>> float(state.density_kg_m3.round(4)), float(state.enthalpy_j_kg.round(-1)), float(state.quality)
        (5.1932, 382600.0, 1.0)
        """
        return _blockwise(lambda p, _: self._saturated(p, VAPOUR), pressure_pa, 0.0)

    def gas(self, pressure_pa: float | Floats, temperature_k: float | Floats) -> State:
        """Superheated vapour, and fluid above the critical pressure where tabulated.

        Source of the check value: Tillner-Roth and Baehr 1994, table 9, where 0.2 MPa and 265 K give
        9.9171 kg/m³, 394.26 kJ/kg and 1.7396 kJ/(kg K).

        >>> state = fluid("R-134a").gas(0.2e6, 265.0)
        >>> float(state.density_kg_m3.round(4)), float(state.enthalpy_j_kg.round(-1))
        (9.9171, 394260.0)
        """
        return _blockwise(lambda p, t: self._single(self._gas, p, t), pressure_pa, temperature_k)

    def liquid(self, pressure_pa: float | Floats, temperature_k: float | Floats) -> State:
        """Liquid below its saturation temperature.

        Source of the check value: Tillner-Roth and Baehr 1994, table 9, where 0.01 MPa and 205 K give
        1496.8 kg/m³, 113.44 kJ/kg and 0.6372 kJ/(kg K).

        >>> state = fluid("R-134a").liquid(0.01e6, 205.0)
        >>> float(state.density_kg_m3.round(1)), float(state.enthalpy_j_kg.round(-1))
        (1496.8, 113440.0)
        """
        return _blockwise(lambda p, t: self._single((self._liquid,), p, t), pressure_pa, temperature_k)

    def at_enthalpy(self, pressure_pa: float | Floats, enthalpy_j_kg: float | Floats) -> State:
        """The state of an enthalpy [J/kg]: liquid, mixture with its quality, gas or dense fluid.

        Source of the check value: Çengel and Boles, Thermodynamics, 5th edition, example 3-5, where 4 kg of
        R-134a in 0.080 m³ at 160 kPa have 64.2 kJ/kg and a quality of 0.157 (enthalpy there counted from
        liquid at -40 °C, that is, 148.14 kJ/kg less than here).

        >>> float(fluid("R-134a").at_enthalpy(160e3, 64.2e3 + 148.14e3).quality.round(3))
        0.157
        """
        return _blockwise(lambda p, h: self._at_quantity(p, h, ENTHALPY), pressure_pa, enthalpy_j_kg)

    def at_entropy(self, pressure_pa: float | Floats, entropy_j_kg_k: float | Floats) -> State:
        """The state of an entropy [J/(kg K)], in whatever phase: where an ideal compression ends.

        >>> suction = fluid("R-134a").saturated_vapour(140e3)
        >>> end = fluid("R-134a").at_entropy(800e3, suction.entropy_j_kg_k)
        >>> float(end.entropy_j_kg_k - suction.entropy_j_kg_k), bool(np.isnan(end.quality))
        (0.0, True)
        """
        return _blockwise(lambda p, s: self._at_quantity(p, s, ENTROPY), pressure_pa, entropy_j_kg_k)

    def _saturated(self, pressure: Floats, phase: int) -> Floats:
        found = _nothing(pressure)
        where = np.flatnonzero(self._dome.covers(pressure))
        a = self._place(pressure[where])
        _write(found, where, self.curve.temperature_at_place_k(a), self._dome.edges(a)[:, phase])
        found[QUALITY, where] = phase
        return found

    def _single(self, regions: tuple[Region, ...], pressure: Floats, temperature: Floats) -> Floats:
        found, a = _nothing(pressure), self._place(pressure)
        usable = np.isfinite(temperature)
        for region in regions:
            where = np.flatnonzero(usable & region.bounds.covers(pressure, a))
            if where.size:
                kelvin = temperature[where]
                _write(found, where, kelvin, region.at_temperature(a[where], kelvin))
        return found

    def _at_quantity(self, pressure: Floats, wanted: Floats, quantity: int) -> Floats:
        found, a = _nothing(pressure), self._place(pressure)
        usable = np.isfinite(wanted)
        side = self._dome.side(pressure, a, quantity, wanted)
        wet = np.flatnonzero(usable & (side == WET))
        if wet.size:
            properties, found[QUALITY, wet] = self._dome.mixture(a[wet], quantity, wanted[wet])
            _write(found, wet, self.curve.temperature_at_place_k(a[wet]), properties)
        for region, of_side in ((self._liquid, LIQUID_SIDE), *((gas, GAS_SIDE) for gas in self._gas)):
            where = np.flatnonzero(usable & (side == of_side) & region.bounds.covers(pressure, a))
            if where.size:
                _write(found, where, *region.at_quantity(a[where], quantity, wanted[where]))
        return found

    def _place(self, pressure: Floats) -> Floats:
        with np.errstate(divide="ignore", invalid="ignore"):
            place: Floats = np.sqrt(np.abs(np.log(pressure / self.curve.critical_pa)))
        return place


@cache
def fluid(name: str) -> Fluid:
    """A refrigerant by its designation.

    Raises
    ------
    knowngood_refdata.refrigerants.UnknownRefrigerant
        When there are no tables for one of this name.
    """
    curve = saturation(name)
    facts = json.loads((DATA / "states.json").read_text("utf-8"))["tables"][name]
    with np.load(DATA / f"states_{name}.npz") as tables:
        dome = Dome(curve, Line.through(tables["dome"]))
        regions = {
            kind: Region(Bounds(**bounds), _ridge(curve, kind, facts["ridge"]), Surface.through(tables[kind]))
            for kind, bounds in facts["regions"].items()
        }
    gas = tuple(regions[kind] for kind in ("gas", "dense") if kind in regions)
    return Fluid(name, curve, facts["molar_mass_kg_mol"], dome, gas, regions["liquid"])


def _ridge(curve: SaturationCurve, kind: str, terms: list[float]) -> Callable[[Floats], Floats]:
    if kind != "dense":
        return curve.temperature_at_place_k

    def above(a: Floats) -> Floats:
        square = a * a
        rise = np.zeros_like(a)
        for term in reversed(terms):
            rise = (rise + term) * square
        return curve.critical_k * (1.0 + rise)

    return above


def _nothing(pressure: Floats) -> Floats:
    found = np.full((6, len(pressure)), np.nan)
    found[PRESSURE] = pressure
    return found


def _write(found: Floats, where: NDArray[np.intp], temperature: Floats, properties: Floats) -> None:
    found[TEMPERATURE, where] = temperature
    found[DENSITY, where] = np.exp(properties[:, 0])
    found[ENTHALPY_ROW, where], found[ENTROPY_ROW, where] = properties[:, 1], properties[:, 2]


def _blockwise(
    work: Callable[[Floats, Floats], Floats], pressure_pa: float | Floats, other: float | Floats
) -> State:
    pressure, second = np.broadcast_arrays(
        np.asarray(pressure_pa, dtype=np.float64), np.asarray(other, dtype=np.float64)
    )
    shape = pressure.shape
    pressure, second = pressure.reshape(-1), second.reshape(-1)
    if pressure.size <= BLOCK:
        found = work(pressure, second)
    else:
        found = np.empty((6, pressure.size))
        for start in range(0, pressure.size, BLOCK):
            part = slice(start, start + BLOCK)
            found[:, part] = work(pressure[part], second[part])
    found[1:, np.isnan(found[DENSITY])] = np.nan
    return State(*(row.reshape(shape) for row in found))
