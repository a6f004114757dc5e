"""What a comparison assumes of both systems, and what of it cannot be."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_comparison.core.words import Words
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from knowngood_refdata.states import Fluid

NEAR_CRITICAL = 0.99
"""Up to this share of the critical pressure there are tables of liquid and gas."""

LEAST_EFFICIENCY = 0.01
"""Below this the compressor is no compressor, and its discharge no state."""


@dataclass(frozen=True, slots=True)
class Assumptions:
    """The conditions of both cycles, in SI.

    Attributes
    ----------
    evaporating_k, condensing_k
        Saturation temperatures in evaporator and condenser.
    superheat_k, subcooling_k
        At the outlets of evaporator and condenser.
    isentropic_efficiency
        Of the compressor.
    effectiveness
        Of the internal heat exchanger of the first and of the second system; 0 where there is none.
    suction_drop_pa
        From the evaporator's outlet to the compressor.
    cooling_w
        The wanted cooling power; None when none is asked for.
    """

    evaporating_k: float
    condensing_k: float
    superheat_k: float = 0.0
    subcooling_k: float = 0.0
    isentropic_efficiency: float = 1.0
    effectiveness: tuple[float, float] = (0.0, 0.0)
    suction_drop_pa: float = 0.0
    cooling_w: float | None = None


def contradiction(given: Assumptions) -> Words | None:
    """What of the assumptions no system can have, whatever refrigerant it holds; None when nothing.

    >>> contradiction(Assumptions(320.0, 280.0)).text
    'condensing must lie above evaporating'
    """
    found = next((words for wrong, words in _rules(given) if wrong), "")
    return Words(found) if found else None


def obstacle(fluid: Fluid, given: Assumptions) -> Words | None:
    """Why a refrigerant has no cycle between these temperatures; None when it has one.

    >>> from knowngood_refdata.states import fluid
    >>> obstacle(fluid("R-1234yf"), Assumptions(280.0, 369.0)).bound.__round__(2)
    367.85
    """
    curve = fluid.curve
    if max(given.condensing_k, given.evaporating_k) >= curve.critical_k:
        text = f"above the critical temperature of {fluid.name}, {{bound}}, nothing condenses"
        return Words(text, curve.critical_k, Kind.TEMPERATURE)
    high_pa = curve.pressure_pa(given.condensing_k)
    if high_pa > NEAR_CRITICAL * curve.critical_pa:
        text = f"too near to the critical temperature of {fluid.name}, {{bound}}: choose a lower condensing"
        return Words(text, curve.critical_k, Kind.TEMPERATURE)
    if given.evaporating_k < curve.lowest_k:
        return Words(f"below {{bound}} there are no tables of {fluid.name}", curve.lowest_k, Kind.TEMPERATURE)
    low_pa = curve.pressure_pa(given.evaporating_k)
    if low_pa - given.suction_drop_pa < curve.lowest_pa:
        text = f"the suction drop leaves nothing of the {fluid.name} suction pressure, {{bound}}"
        return Words(text, low_pa, Kind.PRESSURE)
    return None


def _rules(given: Assumptions) -> tuple[tuple[bool, str], ...]:
    shares = (given.isentropic_efficiency, *given.effectiveness)
    return (
        (given.evaporating_k >= given.condensing_k, "condensing must lie above evaporating"),
        (given.superheat_k < 0.0, "superheat below zero would be wet vapour: enter 0 or more"),
        (given.subcooling_k < 0.0, "subcooling below zero would leave vapour in the liquid: enter 0 or more"),
        (
            given.condensing_k - given.subcooling_k <= given.evaporating_k,
            "the liquid would leave the condenser colder than the evaporator: check the subcooling",
        ),
        (given.isentropic_efficiency < LEAST_EFFICIENCY, "an isentropic efficiency lies above 1 %"),
        (max(shares) > 1.0, "an efficiency or effectiveness lies at 100 % or below"),
        (min(given.effectiveness) < 0.0, "the effectiveness of a heat exchanger is 0 % or more"),
        (given.suction_drop_pa < 0.0, "the suction drop is 0 or more"),
        (
            given.cooling_w is not None and given.cooling_w <= 0.0,
            "the wanted cooling power must lie above zero; empty it to do without",
        ),
    )
