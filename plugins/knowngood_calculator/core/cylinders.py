"""What hoses, cans and cylinders hold, and how much a cylinder may hold.

Fill limit: AHRI Guideline K (2004), for cylinders of recovered refrigerant. The text of 49 CFR 173.304a was
not read; where it or another national rule asks for less, that prevails.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

WATER_KG_M3 = 997.05
"""Density of water at 77 °F (25 °C), to which specific gravity and water capacity refer (IAPWS-95)."""

FILL_FRACTION = 0.80
"""Largest part of a cylinder's volume that liquid may take at 77 °F: AHRI Guideline K."""

ROUNDING_KG = 1e-6
"""A milligram: no scale of a shop tells less, sums of rounded weights differ by less."""

CAUTIONS = (
    "The fill limit follows AHRI Guideline K, written for refrigerants that do not burn.",
    "For R-1234yf the cylinder's own marks and the supplier's figures prevail.",
    "The text of 49 CFR 173.304a was not read: it and other national rules prevail where they ask for less.",
    "Use a cylinder only within its retest date, upright and secured (from memory).",
    "Never heat a cylinder above 52 °C (125 °F), and never with a flame (from memory).",
)

OUT_OF_SCOPE = {
    "R-744": "no fill limit here: R-744 comes in high-pressure cylinders, go by the cylinder's own marks",
}
"""Refrigerants that the rule is not made for, each with what to say instead."""


@dataclass(frozen=True, slots=True)
class Contents:
    """Mass [kg] in a volume [m³], or words that say why there is none."""

    mass_kg: float | None
    volume_m3: float | None = None
    words: str = ""


@dataclass(frozen=True, slots=True)
class Cylinder:
    """A cylinder by its stamps: water capacity (WC) and tare (TW) [kg]."""

    water_capacity_kg: float
    tare_kg: float

    @property
    def volume_m3(self) -> float:
        """Inner volume [m³]: the water capacity over the density of water at 77 °F."""
        return self.water_capacity_kg / WATER_KG_M3


@dataclass(frozen=True, slots=True)
class FillLimit:
    """How much a cylinder may hold [kg]; None where there is no answer.

    Attributes
    ----------
    net_kg, gross_kg
        Most refrigerant, and what the scale shows then.
    contents_kg, room_kg
        What is inside now and what may be added; a room below zero means overfilled.
    """

    net_kg: float | None
    gross_kg: float | None
    contents_kg: float | None = None
    room_kg: float | None = None
    words: str = ""

    @property
    def overfilled(self) -> bool:
        """Whether more is inside than allowed."""
        return self.room_kg is not None and self.room_kg < -ROUNDING_KG


@dataclass(frozen=True, slots=True)
class LiquidFull:
    """The temperature [K] from which a cylinder is full of liquid, or words that say why there is none."""

    temperature_k: float | None
    words: str = ""


def hose_contents(length_m: float, bore_m: float, density_kg_m3: float) -> Contents:
    """Mass of refrigerant in a hose, m = ρ π d²/4 L, with the density of its liquid or its vapour.

    By hand: 1.8 m of 4.8 mm bore is 32.6 mL; full of R-134a liquid at 25 °C (1206.7 kg/m³, Tillner-Roth
    and Baehr 1994) it holds 39 g.

    >>> round(1e3 * hose_contents(1.8, 4.8e-3, 1206.7).mass_kg)
    39
    """
    problem = _not_positive(length=length_m, bore=bore_m, density=density_kg_m3)
    if problem:
        return Contents(None, words=problem)
    return vessel_contents(math.pi / 4.0 * bore_m**2 * length_m, density_kg_m3)


def vessel_contents(volume_m3: float, density_kg_m3: float) -> Contents:
    """Mass in a volume filled evenly, m = ρ V: the vapour left in a can, a cylinder or a circuit.

    By hand: 0.33 L of R-134a vapour at 30 °C (37.5 kg/m³) is 12 g, which no can gives away.

    >>> round(1e3 * vessel_contents(0.33e-3, 37.5).mass_kg)
    12
    """
    problem = _not_positive(volume=volume_m3, density=density_kg_m3)
    if problem:
        return Contents(None, words=problem)
    return Contents(density_kg_m3 * volume_m3, volume_m3)


