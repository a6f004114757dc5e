"""Saturation of the refrigerants, fast enough for a million samples, and what follows from it.

The curves come from tables made with CoolProp 8.0 by `knowngood_refdata.generate_saturation`. CoolProp itself
is not loaded: its first use takes more than a second with the interpreter lock held. The equations of state
are those that it names:

- R-134a: Tillner-Roth and Baehr, J. Phys. Chem. Ref. Data 23 (1994) 657
- R-1234yf: Lemmon and Akasaka, Int. J. Thermophys. 43 (2022) 119
- R-744: Span and Wagner, J. Phys. Chem. Ref. Data 25 (1996) 1509
- R-152a: Outcalt and McLinden, J. Phys. Chem. Ref. Data 25 (1996) 605
- R-12: Marx, Pruß and Wagner, Neue Zustandsgleichungen für R 12, R 22, R 11 und R 113, VDI (1992)
"""

from __future__ import annotations

import json
import math
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, overload

import numpy as np

from knowngood_refdata.cubic import Cubic

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

DATA = Path(__file__).parent / "data"
REFRIGERANTS = ("R-134a", "R-1234yf", "R-744", "R-152a", "R-12")

BLOCK = 4096
"""Samples worked on at once: the intermediate arrays then stay in the fastest cache."""


class UnknownRefrigerant(ValueError):  # noqa: N818 - reads as what it is
    """There is no saturation curve for a refrigerant of this name."""


