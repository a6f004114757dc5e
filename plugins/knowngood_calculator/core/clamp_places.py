"""Where a clamp sits along the loop, and what is normal there."""

from __future__ import annotations

from enum import StrEnum

from knowngood_calculator.core.answers import HIGH_WORDS

EXCHANGER_SUPERHEAT_K = (13.0, 30.0)
"""Usual superheat at the compressor behind an internal heat exchanger: 5 K at the evaporator, evaporating
at 2 °C, condensing at 55 °C with 6 K of subcooling, and a vapour-side effectiveness of 0.2 to 0.6 (computed,
see `superheat_behind_exchanger_k`)."""

LITTLE_SUBCOOLING_K = 2.0
"""Below this a subcooling is called little (common practice, no source)."""


class SuctionPlace(StrEnum):
    """Places of the clamp on the suction side, in the direction of flow."""

    EVAPORATOR_OUTLET = "evaporator outlet, before any internal heat exchanger"
    AFTER_EXCHANGER = "after the internal heat exchanger"
    COMPRESSOR_INLET = "compressor inlet"


class LiquidPlace(StrEnum):
    """Places of the clamp on the liquid side, in the direction of flow."""

    CONDENSER_OUTLET = "condenser outlet"
    AFTER_RECEIVER = "after the receiver"
    BEFORE_EXPANSION = "before the expansion device"


def superheat_behind_exchanger_k(
    superheat_k: float, effectiveness: float, liquid_k: float, vapour_k: float
) -> float:
    """Superheat [K] behind an internal heat exchanger: SH + ε (T_liquid - T_vapour), both at its inlets.

    Definition of the temperature effectiveness on the vapour side, whose heat capacity flow is the smaller
    one; the pressure drop of the exchanger is left out. Textbook definition, no single source.

    Raises
    ------
    ValueError
        When the effectiveness is not between 0 and 1.

    >>> round(superheat_behind_exchanger_k(5.0, 0.4, 322.15, 280.15), 1)
    21.8
    """
    if not 0.0 <= effectiveness <= 1.0:
        raise ValueError(f"an effectiveness lies between 0 and 1, not at {effectiveness:g}")
    return superheat_k + effectiveness * (liquid_k - vapour_k)


def high_superheat_words(place: SuctionPlace | None, exchanger: bool | None, superheat_k: float) -> str:
    """What a high superheat [K] means at a place.

    ``exchanger`` tells whether there is an internal heat exchanger; None when that is not known.

    >>> high_superheat_words(SuctionPlace.COMPRESSOR_INLET, True, 20.0)
    'normal behind an internal heat exchanger, not normal without one'
    """
    if place is SuctionPlace.EVAPORATOR_OUTLET:
        return "high at the evaporator outlet, where no internal heat exchanger explains it"
    behind = exchanger or place is SuctionPlace.AFTER_EXCHANGER
    if behind and superheat_k > EXCHANGER_SUPERHEAT_K[1]:
        return "high even behind an internal heat exchanger"
    if behind:
        return "normal behind an internal heat exchanger, not normal without one"
    if exchanger is False:
        return "high for a system without an internal heat exchanger"
    return HIGH_WORDS


def subcooling_words(place: LiquidPlace | None, exchanger: bool | None, subcooling_k: float) -> str:
    """What belongs to a subcooling [K] at a place; empty where nothing needs saying.

    That liquid and vapour lie together in a receiver: common practice, no source.

    >>> subcooling_words(LiquidPlace.CONDENSER_OUTLET, None, 6.0)
    ''
    """
    if place is LiquidPlace.BEFORE_EXPANSION and exchanger is not False:
        heat = "holds" if exchanger else "may hold"
        return f"{heat} what an internal heat exchanger adds: not the subcooling of the condenser alone"
    if place is LiquidPlace.AFTER_RECEIVER and 0.0 <= subcooling_k < LITTLE_SUBCOOLING_K:
        return (
            "little is normal behind a receiver, where liquid and vapour lie together, "
            "unless a subcooling section follows it"
        )
    return ""
