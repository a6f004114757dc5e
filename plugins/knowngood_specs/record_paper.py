"""The record as a sheet of paper: the same lines as on screen, as HTML with every text escaped; no Qt."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from knowngood.api import Sheet
from knowngood_specs.core.cautions import cautions as found_cautions
from knowngood_specs.core.fields import FIELDS
from knowngood_specs.words import (
    NOT_ON_RECORD,
    build_line,
    cautions,
    evidence_text,
    origin_line,
    record_sections,
    sentence,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood.formatting import System
    from knowngood_refdata.records import Vehicle
    from knowngood_specs.core.fields import Field
    from knowngood_specs.gather import Evidence
    from knowngood_specs.words import FieldLines, ValueLine


def record_sheet(
    vehicle: Vehicle,
    evidence: Evidence,
    system: System,
    fields: Sequence[Field] = FIELDS,
    sisters: Sequence[Vehicle] = (),
) -> Sheet:
    """The record of a vehicle as it is printed."""
    origin = ", ".join(part for part in (origin_line(vehicle), build_line(vehicle)) if part)
    body = [_words(origin, "quiet"), _words(evidence_text(evidence), "quiet")]
    body += [
        _words(f"{sentence(one.words)}. Basis: {one.basis}.", "problem")
        for one in found_cautions(vehicle, sisters)
    ]
    for section in record_sections(vehicle, system, fields):
        if section.fields:
            body.append(f"<h2>{escape(section.title)}</h2>")
            body.append(_table([row for lines in section.fields for row in _rows(lines)]))
    body.append(_words(f"Notes: {vehicle.notes}" if vehicle.notes else ""))
    return Sheet(vehicle.name, "\n".join(part for part in body if part), cautions(vehicle))


def _rows(lines: FieldLines) -> list[tuple[str, str, str]]:
    if not lines.values:
        return [(lines.title, NOT_ON_RECORD, "")]
    rows = [
        (lines.title if place == 0 else "", _amount(value), value.source)
        for place, value in enumerate(lines.values)
    ]
    return [*rows, ("", "", sentence(lines.conflict))] if lines.conflict else rows


def _amount(value: ValueLine) -> str:
    return f"{value.as_printed} = {value.converted}" if value.converted else value.as_printed


def _table(rows: Sequence[tuple[str, str, str]]) -> str:
    lines = (
        f'<tr><td class="name" width="24%">{escape(title)}</td>'
        f'<td class="value" width="28%">{escape(value)}</td><td class="quiet">{escape(source)}</td></tr>'
        for title, value, source in rows
    )
    return f'<table class="answers" width="100%" cellspacing="0" cellpadding="1">{"".join(lines)}</table>'


def _words(text: str, name: str = "line") -> str:
    return f'<p class="{name}">{escape(text)}</p>' if text else ""
