"""What a column of a file can be: part of a vehicle's name, a spec value or a part of one, a source."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Target(StrEnum):
    """What a column becomes; the value is what the user reads."""

    LEAVE_OUT = "leave out"
    MAKE = "make"
    MODEL = "model"
    ENGINE = "engine"
    YEARS = "year or years"
    YEAR_FROM = "first year"
    YEAR_TO = "last year"
    BUILDS = "build months"
    BUILD_FROM = "first build month"
    BUILD_TO = "last build month"
    GENERATION = "generation"
    BODY = "body"
    MARKET = "market"
    EVAPORATORS = "evaporators"
    MAKER = "maker"
    FAMILY = "system family"
    VIN_PATTERN = "VIN pattern"
    NOTES = "notes"
    VIN = "VIN of one car"
    FLEET_NUMBER = "fleet number of one car"
    FIELD = "name of the field"
    PRINTED = "value as printed"
    NUMBER = "number of the value"
    TOLERANCE = "tolerance of the value"
    UNIT = "unit of the value"
    SOURCE_KIND = "kind of source"
    CITATION = "citation"
    PAGE = "page"
    REVISION = "revision"
    REVIEWED_BY = "reviewed by"


PARTS_OF_A_VALUE = frozenset({Target.PRINTED, Target.NUMBER, Target.TOLERANCE, Target.UNIT})
"""With a field they belong to that field; without one to the field that the row names."""

PARTS_OF_A_SOURCE = frozenset(
    {Target.SOURCE_KIND, Target.CITATION, Target.PAGE, Target.REVISION, Target.REVIEWED_BY}
)
"""With a field they are the source of that field's value; without one of all values of the row."""

FEW_WORDS = frozenset(
    {
        Target.MAKE, Target.MODEL, Target.ENGINE, Target.GENERATION, Target.BODY, Target.MARKET,
        Target.EVAPORATORS, Target.MAKER, Target.FAMILY,
    }
)  # fmt: skip
"""Texts in which a line of many words is a mistake of the file."""


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a column is taken for: target, the spec field it belongs to, and the unit of its numbers."""

    target: Target
    of: str = ""
    unit: str = ""

    @property
    def words(self) -> str:
        """For the reader: ``charge: value as printed, in g``."""
        head = f"{self.of}: {self.target}" if self.of else str(self.target)
        return f"{head}, in {self.unit}" if self.unit else head


LEFT_OUT = Meaning(Target.LEAVE_OUT)
