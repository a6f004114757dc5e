"""A published table as a document of plain JSON values, to be stored or exchanged.

The document has ``title``, ``circuit``, ``generic``, ``setup`` and ``content``; the last carries the
version of the form. Entries without a value are left out. Every range holds its text as printed and its
edges in SI (K, Pa, rpm, fraction, s), pressures counted from where the publication counts them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from knowngood_refdata.published.grid import Grid
from knowngood_refdata.published.terms import Reference

if TYPE_CHECKING:
    from knowngood_refdata.published.axes import Axis, Column, Limit
    from knowngood_refdata.published.curves import Curves, Vertex
    from knowngood_refdata.published.set_up import SetUp
    from knowngood_refdata.published.span import Span
    from knowngood_refdata.published.table import Part, PerformanceTable

VERSION = 1
"""Version of the form; a reader refuses one that is newer than itself."""

Document = dict[str, Any]


def to_document(table: PerformanceTable) -> Document:
    """The document of a table; `knowngood_refdata.published.reading.from_document` reads it back."""
    return {
        "title": table.title,
        "circuit": table.circuit.value if table.circuit else "",
        "generic": table.generic,
        "setup": _set_up(table.set_up),
        "content": {
            "version": VERSION,
            "parts": [_part(part) for part in table.parts],
            **_said(
                wider=[_part(part) for part in table.wider], wider_when=table.wider_when, notes=table.notes
            ),
        },
    }


def _said(**entries: object) -> Document:
    """The entries that say anything; a zero and a no do."""
    return {name: value for name, value in entries.items() if value not in (None, "", [])}


def _set_up(set_up: SetUp) -> Document:
    return _said(
        engine_rpm=_span(set_up.engine_rpm) if set_up.engine_rpm else None,
        idle=set_up.idle or None,
        blower=set_up.blower,
        air_source=_word(set_up.air_source),
        doors=_word(set_up.doors),
        windows=_word(set_up.windows),
        hood=_word(set_up.hood),
        sun=set_up.sun,
        soak_s=set_up.soak_s,
        run_time_s=set_up.run_time_s,
        gear=set_up.gear,
        refrigerant=set_up.refrigerant,
        metering=[device.value for device in set_up.metering],
        limits=[_limit(limit) for limit in set_up.limits],
        controls=set_up.controls,
        notes=set_up.notes,
    )


def _part(part: Part) -> Document:
    common = _said(
        name=part.name,
        at_rest=part.at_rest or None,
        fault=part.fault,
        limits=[_limit(limit) for limit in part.limits],
    )
    return {**(_grid(part) if isinstance(part, Grid) else _curves(part)), **common}


def _grid(grid: Grid) -> Document:
    return {
        "shape": "grid",
        "axes": [_axis(axis) for axis in grid.axes],
        "columns": [_column(column) for column in grid.columns],
        "cells": [[_span(cell) if cell else None for cell in row] for row in grid.cells],
    }


def _curves(curves: Curves) -> Document:
    bands = [{"lower": _line(band.lower), "upper": _line(band.upper)} for band in curves.bands]
    return {
        "shape": "curves",
        "column": _column(curves.column),
        "along": curves.along.value,
        "along_unit": curves.along_unit.symbol,
        **_said(by=_axis(curves.by) if curves.by else None),
        "bands": bands,
    }


def _line(line: tuple[Vertex, ...]) -> list[list[float]]:
    return [[vertex.along, vertex.value] for vertex in line]


def _axis(axis: Axis) -> Document:
    return {
        "variable": axis.variable.value,
        "unit": axis.unit.symbol,
        "steps": axis.steps.value,
        "stops": [_span(stop) for stop in axis.stops],
        **_said(heading=axis.heading),
    }


def _column(column: Column) -> Document:
    reference = None if column.reference is Reference.NOT_SAID else column.reference.value
    return {
        "figure": column.figure.value,
        "unit": column.unit.symbol,
        **_said(reference=reference, heading=column.heading),
    }


def _limit(limit: Limit) -> Document:
    return {"variable": limit.variable.value, "unit": limit.unit.symbol, "span": _span(limit.span)}


def _span(span: Span) -> Document:
    return {"printed": span.printed, **_said(low=span.low, high=span.high, strict=span.strict or None)}


def _word(choice: str | None) -> str | None:
    return None if choice is None else str(choice)
