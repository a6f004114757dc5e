"""What a person found out about a session beyond its log."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from knowngood_refdata.records.measuring import Estimate


class Weighed(StrEnum):
    """What lay on the scale."""

    RECOVERED = "recovered"
    CHARGED = "charged"


@dataclass(frozen=True, slots=True)
class CaseFound:
    """The explanation of a session that was found to be true, how, and who says so."""

    session_id: int
    explanation: str
    how: str
    who: str
    at: datetime


@dataclass(frozen=True, slots=True)
class FoundOut:
    """What a person found out about a session beyond its log.

    ``weighings`` in kilograms; ``answers`` by the name of the measurement.
    """

    weighings: Mapping[Weighed, Estimate] = field(default_factory=dict)
    answers: Mapping[str, str] = field(default_factory=dict)
    case: CaseFound | None = None
