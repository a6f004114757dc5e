"""The kinds of record in an exchange file, in the order in which they stand there, field by field.

`README.md` beside this module describes the file for people; a test holds the two together, and another
sees that no column of the library is left out by accident.
"""

from __future__ import annotations

from knowngood_refdata import models
from knowngood_refdata.exchange.fields import (
    CONDITIONS,
    OF_VEHICLE,
    SOURCE,
    STAMPS,
    VALUE,
    Field,
    Kind,
    plain,
    ref,
    texts,
)
from knowngood_refdata.exchange.forms import BYTES, COUNT, DOCUMENT, FLAG, MOMENT, NUMBER, TEXT, choice
from knowngood_refdata.exchange.session_kinds import SESSION_KINDS
from knowngood_refdata.pictures import MediaType
from knowngood_refdata.records import Standing

__all__ = ["BY_NAME", "BY_TABLE", "KINDS", "LEFT_OUT", "STAMPS", "Field", "Kind"]

KINDS = (
    Kind("maker", models.Maker, texts("name"), ("name",), met=True),
    Kind(
        "family",
        models.SystemFamily,
        (ref("maker", "maker_id", owner=True), *texts("name")),
        ("maker", "name"),
        met=True,
    ),
    Kind(
        "vehicle",
        models.Configuration,
        (
            ref("maker", "maker_id"),
            ref("family", "family_id", optional=True),
            *texts("make", "model", "engine", "generation", "body", "market", "evaporators"),
            *plain(COUNT, "year_from"),
            *plain(COUNT, "year_to", optional=True),
            *texts("build_from", "build_to", "vin_pattern", "notes"),
        ),
    ),
    Kind("car", models.UnitRow, (OF_VEHICLE, *texts("vin", "fleet_number", "note"))),
    Kind(
        "spec value",
        models.SpecValueRow,
        (
            OF_VEHICLE,
            *texts("field"),
            *plain(NUMBER, "value", "tolerance", optional=True),
            *texts("as_printed"),
            *SOURCE,
            *plain(MOMENT, "reviewed_at", optional=True),
        ),
    ),
    Kind(
        "decision",
        models.SpecDecision,
        (OF_VEHICLE, *texts("field"), ref("spec value", "spec_value_id"), *texts("why")),
        ("vehicle", "field"),
    ),
    Kind(
        "shop field",
        models.FieldDefinition,
        (
            *texts("name", "title", "section", "kind"),
            *plain(DOCUMENT, "choices"),
            *plain(COUNT, "position"),
        ),
        ("name",),
        met=True,
    ),
    Kind(
        "performance table",
        models.PerformanceTableRow,
        (
            ref("vehicle", "configuration_id", optional=True, owner=True),
            ref("family", "family_id", optional=True, owner=True),
            *texts("title", "circuit"),
            *plain(FLAG, "generic"),
            *plain(DOCUMENT, "setup", "content"),
            *SOURCE,
        ),
    ),
    Kind(
        "picture",
        models.PictureRow,
        (
            OF_VEHICLE,
            ref("car", "unit_id", optional=True),
            *texts("shows", "name", "sha256"),
            *plain(choice(MediaType), "media_type"),
            *plain(COUNT, "width", "height"),
            *plain(BYTES, "content", "thumbnail"),
        ),
        heavy=True,
    ),
    *SESSION_KINDS,
    Kind(
        "reading",
        models.ReadingRow,
        (
            OF_VEHICLE,
            ref("car", "unit_id", optional=True),
            ref("session", "session_id", optional=True),
            *plain(MOMENT, "taken_at"),
            *plain(NUMBER, "engine_rpm", optional=True),
            *plain(COUNT, "fan_stage", optional=True),
            *plain(choice(Standing), "standing"),
            *texts("decided_by"),
            *plain(MOMENT, "decided_at", optional=True),
            *texts("decided_why"),
            *CONDITIONS,
        ),
    ),
    Kind(
        "reading value",
        models.ReadingValue,
        (ref("reading", "reading_id", owner=True), *VALUE),
        ("reading", "quantity"),
    ),
    Kind(
        "column meaning",
        models.ImportMapping,
        (*texts("signature"), *plain(DOCUMENT, "mapping")),
        ("signature",),
        met=True,
    ),
    Kind(
        "import",
        models.ImportBatch,
        (
            *texts("source_name", "sha256"),
            *plain(DOCUMENT, "counts"),
            *plain(MOMENT, "undone_at", optional=True),
        ),
    ),
    Kind(
        "change",
        models.Audit,
        (
            *plain(MOMENT, "at"),
            *texts("who"),
            Field("table", TEXT, "table_name"),
            Field("row", COUNT, "row_id"),
            *texts("action"),
            *plain(DOCUMENT, "before", "after"),
            *texts("why"),
            ref("import", "batch_id", optional=True),
        ),
    ),
)  # fmt: skip
BY_NAME = {one.name: one for one in KINDS}
BY_TABLE = {one.model.__tablename__: one for one in KINDS}

LEFT_OUT = {"search_text", "sort_key", "version"}
"""Columns that the library works out by itself."""
