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
from knowngood_refdata.models.vehicles import (
    Configuration,
    FieldDefinition,
    ImportBatch,
    Maker,
    PerformanceTableRow,
    PictureRow,
    SpecDecision,
    SpecValueRow,
    SystemFamily,
    UnitRow,
)

__all__ = [
    "Audit",
    "Base",
    "ChannelChunk",
    "ChannelRow",
    "Configuration",
    "EventRow",
    "FieldDefinition",
    "ImportBatch",
    "ImportMapping",
    "Maker",
    "PerformanceTableRow",
    "PictureRow",
    "ReadingRow",
    "ReadingValue",
    "ResponseRow",
    "SessionRow",
    "SourceFile",
    "SpecDecision",
    "SpecValueRow",
    "SystemFamily",
    "UnitRow",
    "WindowRow",
    "WindowValue",
]
