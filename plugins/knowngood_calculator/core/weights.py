"""Weighing a charge: what scale and machine leave of the label's tolerance, and the charge put in.

Charge is weighed and never set by a pressure. A limit of error counts as a rectangular distribution
(JCGM 100:2008, 4.3.7), a step of the display likewise (F.2.2.1), and independent contributions add as
squares (5.1.2). Expanded uncertainties take k = 2, about 95 %.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from knowngood_refdata.records import Estimate
from knowngood_refdata.uncertainty import combine

COVERAGE = 2.0
"""Expanded uncertainty in standard uncertainties, for a level of confidence near 95 % (JCGM 100, 6.3.3)."""

EASY_SHARE = 0.25
"""An instrument is fine enough when it takes a quarter of the tolerance, 4 to 1 (common practice, no
source)."""


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale, or a charging machine seen as one.

    Attributes
    ----------
    limit_kg
        Limit of error, plus or minus, as its maker states it.
    step_kg
        Smallest step of the display; 0 when it is included in the limit.
    """

    limit_kg: float
    step_kg: float = 0.0
    name: str = ""


SCALES = (
    Scale(0.002, 0.001, "scale, ±2 g"),
    Scale(0.005, 0.001, "scale, ±5 g"),
    Scale(0.014, 0.005, "scale, ±14 g (0.5 oz)"),
)
"""Common scales (common practice, no source)."""

MACHINE = Scale(0.015, name="charging machine, ±15 g")
"""Charging accuracy of SAE J2788 and J2843 machines, ±15 g or 0.5 oz (from memory)."""


class Attainable(StrEnum):
    """Whether a tolerance can be kept with the instruments at hand."""

    WITH_EASE = "attainable with ease"
    WITH_CARE = "attainable, with little room"
    NOT = "not attainable with these instruments"
    CANNOT_TELL = "cannot tell"


class Charged(StrEnum):
    """A weighed charge against the label."""

    WITHIN = "within the label's tolerance"
    BELOW = "below the label's tolerance"
    ABOVE = "above the label's tolerance"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True)
class ToleranceCheck:
    """What scale and machine leave of the label's tolerance; masses None when there is no answer.

    Attributes
    ----------
    expanded_kg
        Expanded uncertainty (k = 2) of the mass that ends up in the system.
    share
        Its share of the tolerance, 0.6 for 60 %; the inverse is the test uncertainty ratio.
    share_of_charge
        The same as a share of the charge.
    guarded_kg
        How far from the label the reading may lie and the charge be still within the tolerance: the
        tolerance less the expanded uncertainty as guard band; 0 when nothing is left.
    """

    verdict: Attainable
    words: str
    expanded_kg: float | None = None
    share: float | None = None
    share_of_charge: float | None = None
    guarded_kg: float | None = None


@dataclass(frozen=True, slots=True)
class NetMass:
    """A mass from two weighings, or words that say why there is none."""

    mass: Estimate | None
    words: str = ""


@dataclass(frozen=True, slots=True)
class ChargeCheck:
    """A charge against the label: the verdict, how far off [kg], and what to do in words."""

    verdict: Charged
    words: str
    off_kg: float | None = None


def weighing_standard_uncertainty_kg(scale: Scale) -> float:
    """Standard uncertainty [kg] of one weighing, u² = limit²/3 + step²/12.

    JCGM 100:2008, 4.3.7 and F.2.2.1. A step of 1 g alone leaves 0.29 g.

    >>> round(1e3 * weighing_standard_uncertainty_kg(Scale(0.0, 0.001)), 2)
    0.29
    """
    return combine(scale.limit_kg / math.sqrt(3.0), scale.step_kg / math.sqrt(12.0))


def check_tolerance(
    charge_kg: float, tolerance_kg: float, scale: Scale, machine: Scale | None = None
) -> ToleranceCheck:
    """Whether the label's tolerance [kg] on a charge [kg] can be kept with a scale, and a machine.

    U = 2 √(u_scale² + u_machine²); share = U / tolerance; guarded = tolerance - U. The guard band of one
    expanded uncertainty is that of JCGM 106:2012, 8.3.3 (from memory). By hand: ±15 g is 8.66 g standard,
    17.3 g expanded, 87 % of a tolerance of 20 g.

    >>> found = check_tolerance(0.450, 0.020, Scale(0.0), MACHINE)
    >>> found.verdict.value, round(found.share, 2), found.words
    ('attainable, with little room', 0.87, 'the accuracy of scale and machine takes 87 % of the tolerance')
    """
    problem = _not_positive(charge=charge_kg, tolerance=tolerance_kg) or _not_a_scale(scale, machine)
    if problem:
        return ToleranceCheck(Attainable.CANNOT_TELL, problem)
    parts = [weighing_standard_uncertainty_kg(one) for one in (scale, machine) if one is not None]
    expanded_kg = COVERAGE * combine(*parts)
    share = expanded_kg / tolerance_kg
    return ToleranceCheck(
        _attainable(share),
        _share_words(share, with_machine=machine is not None),
        expanded_kg,
        share,
        expanded_kg / charge_kg,
        max(tolerance_kg - expanded_kg, 0.0),
    )


