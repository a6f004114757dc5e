"""A figure over evaporating or condensing temperature, for both refrigerants."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from knowngood_comparison.core.assumptions import NEAR_CRITICAL, contradiction
from knowngood_comparison.core.figures import figures
from knowngood_comparison.core.names import BOTH
from knowngood_refdata.cycle import assumed
from knowngood_refdata.states import fluid

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_comparison.core.assumptions import Assumptions
    from knowngood_comparison.core.figures import Figure
    from knowngood_refdata.states import Fluid

    Floats = NDArray[np.float64]

POINTS = 121
EVAPORATING_K, CONDENSING_K = (253.15, 293.15), (298.15, 363.15)
"""Over which the curves go, -20 to 20 °C and 25 to 90 °C, and farther where the conditions lie beyond."""
APART_K = 3.0
"""Nearer to one another the two temperatures make no cycle worth drawing."""


class Along(StrEnum):
    """Which temperature changes along a curve."""

    EVAPORATING = "evaporating"
    CONDENSING = "condensing"


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """One refrigerant's curve: saturation temperature and its pressure, and the figure, shape (n,), in SI.

    Where there is no such state the figure is NaN.
    """

    refrigerant: str
    saturation_k: Floats
    pressure_pa: Floats
    values: Floats


def curves(given: Assumptions, figure: Figure, along: Along) -> tuple[Curve, ...]:
    """A figure of both refrigerants over one of the temperatures, the rest as assumed.

    Empty when what is assumed contradicts itself or the figure needs a cooling power that is not given.

    >>> from knowngood_comparison.core.assumptions import Assumptions
    >>> from knowngood_comparison.core.figures import Figure
    >>> old, new = curves(Assumptions(273.15, 313.15), Figure.DISCHARGE, Along.CONDENSING)
    >>> bool((new.values < old.values).all())
    True
    """
    temperatures_k = _axis(given, along)
    if temperatures_k.size == 0 or (figure.needs_power and given.cooling_w is None):
        return ()
    # One end of the axis stands for all of it: only the order of the two temperatures changes along it.
    if contradiction(_at(given, along, float(temperatures_k[0]))) is not None:
        return ()
    return tuple(
        _curve(fluid(name), given, share, figure, along, temperatures_k)
        for name, share in zip(BOTH, given.effectiveness, strict=True)
    )


def _axis(given: Assumptions, along: Along) -> Floats:
    if along is Along.EVAPORATING:
        start, end = min(EVAPORATING_K[0], given.evaporating_k), max(EVAPORATING_K[1], given.evaporating_k)
        end = min(end, given.condensing_k - given.subcooling_k - APART_K)
    else:
        start, end = min(CONDENSING_K[0], given.condensing_k), max(CONDENSING_K[1], given.condensing_k)
        start = max(start, given.evaporating_k + given.subcooling_k + APART_K)
    return np.linspace(start, end, POINTS) if start < end else np.empty(0)


def _at(given: Assumptions, along: Along, temperature_k: float) -> Assumptions:
    if along is Along.EVAPORATING:
        return replace(given, evaporating_k=temperature_k)
    return replace(given, condensing_k=temperature_k)


def _curve(
    of: Fluid, given: Assumptions, effectiveness: float, figure: Figure, along: Along, temperatures_k: Floats
) -> Curve:
    fixed_k = np.full_like(
        temperatures_k, given.condensing_k if along is Along.EVAPORATING else given.evaporating_k
    )
    low_k, high_k = (temperatures_k, fixed_k) if along is Along.EVAPORATING else (fixed_k, temperatures_k)
    # Near the critical point there is no table of the liquid: nothing is drawn there.
    high_k = np.where(of.curve.pressure_pa(high_k) <= NEAR_CRITICAL * of.curve.critical_pa, high_k, np.nan)
    cycle = assumed(
        of,
        low_k,
        high_k,
        superheat_k=given.superheat_k,
        subcooling_k=given.subcooling_k,
        isentropic_efficiency=given.isentropic_efficiency,
        exchanger_effectiveness=effectiveness,
        suction_drop_pa=given.suction_drop_pa,
    )
    values = np.broadcast_to(figures(of, cycle, given.cooling_w)[figure], temperatures_k.shape)
    return Curve(of.name, temperatures_k, of.curve.pressure_pa(temperatures_k), values)
