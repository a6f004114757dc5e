"""When not enough is known for a range. The bounds are common practice, no source."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.model.covariates import STEP, Covariate
from knowngood_refdata.expected.model.forecast import Basis
from knowngood_refdata.expected.model.kin import makers_and_families, whole_book
from knowngood_refdata.expected.model.modelled import Modelled

if TYPE_CHECKING:
    from knowngood_refdata.expected.model.fitted import Fitted
    from knowngood_refdata.expected.model.forecast import Kin
    from knowngood_refdata.expected.model.kin import Backing
    from knowngood_refdata.expected.model.nesting import Floats
    from knowngood_refdata.expected.model.vehicles import Place

READINGS_NEEDED, CARS_NEEDED = 4, 3
FAMILIES_NEEDED, MAKERS_NEEDED = 4, 3
FAR_STEPS, BESIDE_STEPS = 2.5, 0.25
"""Conditions so many usual differences outside all readings leave nothing to be said, or are remarked on."""

WIDEST = {
    Modelled.EVAPORATING: 25.0,
    Modelled.CONDENSING_ABOVE_AMBIENT: 45.0,
    Modelled.SUPERHEAT: 30.0,
    Modelled.SUBCOOLING: 35.0,
    Modelled.VENT: 30.0,
    Modelled.LOW_RESPONSE: 1.5,
    Modelled.HIGH_RESPONSE: 1.5,
}
"""A 90 % range as wide as this [K, or a doubling] excludes nothing that is seen in a workshop."""

NAMES = {
    Covariate.AMBIENT: "ambient",
    Covariate.WET_BULB: "wet bulb",
    Covariate.ENGINE_SPEED: "engine speed",
    Covariate.FAN_STAGE: "fan stage",
    Covariate.BLOWER: "blower",
    Covariate.AIR_SOURCE: "air source",
    Covariate.DOORS: "doors",
    Covariate.HOOD: "hood",
    Covariate.SUN: "sun",
}
_FAR_REFUSED = (Covariate.AMBIENT, Covariate.WET_BULB, Covariate.ENGINE_SPEED)


def too_little(fitted: Fitted, kin: Kin, behind: Backing, place: Place) -> str:
    """Why the readings do not carry a range; empty when they do."""
    if kin.basis is Basis.UNIT and behind.readings >= READINGS_NEEDED:
        return ""
    whole = whole_book(fitted)
    if whole.readings < READINGS_NEEDED or whole.cars < CARS_NEEDED:
        held = f"{_count(whole.readings, 'known-good reading')} of {_count(whole.cars, 'car')} in the book"
        return f"{held}; a range needs {READINGS_NEEDED} of {CARS_NEEDED}"
    if kin.basis in (Basis.ALL, Basis.MAKER):
        return _strange(fitted, kin, place)
    return ""


def _strange(fitted: Fitted, kin: Kin, place: Place) -> str:
    makers, families = makers_and_families(fitted)
    who = "maker" if kin.basis is Basis.ALL else "system family"
    if families < FAMILIES_NEEDED:
        return (
            f"no reading of this {who}, and {_count(families, 'family')} show too little of how others differ"
        )
    if kin.basis is Basis.ALL and makers < MAKERS_NEEDED:
        return f"no reading of this maker, and {_count(makers, 'maker')} show too little of how others differ"
    if not (fitted.tree.nesting.blocks[0] == place.kind).any():
        return f"no reading of this {who}, nor of any car with this kind of compressor"
    return ""


def too_wide(what: Modelled, low: float, high: float) -> str:
    """Why a range says nothing; empty when it says something."""
    if high - low <= WIDEST[what]:
        return ""
    return "what is known of its kin differs so much that a range would exclude nothing"


def far_conditions(fitted: Fitted, covariates: Floats) -> tuple[str, tuple[str, ...]]:
    """Why the conditions leave nothing to be said (or nothing), and remarks on those at the edge."""
    frame = fitted.frame
    part = covariates[list(frame.columns)]
    outside = np.maximum(frame.least - part, part - frame.most) / STEP[list(frame.columns)]
    refused, remarks = "", []
    for column, by in zip(frame.columns, outside, strict=True):
        name = NAMES[Covariate(column)]
        if np.isnan(by):
            remarks.append(f"{name} not recorded")
        elif by > FAR_STEPS and column in _FAR_REFUSED:
            refused = refused or f"{name} lies far outside that of all readings in the book"
        elif by > BESIDE_STEPS:
            remarks.append(f"{name} lies outside that of all readings in the book")
    return refused, tuple(remarks)


def _count(number: int, noun: str) -> str:
    plural = noun[:-1] + "ies" if noun.endswith("y") else noun + "s"
    return f"{number} {noun if number == 1 else plural}"
