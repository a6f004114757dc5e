"""Whether a vacuum held behind a closed valve speaks of a tight and dry system, of moisture or of a leak.

Two kinds of evidence are asked. The level: after 10 min 1,000 micron or less and steady is good, 1,000 to
2,000 and steady is moisture, above 2,000 or still rising is a leak (practice of the building trade, from a
distributor's note and a training text on evacuation). The shape: air through a leak comes at a constant
rate, so it rises straight; water feeds the vacuum only up to its own vapour pressure, so it levels off, at
most at the saturation pressure of the coldest part; a tight and dry system levels off low. Where the two
disagree, or the readings do not show either, the answer is that one cannot tell.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from knowngood_refdata.water import saturation_pressure_pa

from .decay_evidence import gather
from .decay_hold import Decay, Unfit, find_hold
from .decay_verdicts import Verdict, judged
from .evacuation import STANDING_CAUTIONS

__all__ = ["USUAL_K", "Decay", "DecayFinding", "Verdict", "judge_decay"]

USUAL_K = 293.15
"""The coldest part of a system in a shop when nothing else is told: 20 °C."""


@dataclass(frozen=True, slots=True)
class DecayFinding:
    """The verdict on one hold.

    Attributes
    ----------
    reason
        Why, in sentences.
    level_pa, rate_pa_s, rate_uncertainty_pa_s
        Pressure and rise at the end of the hold with the standard uncertainty of the rise; None where the
        readings allow none.
    plateau_pa
        Where a levelling curve would end, None where it shows no end.
    cautions
        What always has to be said with it.
    """

    verdict: Verdict
    reason: str
    level_pa: float | None = None
    rate_pa_s: float | None = None
    rate_uncertainty_pa_s: float | None = None
    plateau_pa: float | None = None
    cautions: tuple[str, ...] = STANDING_CAUTIONS


def judge_decay(decay: Decay, coldest_k: float = USUAL_K) -> DecayFinding:
    """Judge the pressure in a system after the valve to the pump was closed.

    Parameters
    ----------
    decay
        Times and absolute pressures; a fall at the start is taken for the pump still pulling and left out.
    coldest_k
        Temperature [K] of the coldest part of the system, where water would stay; 20 °C when not known.

    Returns
    -------
    DecayFinding
        With the verdict ``cannot tell`` and a reason wherever the readings decide nothing.
    """
    hold = find_hold(decay)
    if isinstance(hold, Unfit):
        return DecayFinding(Verdict.CANNOT_TELL, hold.reason)
    water_pa = saturation_pressure_pa(coldest_k)
    if math.isnan(water_pa):
        return DecayFinding(Verdict.CANNOT_TELL, "The temperature of the coldest part is not possible.")
    evidence = gather(hold, water_pa, coldest_k)
    verdict, reason = judged(evidence)
    end = evidence.end
    plateau = evidence.plateau.best if evidence.settles and math.isfinite(evidence.plateau.best) else None
    told = " ".join([*hold.notices, reason])
    return DecayFinding(verdict, told, end.level, end.rate, end.rate_uncertainty, plateau)
