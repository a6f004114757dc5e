"""Trace the lines in ``data/isolines_*`` with CoolProp: ``python -m knowngood_refdata.generate_isolines``."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from knowngood_refdata.coolprop_source import Source
from knowngood_refdata.generate_saturation import DATA, FLUIDS
from knowngood_refdata.isolines import KINDS, Window
from knowngood_refdata.refrigerants import saturation

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from knowngood_refdata.isolines import Values
    from knowngood_refdata.refrigerants import SaturationCurve

    Floats = NDArray[np.float64]

UNIT_SETS: tuple[Values, ...] = ("si", "us")
POINTS = 100
COLDEST_K, HOTTEST_K = 228.15, 453.15
TIMES_CRITICAL = 1.3
TRANSCRITICAL_PA = {"R-744": 150e5}
QUALITIES = tuple(share / 10 for share in range(1, 10))
BTU_PER_LB_R = 4186.8
LB_PER_FT3 = 0.45359237 / 0.3048**3


def main() -> None:
    """Write the lines of each refrigerant for both unit sets."""
    for name, fluid in FLUIDS.items():
        for values in UNIT_SETS:
            np.savez(DATA / f"isolines_{name}_{values}.npz", **trace(name, fluid, values))


def trace(name: str, fluid: str, values: Values) -> dict[str, Any]:
    """The lines of one refrigerant for one unit set, as they are shipped.

    Points of all lines in a row, shape (2, n): enthalpy and pressure; how many belong to each line; its kind
    and its value; and the window.
    """
    tracer = Tracer.of(name, fluid)
    kept = [
        (KINDS.index(kind), constant, clipped)
        for kind, constant, line in tracer.all_lines(values)
        if (clipped := _clipped(line, tracer.window)).shape[1] > 1
    ]
    return {
        "points": np.concatenate([line for _, _, line in kept], axis=1).astype(np.float32),
        "counts": np.array([line.shape[1] for _, _, line in kept]),
        "kinds": np.array([kind for kind, _, _ in kept]),
        "values": np.array([constant for _, constant, _ in kept]),
        "window": _edges(tracer.window),
    }


@dataclass(frozen=True)
class Tracer:
    """Follows lines of one refrigerant; each is an array (2, n) of enthalpy and pressure."""

    source: Source
    curve: SaturationCurve
    window: Window

    @classmethod
    def of(cls, name: str, fluid: str) -> Tracer:
        """The tracer of a refrigerant with the window of its diagram."""
        source, curve = Source(fluid), saturation(name)
        lowest = curve.pressure_pa(COLDEST_K)
        highest = TRANSCRITICAL_PA.get(name, TIMES_CRITICAL * curve.critical_pa)
        least = source.saturated(lowest, 0.0)[1] - 10e3
        most = source.single("gas", lowest, HOTTEST_K)[1]
        return cls(source, curve, Window(lowest, highest, float(least), float(most)))

    def all_lines(self, values: Values) -> Iterator[tuple[str, float, Floats]]:
        """Kind, value and points of every line."""
        yield "dome", float("nan"), self.dome()
        for kelvin in _temperatures(values):
            yield "isotherm", kelvin, self.isotherm(kelvin)
        step = 100.0 if values == "si" else 0.02 * BTU_PER_LB_R
        for entropy in np.arange(1, 60) * step:
            yield "isentrope", float(entropy), self.isentrope(float(entropy))
        for density in _one_two_five(1.0 if values == "si" else LB_PER_FT3):
            yield "isochore", density, self.isochore(density)
        for quality in QUALITIES:
            yield "quality", quality, self.quality(quality)

    def dome(self) -> Floats:
        """Liquid from the lowest pressure to the critical point, then vapour back down."""
        liquid, vapour = self.quality(0.0), self.quality(1.0)
        return np.concatenate([liquid, vapour[:, -2::-1]], axis=1)

    def quality(self, quality: float) -> Floats:
        """A share of vapour, from the lowest pressure to the critical point."""
        deepest = np.sqrt(np.log(self.curve.critical_pa / self.window.lowest_pa))
        pressures = self.curve.critical_pa * np.exp(-(np.linspace(deepest, 0.0, POINTS) ** 2))
        enthalpies = [self.source.saturated(p, quality)[1] for p in pressures[:-1]]
        return np.array([[*enthalpies, self.source.critical()[1]], pressures])

    def isotherm(self, kelvin: float) -> Floats:
        """A temperature, from the highest pressure down to the lowest."""
        least, most = (
            self.source.density(pressure, kelvin)
            for pressure in (self.window.lowest_pa, self.window.highest_pa)
        )
        if kelvin >= self.curve.critical_k:
            return self.source.along(np.geomspace(most, least, POINTS), kelvin)
        pressure = self.curve.pressure_pa(kelvin)
        liquid, vapour = (np.exp(self.source.saturated(pressure, share)[0]) for share in (0.0, 1.0))
        branches = np.geomspace(most, liquid, POINTS // 2), np.geomspace(vapour, least, POINTS // 2)
        return np.concatenate([self.source.along(branch, kelvin) for branch in branches], axis=1)

    def isentrope(self, entropy: float) -> Floats:
        """An entropy, between the coldest and the hottest states at each pressure."""
        pressures = np.geomspace(self.window.highest_pa, self.window.lowest_pa, POINTS)
        found = [
            (self.source.at_entropy(pressure, entropy), pressure)
            for pressure in pressures
            if self.source.single("any", pressure, COLDEST_K - 5.0)[2]
            < entropy
            < self.source.single("any", pressure, HOTTEST_K + 60.0)[2]
        ]
        return np.array(found).reshape(-1, 2).T

    def isochore(self, density: float) -> Floats:
        """A density, through the mixtures and the gas or liquid above them."""
        temperatures = np.linspace(COLDEST_K - 2.0, HOTTEST_K + 60.0, 2 * POINTS)
        return self.source.along(density, temperatures)


def _clipped(line: Floats, window: Window) -> Floats:
    """The part of a line inside the window, with one point beyond at either end."""
    lowest, highest, least, most = _edges(window)
    enthalpy, pressure = line
    inside = np.flatnonzero(
        (pressure >= lowest * (1 - 1e-9))
        & (pressure <= highest * (1 + 1e-9))
        & (enthalpy >= least)
        & (enthalpy <= most)
    )
    if not inside.size:
        return line[:, :0]
    return line[:, max(inside[0] - 1, 0) : inside[-1] + 2]


def _edges(window: Window) -> Floats:
    return np.array([window.lowest_pa, window.highest_pa, window.least_j_kg, window.most_j_kg])


def _temperatures(values: Values) -> list[float]:
    if values == "si":
        return [celsius + 273.15 for celsius in range(-40, 181, 20)]
    return [(fahrenheit - 32) / 1.8 + 273.15 for fahrenheit in range(-40, 361, 40)]


def _one_two_five(unit: float) -> list[float]:
    return [digit * 10.0**power * unit for power in range(-2, 4) for digit in (1, 2, 5)]


if __name__ == "__main__":
    main()
