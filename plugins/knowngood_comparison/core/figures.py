"""The figures of a cycle that two refrigerants are compared by."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING

import numpy as np

from knowngood_comparison.core.assumptions import contradiction, obstacle
from knowngood_comparison.core.names import BOTH
from knowngood_comparison.core.words import Words
from knowngood_refdata.cycle import assumed
from knowngood_refdata.quantities import Kind
from knowngood_refdata.states import fluid

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from knowngood_comparison.core.assumptions import Assumptions
    from knowngood_refdata.cycle import Cycle
    from knowngood_refdata.states import Fluid

    Floats = NDArray[np.float64]

EQUATION_UP_TO_K = {"R-134a": 455.0, "R-1234yf": 410.0}
"""Up to these temperatures the equations of state are stated, see `knowngood_refdata.states`."""


class Figure(Enum):
    """A figure: its title, the kind of quantity (None for a plain number), and where it is taken."""

    SUCTION_PRESSURE = ("Suction", Kind.PRESSURE, "pressure at the compressor's inlet")
    CONDENSING_PRESSURE = ("Condensing", Kind.PRESSURE, "pressure in the condenser")
    PRESSURE_RATIO = ("Pressure ratio", None, "condensing over suction pressure, both absolute")
    CAPACITY = ("Capacity per mass", Kind.SPECIFIC_ENERGY, "heat that a unit of mass takes up")
    MASS_FLOW = ("Mass flow", Kind.MASS_FLOW, "for the cooling power entered")
    VOLUMETRIC_CAPACITY = (
        "Volumetric capacity",
        Kind.VOLUMETRIC_CAPACITY,
        "heat taken up per volume that the compressor draws in",
    )
    COP = ("COP", None, "cooling power over compressor power")
    POWER = ("Compressor power", Kind.POWER, "for the cooling power entered")
    DISCHARGE = ("Discharge", Kind.TEMPERATURE, "temperature at the compressor's outlet")
    SUPERHEAT = ("Suction superheat", Kind.TEMPERATURE_DIFFERENCE, "at the compressor's inlet")
    LIQUID_DENSITY = ("Liquid density", Kind.DENSITY, "saturated, at condensing")
    VAPOUR_DENSITY = ("Vapour density", Kind.DENSITY, "at the compressor's inlet")
    LATENT_HEAT = ("Latent heat", Kind.SPECIFIC_ENERGY, "at evaporating")

    def __init__(self, title: str, kind: Kind | None, where: str) -> None:
        self.title = title
        self.kind = kind
        self.where = where

    @property
    def full_name(self) -> str:
        """Title and place in one: ``Liquid density, saturated, at condensing``."""
        return f"{self.title}, {self.where}"

    @property
    def needs_power(self) -> bool:
        """Whether the figure follows only from a wanted cooling power."""
        return self in (Figure.MASS_FLOW, Figure.POWER)

    @property
    def has_share(self) -> bool:
        """Whether a difference makes sense in percent: of a temperature it does not."""
        return self.kind not in (Kind.TEMPERATURE, Kind.TEMPERATURE_DIFFERENCE)


@dataclass(frozen=True, slots=True)
class Side:
    """One refrigerant's part: its cycle and figures in SI, or the words that say why there are none."""

    refrigerant: str
    cycle: Cycle | None = None
    figures: Mapping[Figure, float] | None = None
    words: Words | None = None

    def figure(self, figure: Figure) -> float | None:
        """The value of a figure, None where there is none."""
        return None if self.figures is None else self.figures.get(figure)


@dataclass(frozen=True, slots=True)
class Compared:
    """Both sides, and what cannot be whatever the refrigerant is."""

    sides: tuple[Side, Side]
    words: Words | None = None

    def difference(self, figure: Figure) -> float | None:
        """Second less first, in SI; None unless both have the figure."""
        first, second = (side.figure(figure) for side in self.sides)
        return None if first is None or second is None else second - first

    def share(self, figure: Figure) -> float | None:
        """The difference as a share of the first; None where there is none or it makes no sense."""
        first, difference = self.sides[0].figure(figure), self.difference(figure)
        if first is None or difference is None or not figure.has_share or first == 0.0:
            return None
        return difference / first


