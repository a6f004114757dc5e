"""The kinds of record in an exchange file, in the order in which they stand there, field by field.

`README.md` beside this module describes the file for people; a test holds the two together, and another
sees that no column of the library is left out by accident.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata import models
from knowngood_refdata.exchange.forms import (
    BYTES,
    COUNT,
    DOCUMENT,
    FLAG,
    INSTRUMENTS,
    MOMENT,
    NUMBER,
    TEXT,
    Form,
    choice,
)
from knowngood_refdata.models.base import Base, Stamped
from knowngood_refdata.pictures import MediaType
from knowngood_refdata.records import (
    AirSource,
    EventKind,
    Opening,
    Quantity,
    Role,
    SourceKind,
    Standing,
    Verdict,
)

if TYPE_CHECKING:
    from collections.abc import Iterator


@dataclass(frozen=True, slots=True)
class Field:
    """One field: its name in the file, its column, its form; ``to`` names the kind that it refers to."""

    name: str
    form: Form
    column: str
    optional: bool = False
    to: str = ""
    owner: bool = False
    """Whether the record is part of what it refers to, and goes where that goes."""


STAMPS = (
    Field("entered_at", MOMENT, "created_at", optional=True),
    Field("entered_by", TEXT, "created_by", optional=True),
    Field("changed_at", MOMENT, "changed_at", optional=True),
    Field("changed_by", TEXT, "changed_by", optional=True),
    Field("removed_at", MOMENT, "deleted_at", optional=True),
)
"""The fields of every record that people edit."""


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of record: its name in the file, its table, its fields.

    Attributes
    ----------
    unique
        Fields that no two records share.
    met
        Whether a record meets one of the library that has the same ``unique`` fields, and is that one.
    heavy
        Whether its records hold files or samples.
    """

    name: str
    model: type[Base]
    fields: tuple[Field, ...]
    unique: tuple[str, ...] = ()
    met: bool = False
    heavy: bool = False

    @property
    def all_fields(self) -> tuple[Field, ...]:
        """Its fields with those of who and when."""
        return (*self.fields, *STAMPS) if self.stamped else self.fields

    @property
    def has_id(self) -> bool:
        """Whether records of other kinds can refer to it by an id."""
        return "id" in self.model.__table__.c and self.model is not models.Audit

    @property
    def stamped(self) -> bool:
        """Whether it says who entered and changed it and when."""
        return issubclass(self.model, Stamped)

    @property
    def references(self) -> Iterator[Field]:
        """The fields that refer to other records."""
        return (one for one in self.fields if one.to)


def _plain(form: Form, *names: str, optional: bool = False) -> tuple[Field, ...]:
    return tuple(Field(name, form, name, optional) for name in names)


def _texts(*names: str) -> tuple[Field, ...]:
    return _plain(TEXT, *names)


def _ref(name: str, column: str, *, optional: bool = False, owner: bool = False, to: str = "") -> Field:
    return Field(name, COUNT, column, optional, to or name, owner)


_CONDITIONS = (
    *_plain(
        NUMBER, "ambient_k", "intake_k", "relative_humidity", "barometer_pa", "altitude_m", "blower",
        "run_time_s", optional=True,
    ),
    *_plain(choice(AirSource), "air_source", optional=True),
    *_plain(choice(Opening), "doors", "hood", optional=True),
    *_plain(FLAG, "sun", optional=True),
    *_plain(COUNT, "start_fan_stage", optional=True),
)  # fmt: skip
_SOURCE = (*_plain(choice(SourceKind), "source_kind"), *_texts("citation", "revision", "page", "reviewed_by"))
_OF_VEHICLE = _ref("vehicle", "configuration_id", owner=True)
_OF_SESSION = _ref("session", "session_id", owner=True)
_VALUE = (*_plain(choice(Quantity), "quantity"), *_plain(NUMBER, "value", "standard_uncertainty"))

