"""What a session's deviations mean: ranked explanations, what stays hidden, what to measure next."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from knowngood_checkup.core.explain.arguments import arguments
from knowngood_checkup.core.explain.faults import Fault
from knowngood_checkup.core.explain.inference import weigh
from knowngood_checkup.core.explain.known import KNOWN, Known
from knowngood_checkup.core.explain.masked import LoadThatCan, hidden, hides
from knowngood_checkup.core.explain.measurements import MEASUREMENTS, next_measurements
from knowngood_refdata.records import Weighed as Scale

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from knowngood_checkup.core.explain.arguments import Argument
    from knowngood_checkup.core.explain.evidence import Observed
    from knowngood_checkup.core.explain.inference import Weighed
    from knowngood_checkup.core.explain.masked import Hidden
    from knowngood_checkup.core.explain.measurements import Next
    from knowngood_refdata.explaining import Measurement
    from knowngood_refdata.records import Estimate, SpecValue

SURE = 0.6
"""An explanation as probable as this is called the likely one."""
TOGETHER = 0.8
"""Explanations are named together until they make up so much."""
SHOWN, LEAST_SHOWN = 0.02, 4
RECOVER_AND_WEIGH = "recover and weigh"


class Standing(StrEnum):
    """How far the explanations have come apart."""

    NOTHING = "not enough is known"
    HEALTHY = "reads as a healthy car"
    MASKED = "reads as a healthy car, and this load cannot tell"
    LIKELY = "one explanation stands out"
    SEVERAL = "not told apart yet"


@dataclass(frozen=True, slots=True)
class Explained:
    """The explanations of one session, the likeliest first, each with its arguments."""

    observed: Observed
    weighed: tuple[Weighed, ...]
    arguments: Mapping[str, tuple[Argument, ...]]
    hidden: tuple[Hidden, ...]
    next: tuple[Next, ...]
    standing: Standing

    @property
    def leading(self) -> tuple[Weighed, ...]:
        """The explanations that make up most of the probability together."""
        found, total = [], 0.0
        for one in self.weighed:
            found.append(one)
            total += one.probability
            if total >= TOGETHER:
                break
        return tuple(found)

    def probability(self, fault: str) -> float:
        """The probability of one explanation; 0 where it is impossible."""
        return next((one.probability for one in self.weighed if one.fault == fault), 0.0)


def explain(observed: Observed, known: Known = KNOWN) -> Explained:
    """Rank the explanations of what was observed; answers to measurements that are not known are left out."""
    weighed = weigh(observed, known)
    shown = [one for place, one in enumerate(weighed) if one.probability >= SHOWN or place < LEAST_SHOWN]
    concealed = hidden(observed, known) if observed.windows else ()
    probabilities = {one.fault: one.probability for one in weighed}
    return Explained(
        observed,
        weighed,
        {one.fault: arguments(observed, weighed, one, known) for one in shown},
        concealed,
        next_measurements(probabilities, observed.car, observed.answers, observed.offered),
        _standing(observed, weighed, concealed),
    )


def _standing(observed: Observed, weighed: tuple[Weighed, ...], concealed: tuple[Hidden, ...]) -> Standing:
    if not observed.windows and not observed.answers:
        return Standing.NOTHING
    best = weighed[0]
    if best.fault is Fault.HEALTHY:
        by_load = (LoadThatCan.FULL, LoadThatCan.LIGHT)
        masked = hides(observed.car) and any(one.shows_at in by_load for one in concealed)
        return Standing.MASKED if masked else Standing.HEALTHY
    return Standing.LIKELY if best.probability >= SURE else Standing.SEVERAL


def known_answers(
    answers: Mapping[str, str],
    weighings: Mapping[Scale, Estimate],
    label: SpecValue | None,
    measurements: Sequence[Measurement] = MEASUREMENTS,
) -> dict[str, str]:
    """The answers that the measurements know, and what the scale said of the charge."""
    offered = {one.name: one.answers for one in measurements}
    kept = {name: said for name, said in answers.items() if said in offered.get(name, ())}
    recovered = weighings.get(Scale.RECOVERED)
    if recovered is not None and label is not None and label.value is not None:
        kept[RECOVER_AND_WEIGH] = offered[RECOVER_AND_WEIGH][1 + against_label(recovered, label)]
    return kept


def against_label(mass: Estimate, label: SpecValue) -> int:
    """-1, 0 or 1: less than the label, as it says, more; give or take its tolerance and the scale's doubt.

    Raises
    ------
    ValueError
        When the label holds no mass.
    """
    if label.value is None:
        raise ValueError("the label holds no mass")
    off = mass.value - label.value
    within = (label.tolerance or 0.0) + 2.0 * mass.standard_uncertainty
    if abs(off) <= within + 1e-9:
        return 0
    return 1 if off > 0.0 else -1