def net_mass(before_kg: float, after_kg: float, scale: Scale, correlation: float = 0.0) -> NetMass:
    """Mass [kg] that left a cylinder, from its weight before and after on one scale.

    m = before - after; u² = 2 (1 - r) limit²/3 + 2 step²/12 (JCGM 100:2008, equation 16 with the
    sensitivities 1 and -1). The steps of the display are independent always.

    Parameters
    ----------
    correlation
        r between 0 and 1, of the scale's error in both weighings: 0 takes them as independent, which is
        the careful choice; 1 when it is an offset that drops out of the difference.

    >>> found = net_mass(8.432, 7.982, Scale(0.005))
    >>> round(found.mass.value, 3), round(1e3 * found.mass.standard_uncertainty, 2)
    (0.45, 4.08)
    """
    problem = _not_positive(before=before_kg, after=after_kg) or _not_a_scale(scale)
    if not problem and not 0.0 <= correlation <= 1.0:
        problem = "the error of one scale is shared between two weighings by a part between 0 and 1"
    if not problem and after_kg > before_kg:
        problem = "the cylinder has become heavier: the two weighings are swapped, or gas went into it"
    if problem:
        return NetMass(None, problem)
    from_limit = scale.limit_kg / math.sqrt(3.0) * math.sqrt(2.0 * (1.0 - correlation))
    from_steps = scale.step_kg / math.sqrt(6.0)
    return NetMass(Estimate(before_kg - after_kg, combine(from_limit, from_steps)))


def check_charge(charged: Estimate, label_kg: float, tolerance_kg: float) -> ChargeCheck:
    """A weighed charge against the label's weight and tolerance [kg], with its uncertainty as guard band.

    Within when the reading keeps an expanded uncertainty (k = 2) from both limits, out when it lies an
    expanded uncertainty beyond one (JCGM 106:2012, 8.3, from memory).

    >>> check_charge(Estimate(0.455, 0.004), 0.450, 0.010).verdict.value
    'cannot tell'
    >>> check_charge(Estimate(0.455, 0.004), 0.450, 0.020).verdict.value
    "within the label's tolerance"
    """
    problem = _not_positive(label=label_kg, tolerance=tolerance_kg)
    if not problem and not (math.isfinite(charged.value) and charged.value >= 0.0):
        problem = "a charge is a mass of zero or more: check the weighings"
    if problem:
        return ChargeCheck(Charged.CANNOT_TELL, problem)
    off_kg, expanded_kg = charged.value - label_kg, COVERAGE * charged.standard_uncertainty
    if abs(off_kg) <= tolerance_kg - expanded_kg:
        return ChargeCheck(Charged.WITHIN, "the charge lies within the label's tolerance", off_kg)
    if abs(off_kg) <= tolerance_kg + expanded_kg:
        words = "too close to the limit for this scale: a finer scale tells"
        return ChargeCheck(Charged.CANNOT_TELL, words, off_kg)
    verdict = Charged.ABOVE if off_kg > 0.0 else Charged.BELOW
    words = "outside the label's tolerance: recover all of it, evacuate, and weigh the charge in anew"
    return ChargeCheck(verdict, words, off_kg)


def _attainable(share: float) -> Attainable:
    if share >= 1.0:
        return Attainable.NOT
    return Attainable.WITH_EASE if share <= EASY_SHARE else Attainable.WITH_CARE


def _share_words(share: float, *, with_machine: bool) -> str:
    whose = "scale and machine" if with_machine else "the scale"
    if share >= 1.0:
        return f"the accuracy of {whose} takes the whole tolerance: the label cannot be kept for certain"
    return f"the accuracy of {whose} takes {100.0 * share:.0f} % of the tolerance"


def _not_positive(**masses_kg: float) -> str:
    for name, mass_kg in masses_kg.items():
        if not (math.isfinite(mass_kg) and mass_kg > 0.0):
            return f"the {name} is a mass above zero: check the value and its unit"
    return ""


def _not_a_scale(*scales: Scale | None) -> str:
    used = [one for one in scales if one is not None]
    if all(math.isfinite(one.limit_kg + one.step_kg) for one in used) and all(
        one.limit_kg >= 0.0 and one.step_kg >= 0.0 for one in used
    ):
        return ""
    return "the accuracy of a scale is zero or more: check the value and its unit"
