"""Whether a unit is to be repaired before refrigerant goes in again. Local law decides; this only reminds."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from knowngood_fleet.core.leaks import Verdict

if TYPE_CHECKING:
    from knowngood_fleet.core.leaks import Leak

REPEATED = 2
"""So many refills since the last repair are a loss, weighed or not (common practice, no source)."""
LAW = (
    "Local law decides when a leak must be repaired before refrigerant goes in, who may do it and what is "
    "recorded; where it is stricter than this page, it prevails."
)


class Refill(StrEnum):
    """What comes first."""

    REPAIR_FIRST = "repair before refill"
    LOOK_FIRST = "look for the leak before refill"
    NO_FLAG = ""


@dataclass(frozen=True, slots=True)
class Flag:
    """What comes before the next refill, and why."""

    refill: Refill
    shown: bool = False
    repeated: int = 0


def flag(leak: Leak, usual_kg_per_year: float) -> Flag:
    """The flag of a unit whose make of circuit may lose so much a year.

    The whole 95 % interval above the usual loss asks for a repair; a loss beyond zero that may be usual, or
    repeated refills that nobody weighed, ask for a look.
    """
    repeated = leak.top_ups if leak.top_ups >= REPEATED else 0
    if leak.verdict is Verdict.LOSING and leak.least_kg > usual_kg_per_year:
        return Flag(Refill.REPAIR_FIRST, shown=True, repeated=repeated)
    beyond = leak.kg_per_year is not None and leak.kg_per_year.value > usual_kg_per_year
    if (leak.verdict is Verdict.LOSING and beyond) or repeated:
        return Flag(Refill.LOOK_FIRST, shown=leak.verdict is Verdict.LOSING and beyond, repeated=repeated)
    return Flag(Refill.NO_FLAG)
