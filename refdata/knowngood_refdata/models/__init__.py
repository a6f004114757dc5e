"""The tables, typed. What leaves the store are records, never these."""

from knowngood_refdata.models.base import Audit, Base
from knowngood_refdata.models.book import ReadingRow, ReadingValue
from knowngood_refdata.models.sessions import (
    ChannelChunk,
    ChannelRow,
    EventRow,
    ImportMapping,
    ResponseRow,
    SessionRow,
    SourceFile,
    WindowRow,
    WindowValue,
)
from knowngood_refdata.models.vehicles import Configuration, Maker, SpecValueRow, SystemFamily, UnitRow

__all__ = [
    "Audit",
    "Base",
    "ChannelChunk",
    "ChannelRow",
    "Configuration",
    "EventRow",
    "ImportMapping",
    "Maker",
    "ReadingRow",
    "ReadingValue",
    "ResponseRow",
    "SessionRow",
    "SourceFile",
    "SpecValueRow",
    "SystemFamily",
    "UnitRow",
    "WindowRow",
    "WindowValue",
]