KINDS = (
    Kind("maker", models.Maker, _texts("name"), ("name",), met=True),
    Kind(
        "family",
        models.SystemFamily,
        (_ref("maker", "maker_id", owner=True), *_texts("name")),
        ("maker", "name"),
        met=True,
    ),
    Kind(
        "vehicle",
        models.Configuration,
        (
            _ref("maker", "maker_id"),
            _ref("family", "family_id", optional=True),
            *_texts("make", "model", "engine", "generation", "body", "market", "evaporators"),
            *_plain(COUNT, "year_from"),
            *_plain(COUNT, "year_to", optional=True),
            *_texts("build_from", "build_to", "vin_pattern", "notes"),
        ),
    ),
    Kind("car", models.UnitRow, (_OF_VEHICLE, *_texts("vin", "fleet_number", "note"))),
    Kind(
        "spec value",
        models.SpecValueRow,
        (
            _OF_VEHICLE,
            *_texts("field"),
            *_plain(NUMBER, "value", "tolerance", optional=True),
            *_texts("as_printed"),
            *_SOURCE,
            *_plain(MOMENT, "reviewed_at", optional=True),
        ),
    ),
    Kind(
        "decision",
        models.SpecDecision,
        (_OF_VEHICLE, *_texts("field"), _ref("spec value", "spec_value_id"), *_texts("why")),
        ("vehicle", "field"),
    ),
    Kind(
        "shop field",
        models.FieldDefinition,
        (
            *_texts("name", "title", "section", "kind"),
            *_plain(DOCUMENT, "choices"),
            *_plain(COUNT, "position"),
        ),
        ("name",),
        met=True,
    ),
    Kind(
        "performance table",
        models.PerformanceTableRow,
        (
            _ref("vehicle", "configuration_id", optional=True, owner=True),
            _ref("family", "family_id", optional=True, owner=True),
            *_texts("title", "circuit"),
            *_plain(FLAG, "generic"),
            *_plain(DOCUMENT, "setup", "content"),
            *_SOURCE,
        ),
    ),
    Kind(
        "picture",
        models.PictureRow,
        (
            _OF_VEHICLE,
            _ref("car", "unit_id", optional=True),
            *_texts("shows", "name", "sha256"),
            *_plain(choice(MediaType), "media_type"),
            *_plain(COUNT, "width", "height"),
            *_plain(BYTES, "content", "thumbnail"),
        ),
        heavy=True,
    ),
    Kind(
        "log file",
        models.SourceFile,
        (*_texts("sha256", "name"), *_plain(COUNT, "size"), *_plain(BYTES, "content")),
        ("sha256",),
        met=True,
        heavy=True,
    ),
    Kind(
        "session",
        models.SessionRow,
        (
            _ref("vehicle", "configuration_id", optional=True, owner=True),
            _ref("car", "unit_id", optional=True),
            _ref("log file", "source_file_id"),
            *_texts("title", "refrigerant", "technician", "note"),
            *_plain(MOMENT, "started_at", optional=True),
            *_plain(INSTRUMENTS, "instruments"),
            *_plain(NUMBER, "duration_s"),
            *_plain(COUNT, "sample_count"),
            *_CONDITIONS,
        ),
    ),
    Kind(
        "channel",
        models.ChannelRow,
        (
            _OF_SESSION,
            *_plain(COUNT, "position"),
            *_texts("name"),
            *_plain(choice(Role, "time"), "role"),
            *_texts("unit"),
            *_plain(FLAG, "gauge"),
            *_plain(COUNT, "decimals"),
        ),
        ("session", "position"),
    ),
    Kind(
        "samples",
        models.ChannelChunk,
        (_ref("channel", "channel_id", owner=True), *_plain(COUNT, "number"), *_plain(BYTES, "content")),
        ("channel", "number"),
        heavy=True,
    ),
    Kind(
        "steady window",
        models.WindowRow,
        (
            _OF_SESSION,
            *_plain(NUMBER, "start_s", "end_s"),
            *_plain(NUMBER, "engine_rpm", optional=True),
            *_plain(COUNT, "fan_stage", optional=True),
            *_texts("label"),
            *_plain(FLAG, "by_hand"),
        ),
    ),
    Kind(
        "window value",
        models.WindowValue,
        (_ref("steady window", "window_id", owner=True), *_VALUE),
        ("steady window", "quantity"),
    ),
    Kind(
        "event",
        models.EventRow,
        (_OF_SESSION, *_plain(choice(EventKind), "kind"), *_plain(NUMBER, "at_s"), *_texts("text")),
    ),
    Kind(
        "response",
        models.ResponseRow,
        (
            _OF_SESSION,
            *_plain(
                NUMBER, "from_rpm", "to_rpm", "low_pa", "low_standard_uncertainty", "high_pa",
                "high_standard_uncertainty",
            ),
            *_plain(choice(Verdict), "low", "high"),
            *_plain(FLAG, "same_fan_stage"),
            *_texts("remark"),
        ),
    ),
    Kind(
        "reading",
        models.ReadingRow,
        (
            _OF_VEHICLE,
            _ref("car", "unit_id", optional=True),
            _ref("session", "session_id", optional=True),
            *_plain(MOMENT, "taken_at"),
            *_plain(NUMBER, "engine_rpm", optional=True),
            *_plain(COUNT, "fan_stage", optional=True),
            *_plain(choice(Standing), "standing"),
            *_texts("decided_by"),
            *_plain(MOMENT, "decided_at", optional=True),
            *_texts("decided_why"),
            *_CONDITIONS,
        ),
    ),
    Kind(
        "reading value",
        models.ReadingValue,
        (_ref("reading", "reading_id", owner=True), *_VALUE),
        ("reading", "quantity"),
    ),
    Kind(
        "column meaning",
        models.ImportMapping,
        (*_texts("signature"), *_plain(DOCUMENT, "mapping")),
        ("signature",),
        met=True,
    ),
    Kind(
        "import",
        models.ImportBatch,
        (
            *_texts("source_name", "sha256"),
            *_plain(DOCUMENT, "counts"),
            *_plain(MOMENT, "undone_at", optional=True),
        ),
    ),
    Kind(
        "change",
        models.Audit,
        (
            *_plain(MOMENT, "at"),
            *_texts("who"),
            Field("table", TEXT, "table_name"),
            Field("row", COUNT, "row_id"),
            *_texts("action"),
            *_plain(DOCUMENT, "before", "after"),
            *_texts("why"),
            _ref("import", "batch_id", optional=True),
        ),
    ),
)  # fmt: skip
BY_NAME = {one.name: one for one in KINDS}
BY_TABLE = {one.model.__tablename__: one for one in KINDS}

LEFT_OUT = {"search_text", "sort_key", "version"}
"""Columns that the library works out by itself."""