def compared(given: Assumptions) -> Compared:
    """Both refrigerants between the same saturation temperatures.

    Properties alone: heat exchangers, compressor and oil are taken to be the same for both. Worked value:
    0 and 40 °C, saturated, ideal compression, computed with CoolProp 8.0.

    >>> from knowngood_comparison.core.assumptions import Assumptions
    >>> found = compared(Assumptions(273.15, 313.15))
    >>> round(100 * found.share(Figure.COP), 1), round(100 * found.share(Figure.SUCTION_PRESSURE), 1)
    (-5.3, 7.9)
    """
    wrong = contradiction(given)
    if wrong is not None:
        first, second = (Side(name) for name in BOTH)
        return Compared((first, second), wrong)
    first, second = (
        _side(fluid(name), given, share) for name, share in zip(BOTH, given.effectiveness, strict=True)
    )
    return Compared((first, second))


def figures(of: Fluid, cycle: Cycle, cooling_w: float | None) -> dict[Figure, Floats]:
    """The figures of one cycle or of many at once, in SI, each of the shape of the cycle's states.

    Parameters
    ----------
    cooling_w
        The wanted cooling power; without one the figures that need it are left out.
    """
    suction, high_pa = cycle.suction, cycle.condenser_outlet.pressure_pa
    low_pa = cycle.evaporator_outlet.pressure_pa
    vapour, liquid = of.saturated_vapour(low_pa), of.saturated_liquid(low_pa)
    found = {
        Figure.SUCTION_PRESSURE: suction.pressure_pa,
        Figure.CONDENSING_PRESSURE: high_pa,
        Figure.PRESSURE_RATIO: cycle.pressure_ratio,
        Figure.CAPACITY: cycle.capacity_j_kg,
        Figure.VOLUMETRIC_CAPACITY: cycle.volumetric_capacity_j_m3,
        Figure.COP: cycle.cop,
        Figure.DISCHARGE: cycle.discharge.temperature_k,
        Figure.SUPERHEAT: suction.temperature_k - of.curve.temperature_k(suction.pressure_pa),
        Figure.LIQUID_DENSITY: of.saturated_liquid(high_pa).density_kg_m3,
        Figure.VAPOUR_DENSITY: suction.density_kg_m3,
        Figure.LATENT_HEAT: vapour.enthalpy_j_kg - liquid.enthalpy_j_kg,
    }
    if cooling_w is not None:
        found[Figure.MASS_FLOW] = cooling_w * cycle.mass_flow_per_watt
        found[Figure.POWER] = cooling_w / cycle.cop
    return found


def beyond_equation(side: Side) -> Words | None:
    """Said where the discharge is hotter than the equation of state is stated for; None otherwise."""
    limit_k, hot_k = EQUATION_UP_TO_K[side.refrigerant], side.figure(Figure.DISCHARGE)
    if hot_k is None or hot_k <= limit_k:
        return None
    text = f"the discharge of {side.refrigerant} is hotter than {{bound}}, to where its equation is stated"
    return Words(text, limit_k, Kind.TEMPERATURE)


def _side(of: Fluid, given: Assumptions, effectiveness: float) -> Side:
    words = obstacle(of, given)
    if words is not None:
        return Side(of.name, words=words)
    cycle = assumed(
        of,
        given.evaporating_k,
        given.condensing_k,
        superheat_k=given.superheat_k,
        subcooling_k=given.subcooling_k,
        isentropic_efficiency=given.isentropic_efficiency,
        exchanger_effectiveness=effectiveness,
        suction_drop_pa=given.suction_drop_pa,
    )
    values = {figure: float(value) for figure, value in figures(of, cycle, given.cooling_w).items()}
    if not all(np.isfinite(value) for value in values.values()):
        text = f"a state of the {of.name} cycle lies outside the tables, which end at {{bound}}"
        return Side(of.name, words=Words(text, 473.15, Kind.TEMPERATURE))
    return Side(of.name, cycle, values)