@dataclass(frozen=True)
class SaturationCurve:
    """The line along which liquid and vapour of one refrigerant are at rest together.

    Attributes
    ----------
    name
        Designation, ``R-134a``.
    critical_k, critical_pa
        The critical point: above it there is no saturation temperature.
    lowest_k, lowest_pa
        Where the table begins.
    begins_at_triple_point
        Whether there is no liquid at all below, as with R-744.
    """

    name: str
    critical_k: float
    critical_pa: float
    lowest_k: float
    lowest_pa: float
    begins_at_triple_point: bool
    _temperature: Cubic = field(repr=False)
    _inverse: Cubic = field(repr=False)

    @overload
    def temperature_k(self, pressure_pa: float) -> float: ...
    @overload
    def temperature_k(self, pressure_pa: NDArray[np.float64]) -> NDArray[np.float64]: ...
    def temperature_k(self, pressure_pa: float | NDArray[np.float64]) -> float | NDArray[np.float64]:
        """Saturation temperature [K] at absolute pressures [Pa], any shape; NaN off the curve.

        Within 0.1 µK of CoolProp 8.0 from the lowest to the critical pressure. Source of the check value:
        Tillner-Roth and Baehr 1994, table 8, where 0.1 MPa belongs to 246.79 K.

        >>> round(saturation("R-134a").temperature_k(100_000.0), 2)
        246.79
        """
        return _blockwise(self._temperature_block, pressure_pa)

    @overload
    def pressure_pa(self, temperature_k: float) -> float: ...
    @overload
    def pressure_pa(self, temperature_k: NDArray[np.float64]) -> NDArray[np.float64]: ...
    def pressure_pa(self, temperature_k: float | NDArray[np.float64]) -> float | NDArray[np.float64]:
        """Saturation pressure [Pa, absolute] at temperatures [K], any shape; NaN off the curve.

        The inverse of `temperature_k` to within a nanokelvin. Source of the check value: Tillner-Roth and
        Baehr 1994, table 8, where 300 K belongs to 0.70282 MPa.

        >>> round(saturation("R-134a").pressure_pa(300.0))
        702821
        """
        return _blockwise(self._pressure_block, temperature_k)

    @overload
    def slope_k_per_pa(self, pressure_pa: float) -> float: ...
    @overload
    def slope_k_per_pa(self, pressure_pa: NDArray[np.float64]) -> NDArray[np.float64]: ...
    def slope_k_per_pa(self, pressure_pa: float | NDArray[np.float64]) -> float | NDArray[np.float64]:
        """How much the saturation temperature rises with pressure, dT/dp [K/Pa]; NaN off the curve.

        Within 0.002 % of the derivative that the equation of state gives.

        >>> curve = saturation("R-134a")
        >>> round(curve.slope_k_per_pa(curve.pressure_pa(275.15)) * 1e5, 1)
        8.9
        """
        return _blockwise(self._slope_block, pressure_pa)

    @property
    def deepest_place(self) -> float:
        """Place sqrt(ln(pc/p)) of the lowest pressure; the critical point has the place 0."""
        return math.sqrt(math.log(self.critical_pa / self.lowest_pa))

    def temperature_at_place_k(self, place: NDArray[np.float64]) -> NDArray[np.float64]:
        """Saturation temperature [K] at places sqrt(ln(pc/p)) on the curve, shape (m,)."""
        found = self._temperature(place)
        # Rounding must not push the lower end of the curve off it.
        return np.maximum(found, self.lowest_k, out=found)

    def why_none(self, pressure_pa: float) -> str:
        """Why there is no saturation temperature at a pressure, in words; empty when there is one."""
        if math.isnan(pressure_pa):
            return "there is no pressure"
        if pressure_pa <= 0.0:
            return "an absolute pressure is never zero or less: check gauge or absolute, and the barometer"
        if pressure_pa > self.critical_pa:
            return (
                f"above the critical pressure of {self.name} ({self.critical_pa / 1e5:.1f} bar absolute) "
                "there is no saturation temperature"
            )
        if pressure_pa < self.lowest_pa and self.begins_at_triple_point:
            return (
                f"below the triple point of {self.name} ({self.lowest_pa / 1e5:.2f} bar absolute, "
                f"{self.lowest_k - 273.15:.1f} °C) there is no liquid, only gas and solid"
            )
        if pressure_pa < self.lowest_pa:
            return f"below {self.lowest_k - 273.15:.0f} °C the curve of {self.name} is not tabulated"
        return ""

    def _place(self, pressure: NDArray[np.float64]) -> NDArray[np.float64]:
        place = np.divide(self.critical_pa, pressure)
        np.log(place, out=place)
        return np.sqrt(place, out=place)

    def _temperature_block(self, pressure: NDArray[np.float64]) -> NDArray[np.float64]:
        usable = self._on_curve(pressure)
        if usable is None:
            return self.temperature_at_place_k(self._place(pressure))
        found = np.full(pressure.shape, np.nan)
        found[usable] = self.temperature_at_place_k(self._place(pressure[usable]))
        return found

    def _on_curve(self, pressure: NDArray[np.float64]) -> NDArray[np.bool_] | None:
        """Which pressures lie on the curve; None when all do, the common case that needs no copy."""
        if pressure.min() >= self.lowest_pa and pressure.max() <= self.critical_pa:
            return None
        usable: NDArray[np.bool_] = (pressure >= self.lowest_pa) & (pressure <= self.critical_pa)
        return usable

    def _pressure_block(self, temperature: NDArray[np.float64]) -> NDArray[np.float64]:
        found = np.full(temperature.shape, np.nan)
        usable = (temperature >= self.lowest_k) & (temperature <= self.critical_k)
        wanted = temperature[usable]
        place = self._inverse(np.sqrt(np.maximum(1.0 - wanted / self.critical_k, 0.0)))
        pressure = self.critical_pa * np.exp(-(_newton(self._temperature, wanted, place, steps=2) ** 2))
        # As above, for both ends.
        found[usable] = np.clip(pressure, self.lowest_pa, self.critical_pa)
        return found

    def _slope_block(self, pressure: NDArray[np.float64]) -> NDArray[np.float64]:
        found = np.full(pressure.shape, np.nan)
        usable = (pressure >= self.lowest_pa) & (pressure <= self.critical_pa)
        # At the critical point dT/ds and s vanish together; their quotient does not.
        place = np.maximum(self._place(pressure[usable]), 1e-9)
        found[usable] = self._temperature.slope(place) / (-2.0 * place * pressure[usable])
        return found


@cache
def saturation(name: str) -> SaturationCurve:
    """The saturation curve of a refrigerant.

    Raises
    ------
    UnknownRefrigerant
        When there is none of this name.
    """
    if name not in REFRIGERANTS:
        raise UnknownRefrigerant(f"no saturation curve for '{name}'; known are {', '.join(REFRIGERANTS)}")
    facts = json.loads((DATA / "saturation.json").read_text("utf-8"))["tables"][name]
    table = np.load(DATA / f"saturation_{name}.npy")
    reach = float(np.sqrt(np.log(facts["critical_pa"] / facts["lowest_pa"])))
    forward = Cubic.hermite(reach / (table.shape[1] - 1), *table)
    return SaturationCurve(
        name,
        facts["critical_k"],
        facts["critical_pa"],
        facts["lowest_k"],
        facts["lowest_pa"],
        facts["lowest_k"] == facts["triple_k"],
        forward,
        _inverted(forward, reach, facts["critical_k"], facts["lowest_k"], table.shape[1]),
    )


