"""The outcome of a check-up in one sentence, for the customer."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_checkup.core.explained import Standing
from knowngood_refdata.expected.forecasts import Basis
from knowngood_refdata.expected.outcome import Outcome

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from knowngood_checkup.core.explained import Explained
    from knowngood_refdata.expected.comparison import WindowComparison

NO_WINDOW = "Nothing could be compared: the session holds no steady window."


def outcome_sentence(windows: Sequence[WindowComparison], explained: Explained | None) -> str:
    """What came of a check-up; it never says more than the comparisons carry."""
    if not windows:
        return NO_WINDOW
    outcomes = [strip.outcome for window in windows for strip in window.strips]
    judged = sum(one is not Outcome.NOT_COMPARABLE for one in outcomes)
    if not judged:
        return f"Nothing could be compared: {_first_reason(windows)}."
    borrowed = _borrowed(windows)
    quiet = explained is not None and explained.standing in (Standing.HEALTHY, Standing.MASKED)
    meant = "" if borrowed and quiet else _meant(explained)
    return " ".join(part for part in (_counted(outcomes, judged), meant, borrowed) if part)


def _borrowed(windows: Sequence[WindowComparison]) -> str:
    """That the ranges stand on strangers alone, where they do."""
    bases = {strip.forecast.basis for window in windows for strip in window.strips if strip.forecast.known}
    if not bases or not bases <= {Basis.ALL, Basis.MAKER}:
        return ""
    whose = "all makers" if Basis.ALL in bases else "its maker's other families"
    return (
        f"No car of this family stands behind the ranges; they borrow from {whose}, are wide, and say little."
    )


def _counted(outcomes: Sequence[Outcome], judged: int) -> str:
    outside = outcomes.count(Outcome.BELOW) + outcomes.count(Outcome.ABOVE)
    doubtful = outcomes.count(Outcome.CANNOT_TELL)
    if not outside and not doubtful:
        values = "The compared value lies" if judged == 1 else f"All {judged} compared values lie"
        return f"{values} where those of healthy cars do."
    parts = []
    if outside:
        lie = "lies" if outside == 1 else "lie"
        parts.append(f"{outside} of {judged} compared values {lie} outside the range of healthy cars")
    if doubtful:
        lie = "lies" if doubtful == 1 else "lie"
        of = "" if outside else f" of {judged} compared values"
        parts.append(f"{doubtful}{of} {lie} outside by less than the measuring uncertainty")
    return "; ".join(parts) + "."


def _meant(explained: Explained | None) -> str:
    if explained is None or explained.standing is Standing.NOTHING:
        return ""
    if explained.standing is Standing.HEALTHY:
        return "The air conditioning reads as that of a healthy car."
    if explained.standing is Standing.MASKED:
        return (
            "The air conditioning reads as that of a healthy car, as far as this load can tell: "
            "the compressor may hide a fault here that shows at another load."
        )
    names = [str(one.fault) for one in explained.leading]
    if explained.standing is Standing.LIKELY:
        return f"The likeliest explanation is {names[0]}."
    return f"The readings do not tell these apart yet: {_listed(names)}."


def _listed(names: Sequence[str]) -> str:
    return ", ".join(names[:-1]) + " or " + names[-1] if len(names) > 1 else "".join(names)


def _first_reason(windows: Iterable[WindowComparison]) -> str:
    reasons = (strip.reason for window in windows for strip in window.strips if strip.reason)
    return next(reasons, "the steady windows hold no values")