def specific_gravity(liquid_kg_m3: float) -> float:
    """Specific gravity at 77 °F from the density [kg/m³] of saturated liquid there.

    R-134a at 25 °C: 1206.7 kg/m³ (Tillner-Roth and Baehr 1994) gives the 1.21 of the trade (from memory).

    >>> round(specific_gravity(1206.7), 2)
    1.21
    """
    return liquid_kg_m3 / WATER_KG_M3


def fill_limit(cylinder: Cylinder, gravity: float, gross_now_kg: float | None = None) -> FillLimit:
    """Most refrigerant that a cylinder may hold, and the room left at a gross weight.

    net = 0.80 WC SG, gross = net + tare, room = gross - gross now, with the specific gravity at 77 °F.
    AHRI Guideline K (2004), as printed with an example in the trade press: R-22 of SG 1.197, WC 1000 lb
    and tare 380 lb give 957.60 lb net and 1337.60 lb gross.

    >>> found = fill_limit(Cylinder(1000.0, 380.0), 1.197)
    >>> f"{found.net_kg:.2f} {found.gross_kg:.2f}"
    '957.60 1337.60'
    """
    problem = _not_positive(
        **{
            "water capacity": cylinder.water_capacity_kg,
            "tare": cylinder.tare_kg,
            "specific gravity": gravity,
        }
    )
    if problem:
        return FillLimit(None, None, words=problem)
    net_kg = FILL_FRACTION * cylinder.water_capacity_kg * gravity
    gross_kg = net_kg + cylinder.tare_kg
    if gross_now_kg is None:
        return FillLimit(net_kg, gross_kg)
    contents_kg = gross_now_kg - cylinder.tare_kg
    if not (math.isfinite(gross_now_kg) and contents_kg >= 0.0):
        words = "the tare is more than the cylinder weighs now: check the stamp, the scale and the units"
        return FillLimit(net_kg, gross_kg, words=words)
    room_kg = gross_kg - gross_now_kg
    return FillLimit(net_kg, gross_kg, contents_kg, room_kg, _room_words(room_kg))


def liquid_full(
    mass_kg: float,
    volume_m3: float,
    liquid_density: Callable[[float], float],
    lowest_k: float,
    highest_k: float,
) -> LiquidFull:
    """The temperature at which a mass fills a closed volume with liquid: ρ'(T) = m / V, by bisection.

    Beyond it every kelvin raises the pressure steeply and the cylinder may burst. A cylinder of R-134a filled
    to 80 % at 25 °C is full of liquid at 74.8 °C (computed with CoolProp 8.0).

    Parameters
    ----------
    liquid_density
        Density of saturated liquid [kg/m³] at a temperature [K], falling throughout.
    lowest_k, highest_k
        Where it is known [K], the highest below the critical temperature.

    >>> round(liquid_full(0.75, 1e-3, lambda kelvin: 1050.0 - kelvin, 250.0, 350.0).temperature_k, 3)
    300.0
    """
    problem = _not_positive(mass=mass_kg, volume=volume_m3)
    if problem:
        return LiquidFull(None, problem)
    wanted = mass_kg / volume_m3
    if liquid_density(lowest_k) <= wanted:
        return LiquidFull(None, "full of liquid already where the table begins: far beyond any fill limit")
    if not liquid_density(highest_k) <= wanted:
        return LiquidFull(None, "so little liquid never fills the cylinder, up to the critical temperature")
    low_k, high_k = lowest_k, highest_k
    while high_k - low_k > 1e-4:
        middle_k = (low_k + high_k) / 2.0
        low_k, high_k = (middle_k, high_k) if liquid_density(middle_k) > wanted else (low_k, middle_k)
    return LiquidFull((low_k + high_k) / 2.0)


def _room_words(room_kg: float) -> str:
    if room_kg < -ROUNDING_KG:
        return (
            "over the fill limit: put nothing more in, keep it cool and out of the sun, and transfer the "
            "excess to another cylinder fit for this refrigerant"
        )
    return "at the fill limit: nothing more may go in" if room_kg <= ROUNDING_KG else ""


def _not_positive(**values: float) -> str:
    for name, value in values.items():
        if not (math.isfinite(value) and value > 0.0):
            return f"the {name} is above zero: check the value and its unit"
    return ""