@overload
def superheat_k(curve: SaturationCurve, low_pa: float, suction_line_k: float) -> float: ...
@overload
def superheat_k(
    curve: SaturationCurve, low_pa: NDArray[np.float64], suction_line_k: NDArray[np.float64]
) -> NDArray[np.float64]: ...
def superheat_k(
    curve: SaturationCurve,
    low_pa: float | NDArray[np.float64],
    suction_line_k: float | NDArray[np.float64],
) -> float | NDArray[np.float64]:
    """Superheat [K]: suction line above the saturation temperature at the low side [Pa, absolute].

    Çengel and Boles, Thermodynamics, 5th edition, example 11-2: 0.14 MPa and -10 °C give 8.76 K (the
    difference itself computed from the example's data).

    >>> round(superheat_k(saturation("R-134a"), 140_000.0, 263.15), 2)
    8.76
    """
    return suction_line_k - curve.temperature_k(low_pa)


@overload
def subcooling_k(curve: SaturationCurve, high_pa: float, liquid_line_k: float) -> float: ...
@overload
def subcooling_k(
    curve: SaturationCurve, high_pa: NDArray[np.float64], liquid_line_k: NDArray[np.float64]
) -> NDArray[np.float64]: ...
def subcooling_k(
    curve: SaturationCurve,
    high_pa: float | NDArray[np.float64],
    liquid_line_k: float | NDArray[np.float64],
) -> float | NDArray[np.float64]:
    """Subcooling [K]: liquid line below the saturation temperature at the high side [Pa, absolute].

    Çengel and Boles, Thermodynamics, 5th edition, example 11-2: 0.72 MPa and 26 °C give 1.67 K (the
    difference itself computed from the example's data).

    >>> round(subcooling_k(saturation("R-134a"), 720_000.0, 299.15), 2)
    1.67
    """
    return curve.temperature_k(high_pa) - liquid_line_k


def _blockwise(
    work: Callable[[NDArray[np.float64]], NDArray[np.float64]], x: float | NDArray[np.float64]
) -> float | NDArray[np.float64]:
    values = np.asarray(x, dtype=np.float64)
    flat = values.reshape(-1)
    if not flat.size:
        return np.empty(values.shape)
    if flat.size <= BLOCK:
        found = work(flat)
        return float(found[0]) if values.ndim == 0 else found.reshape(values.shape)
    result = np.empty_like(flat)
    for start in range(0, flat.size, BLOCK):
        result[start : start + BLOCK] = work(flat[start : start + BLOCK])
    return result.reshape(values.shape)


def _newton(
    curve: Cubic, wanted: NDArray[np.float64], place: NDArray[np.float64], *, steps: int
) -> NDArray[np.float64]:
    for _ in range(steps):
        slope = curve.slope(place)
        # At the critical point the slope in s vanishes and the guess is exact already.
        step = np.divide(curve(place) - wanted, slope, out=np.zeros_like(place), where=slope < -1e-9)
        place = np.maximum(place - step, 0.0)
    return place


def _inverted(forward: Cubic, reach: float, critical_k: float, lowest_k: float, nodes: int) -> Cubic:
    """Place s against sqrt(1 - T/Tc), where the inverse is smooth up to the critical point too."""
    end = float(np.sqrt(1.0 - lowest_k / critical_k))
    tau = np.linspace(0.0, end, nodes)
    wanted = critical_k * (1.0 - tau**2)
    fine = np.linspace(0.0, reach, 16 * nodes)
    place = _newton(forward, wanted, np.interp(-wanted, -forward(fine), fine), steps=4)
    place[0] = 0.0
    slope = np.empty(nodes)
    slope[1:] = -2.0 * critical_k * tau[1:] / forward.slope(place[1:])
    slope[0] = 2.0 * slope[1] - slope[2]
    return Cubic.hermite(end / (nodes - 1), place, slope)
