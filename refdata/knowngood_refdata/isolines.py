"""Lines of the pressure-enthalpy diagram: dome, isotherms, isentropes, isochores, lines of equal quality.

They are traced with CoolProp 8.0 by `knowngood_refdata.generate_isolines` and shipped as points, exact also
across the critical point; CoolProp itself is not loaded. Enthalpy and entropy count from 200 kJ/kg and
1 kJ/(kg K) in saturated liquid at 0 °C, as in `knowngood_refdata.states`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Literal

import numpy as np

from knowngood_refdata.refrigerants import DATA, REFRIGERANTS, UnknownRefrigerant

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

Values = Literal["si", "us"]
KINDS = ("dome", "isotherm", "isentrope", "isochore", "quality")


@dataclass(frozen=True, slots=True, eq=False)
class TracedLine:
    """One line of the diagram.

    Attributes
    ----------
    value
        What is constant along it: K, J/(kg K), kg/m³ or the quality; NaN for the dome.
    enthalpy_j_kg, pressure_pa
        Its points in order, shape (n,); pressures are absolute. It may end just outside the window.
    """

    value: float
    enthalpy_j_kg: Floats
    pressure_pa: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Window:
    """What a diagram of the refrigerant should show: lowest and highest pressure [Pa] and enthalpy [J/kg]."""

    lowest_pa: float
    highest_pa: float
    least_j_kg: float
    most_j_kg: float


@dataclass(frozen=True, slots=True, eq=False)
class DiagramLines:
    """All lines of one refrigerant; those of a kind in rising order of their values.

    The dome runs from liquid at the lowest pressure over the critical point to vapour at the lowest.
    """

    window: Window
    dome: TracedLine
    isotherms: tuple[TracedLine, ...]
    isentropes: tuple[TracedLine, ...]
    isochores: tuple[TracedLine, ...]
    qualities: tuple[TracedLine, ...]


@cache
def lines(name: str, values: Values) -> DiagramLines:
    """The lines of a refrigerant at values that are round in SI or in US customary units.

    SI: every 20 °C, every 0.1 kJ/(kg K), 1-2-5 kg/m³. US: every 40 °F, every 0.02 Btu/(lb °R), 1-2-5 lb/ft³
    and their tenths. Both: quality 0.1 to 0.9.

    Raises
    ------
    knowngood_refdata.refrigerants.UnknownRefrigerant
        When there are none of this name.

    >>> [round(line.value - 273.15) for line in lines("R-134a", "si").isotherms][:3]
    [-40, -20, 0]
    """
    if name not in REFRIGERANTS:
        raise UnknownRefrigerant(f"no diagram of '{name}'; known are {', '.join(REFRIGERANTS)}")
    with np.load(DATA / f"isolines_{name}_{values}.npz") as shipped:
        ends = np.cumsum(shipped["counts"])
        pieces = np.split(shipped["points"].astype(np.float64), ends[:-1], axis=1)
        kinds, constants, window = shipped["kinds"], shipped["values"], shipped["window"]
    traced: dict[str, list[TracedLine]] = {kind: [] for kind in KINDS}
    for kind, constant, (enthalpy, pressure) in zip(kinds, constants, pieces, strict=True):
        traced[KINDS[kind]].append(TracedLine(float(constant), enthalpy, pressure))
    return DiagramLines(
        Window(*window.tolist()),
        traced["dome"][0],
        tuple(traced["isotherm"]),
        tuple(traced["isentrope"]),
        tuple(traced["isochore"]),
        tuple(traced["quality"]),
    )
