"""The tables, typed. What leaves the store are records, never these."""

from knowngood_refdata.models.base import Audit, Base
from knowngood_refdata.models.book import ReadingRow, ReadingValue
from knowngood_refdata.models.checkup import ConfirmedCase, MeasurementAnswer, WeighingRow
from knowngood_refdata.models.sessions import (
    Annotation,
    ChannelChunk,
    ChannelRow,
    EventRow,
    HandWindow,
    ImportMapping,
    ResponseRow,
    SessionFinding,
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
    "Annotation",
    "Audit",
    "Base",
    "ChannelChunk",
    "ChannelRow",
    "Configuration",
    "ConfirmedCase",
    "EventRow",
    "FieldDefinition",
    "HandWindow",
    "ImportBatch",
    "ImportMapping",
    "Maker",
    "MeasurementAnswer",
    "PerformanceTableRow",
    "PictureRow",
    "ReadingRow",
    "ReadingValue",
    "ResponseRow",
    "SessionFinding",
    "SessionRow",
    "SourceFile",
    "SpecDecision",
    "SpecValueRow",
    "SystemFamily",
    "UnitRow",
    "WeighingRow",
    "WindowRow",
    "WindowValue",
]
