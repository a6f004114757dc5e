"""A reading of the book, and what it counts for."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from knowngood_refdata.records.measuring import Conditions, Estimate, Quantity


class Standing(StrEnum):
    """What a reading counts for: only *known-good* ones stand behind this shop's expected range.

    *Imported* ones were known-good where they come from; they stay apart until someone here decides.
    """

    CANDIDATE = "candidate"
    KNOWN_GOOD = "known-good"
    RETIRED = "retired"
    IMPORTED = "imported"


@dataclass(frozen=True, slots=True)
class Reading:
    """One steady point of one car with its conditions: the leaf of the book."""

    id: int
    vehicle_id: int
    unit_id: int | None
    session_id: int | None
    taken_at: datetime
    conditions: Conditions
    engine_rpm: float | None
    fan_stage: int | None
    values: Mapping[Quantity, Estimate]
    standing: Standing
    decided_by: str = ""
    decided_why: str = ""
    unit_name: str = ""
    version: int = 1
