"""From the evidence of a hold to a verdict and its reason in words."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from knowngood_refdata.water import TRIPLE_PA

from .decay_evidence import FALLING_SHARE, GOOD_PA, HALF_ATMOSPHERE_PA, MOIST_PA, SCATTER_SHARE, WATER_MARGIN
from .decay_words import duration, per_ten_minutes, vacuum

if TYPE_CHECKING:
    from .decay_evidence import Evidence
    from .decay_hold import Hold


class Verdict(StrEnum):
    """What a decay curve speaks of."""

    TIGHT = "tight"
    MOISTURE = "moisture"
    LEAK = "leak"
    CANNOT_TELL = "cannot tell"


def judged(evidence: Evidence) -> tuple[Verdict, str]:
    """The verdict and why, in sentences."""
    end, band = evidence.end, evidence.band
    if evidence.shapes.noise > evidence.hold.roughness_pa:
        return Verdict.CANNOT_TELL, (
            "The readings follow no single cause: they step or wander. Look for a valve that was moved, a "
            "hose that slipped, or parts that warmed up, and hold again."
        )
    if evidence.shapes.noise > SCATTER_SHARE * evidence.level and not evidence.hold.too_coarse:
        return Verdict.CANNOT_TELL, (
            f"The readings scatter by {vacuum(evidence.shapes.noise)} about any smooth curve: see to the "
            "gauge and its hose first."
        )
    if evidence.highest_rate < 0.0 and end.rate < -FALLING_SHARE * band:
        return Verdict.CANNOT_TELL, (
            f"The pressure falls by {per_ten_minutes(-end.rate)}: the pump still pulls, the valve is not "
            "closed, or the parts cool down."
        )
    if max(evidence.highest_rate, 2.0 * end.rate_uncertainty) <= band:
        return _steady(evidence)
    if evidence.lowest_rate > 0.0 and end.rate > band:
        return _rising(evidence)
    if evidence.hold.too_coarse:
        return Verdict.CANNOT_TELL, _too_coarse(evidence.hold)
    return Verdict.CANNOT_TELL, (
        f"At the end the pressure may be steady or still rise by up to "
        f"{per_ten_minutes(evidence.highest_rate)}: the readings scatter too much or are too few to tell. "
        "Hold longer, or use a finer gauge."
    )


def _steady(evidence: Evidence) -> tuple[Verdict, str]:
    level, held = evidence.level, duration(evidence.hold.length_s)
    if level > HALF_ATMOSPHERE_PA:
        return Verdict.LEAK, (
            f"After {held} the system stands at {vacuum(level)}: the vacuum is lost. There is a large leak, "
            "or a valve is open."
        )
    if evidence.hold.too_coarse:
        return Verdict.CANNOT_TELL, _too_coarse(evidence.hold)
    if evidence.above_water:
        return Verdict.CANNOT_TELL, (
            f"Steady at {vacuum(level)}, above {evidence.water_words}, and a leak would go on rising. It can "
            "be refrigerant coming out of the oil, water in a warmer part, or the gauge. Pull again and "
            "repeat."
        )
    if level <= GOOD_PA:
        most = max(evidence.highest_rate, 2.0 * evidence.end.rate_uncertainty)
        return Verdict.TIGHT, (
            f"After {held} steady at {vacuum(level)}, not above 1,000 micron (133 Pa), and rising by no more "
            f"than {per_ten_minutes(most)}: tight and dry by the practice of the building trade. A leak that "
            f"brings less than {per_ten_minutes(evidence.band)} counts as steady here and would not show."
        )
    if level > MOIST_PA and level < 1.1 * evidence.hold.first_pa:
        return Verdict.CANNOT_TELL, (
            f"Steady at {vacuum(level)}, where the hold began: the system was never pulled deep enough to be "
            "judged. Pull down to 500 micron (67 Pa) first."
        )
    return Verdict.MOISTURE, f"After {held} steady at {vacuum(level)}. {_why_water(evidence, level)}"


def _rising(evidence: Evidence) -> tuple[Verdict, str]:
    level, rate = evidence.level, evidence.end.rate
    rise = f"Still rising, by {per_ten_minutes(rate)}, at {vacuum(level)}"
    if level > HALF_ATMOSPHERE_PA:
        return Verdict.LEAK, f"{rise}: the vacuum is being lost, which only a leak or an open valve explains."
    if evidence.settles:
        return _settling(evidence, rise)
    if not evidence.goes_straight:
        return Verdict.CANNOT_TELL, (
            f"{rise}; the readings do not show whether the rise is straight or levels off. Hold longer."
        )
    if level <= GOOD_PA:
        return Verdict.CANNOT_TELL, (
            f"{rise}: the level is still good, the steady rise is not. Hold until it levels off or passes "
            "2,000 micron (267 Pa)."
        )
    return _straight(evidence, rise)


def _straight(evidence: Evidence, rise: str) -> tuple[Verdict, str]:
    level, lowest = evidence.level, evidence.plateau.lowest
    if evidence.above_water:
        return Verdict.LEAK, (
            f"{rise}, straight, and already above {evidence.water_words}: air comes in. Only refrigerant out "
            "of the oil could do the same; if recovery was complete, it is a leak."
        )
    if lowest < 2.0 * level:
        return Verdict.CANNOT_TELL, (
            f"{rise}; it looks straight, yet the readings allow it to level off from {vacuum(lowest)} on. "
            "Hold longer."
        )
    if level > MOIST_PA:
        return Verdict.LEAK, (
            f"{rise}, straight and above 2,000 micron (267 Pa): level and shape both speak of a leak. Water "
            f"behind a narrow passage can look so until it comes near {evidence.water_words}."
        )
    if lowest > evidence.water_pa:
        return Verdict.LEAK, (
            f"{rise}, so straight that it would pass {evidence.water_words}: still rising means a leak by "
            "the practice of the building trade."
        )
    return Verdict.CANNOT_TELL, (
        f"{rise}, straight so far. A small leak and water that evaporates slowly both look so at this level. "
        "Hold until it levels off or passes 2,000 micron (267 Pa)."
    )


def _settling(evidence: Evidence, rise: str) -> tuple[Verdict, str]:
    plateau = evidence.plateau
    if evidence.hold.too_coarse:
        return Verdict.CANNOT_TELL, _too_coarse(evidence.hold)
    if not plateau.highest <= WATER_MARGIN * evidence.water_pa:
        return Verdict.CANNOT_TELL, (
            f"{rise}; the rise slows down, but where it ends does not show yet: it may lie above "
            f"{evidence.water_words}. Hold longer."
        )
    if max(evidence.level, plateau.lowest) <= GOOD_PA:
        return Verdict.CANNOT_TELL, (
            f"{rise}; it levels off towards {vacuum(plateau.best)} and is not steady yet. Hold until it is."
        )
    return Verdict.MOISTURE, (
        f"{rise}, but slowing down, towards {vacuum(plateau.best)}. {_why_water(evidence, plateau.best)}"
    )


def _why_water(evidence: Evidence, plateau_pa: float) -> str:
    reach = evidence.water_words
    parts = [f"A leak would go on rising straight; water levels off, and this is within its reach: {reach}."]
    if plateau_pa > MOIST_PA:
        parts.append(
            "The level alone, above 2,000 micron (267 Pa), would count as a leak; the shape does not."
        )
    if plateau_pa < TRIPLE_PA:
        parts.append(
            "So low, the water that is left may be ice: boiling cooled it, and it holds the pressure "
            "down. Warm the parts."
        )
    parts.append(
        "Refrigerant coming out of the oil looks the same, and a small leak beside it would not show. Break "
        "the vacuum with dry nitrogen, replace the drier, pull again and repeat the hold."
    )
    return " ".join(parts)


def _too_coarse(hold: Hold) -> str:
    return (
        f"The gauge shows steps of {vacuum(hold.resolution_pa)}: too coarse for moisture or a small leak, "
        "whose limits are 1,000 and 2,000 micron (133 and 267 Pa). Use a gauge for absolute vacuum."
    )
