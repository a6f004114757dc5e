"""Published tables in sentences and cells, in either unit system; no Qt."""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING

from knowngood import formatting
from knowngood_refdata.published.axes import Axis, Steps
from knowngood_refdata.published.grading import Grade
from knowngood_refdata.published.grid import Grid
from knowngood_refdata.published.terms import Figure, Reference, Variable, kind_of
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind
from knowngood_specs.core.tables.limits import write_limits
from knowngood_specs.core.tables.set_up import TITLES, write_set_up

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from knowngood.formatting import System
    from knowngood_refdata.published.answering import Answer, Outcome
    from knowngood_refdata.published.axes import Column
    from knowngood_refdata.published.curves import Curves, Vertex
    from knowngood_refdata.published.set_up import SetUp
    from knowngood_refdata.published.table import Part
    from knowngood_refdata.queries.tables import StoredTable

DOT = "  \N{MIDDLE DOT}  "
GENERIC = "Generic: a general figure that many vehicles share, not data of this vehicle."
_STEPS = {
    Steps.POINTS: "between two rows the edges are interpolated linearly",
    Steps.BINS: "each bin holds as a whole, nothing is given between bins",
    Steps.ABOVE: "each row holds from its threshold up to the next",
}

Cells = tuple[list[str], list[list[str]]]
"""Headings, and rows under them."""


def head_line(stored: StoredTable, family: str) -> str:
    """Whose table it is, for which circuit, and where it stands."""
    owner = "of this configuration" if stored.vehicle_id is not None else f"of the system family {family}"
    circuit = stored.table.circuit if stored.table is not None else None
    circuits = f"{circuit} evaporator" + ("s" if circuit and " and " in circuit else "") if circuit else ""
    return DOT.join(part for part in (owner, circuits, source_line(stored)) if part)


def source_line(stored: StoredTable) -> str:
    """Kind of source, citation, revision, page, and who entered and reviewed the table."""
    return ", ".join(
        part
        for part in (
            f"{stored.source_kind}: {stored.citation}",
            _revision(stored.revision),
            f"page {stored.page}" if stored.page else "",
            f"entered by {stored.entered_by}" if stored.entered_by else "",
            f"reviewed by {stored.reviewed_by}" if stored.reviewed_by else "",
        )
        if part
    )


def set_up_line(set_up: SetUp) -> str:
    """The printed set-up: ``engine speed idle, blower maximum, doors closed``; empty when none is said."""
    said = write_set_up(set_up)
    return ", ".join(f"{title} {said[name]}" for name, title in TITLES.items() if said[name])


def range_text(outcome: Outcome, system: System, barometer_pa: float) -> str:
    """The range in the units of a system, a pressure as a gauge at the local air pressure shows it."""
    kind = kind_of(outcome.figure)

    def written(value: float) -> str:
        return formatting.text(value, kind, system, barometer_pa=barometer_pa)

    if outcome.low is None:
        return "" if outcome.high is None else f"at most {written(outcome.high)}"
    if outcome.high is None:
        return f"at least {written(outcome.low)}"
    if outcome.low == outcome.high:
        return written(outcome.low)
    unit = formatting.label(kind, system)
    return f"{written(outcome.low).removesuffix(unit).strip()} to {written(outcome.high)}"


def set_up_lines(answer: Answer) -> Iterator[str]:
    """How the set-up compares: what differs, what is not known here or there, what is alike."""
    by_grade = {grade: [one for one in answer.grades if one.grade is grade] for grade in Grade}
    if by_grade[Grade.DIFFERS]:
        yield "Set-up differs: " + "; ".join(one.words for one in by_grade[Grade.DIFFERS]) + "."
    if by_grade[Grade.NOT_SAID_TODAY]:
        wanted = ", ".join(f"{one.item} ({one.in_table})" for one in by_grade[Grade.NOT_SAID_TODAY])
        yield f"Not recorded today, so not compared: {wanted}."
    if by_grade[Grade.EQUAL]:
        yield "As in the table: " + ", ".join(one.item for one in by_grade[Grade.EQUAL]) + "."
    if by_grade[Grade.NOT_SAID_IN_TABLE]:
        silent = ", ".join(one.item for one in by_grade[Grade.NOT_SAID_IN_TABLE])
        yield f"The table does not say: {silent}."


def understood(part: Part) -> Iterator[str]:
    """How a printed block is understood, in sentences."""
    if isinstance(part, Grid):
        yield from (_axis_sentence(axis) for axis in part.axes)
        if not part.axes:
            yield "One range whatever the conditions."
    else:
        yield f"A chart along {part.along} ({part.along_unit.symbol}), straight between the points."
        if part.by is not None:
            yield _axis_sentence(part.by)
    yield "Gives " + ", ".join(map(_column_words, part.columns)) + "."
    if part.fault:
        yield f"Describes a fault ({part.fault}): never used as an expectation."
    if part.at_rest:
        yield "For a system at rest."
    if part.limits:
        yield f"Holds only for {write_limits(part.limits)}."


def converted(part: Part, system: System) -> Cells:
    """A block in the units of a system, so that a slip of a unit shows; gauge pressures as gauge."""
    return _grid_cells(part, system) if isinstance(part, Grid) else _chart_cells(part, system)


def as_printed(part: Part) -> Cells:
    """A block as the publication prints it; a chart as the points read off it."""
    if not isinstance(part, Grid):
        return _chart_cells(part, None)
    stops = [[stop.printed for stop in axis.stops] for axis in part.axes]
    heads = [f"{axis.variable} {axis.unit.symbol}" for axis in part.axes]
    heads += [f"{column.figure} {column.unit.symbol}" for column in part.columns]
    rows = zip(product(*stops), part.cells, strict=True)
    return heads, [[*at, *(cell.printed if cell else "" for cell in cells)] for at, cells in rows]


def _revision(text: str) -> str:
    # A bare number or letter needs the word before it; "rev. B" and "third printing" speak for themselves.
    return f"revision {text}" if text and " " not in text else text


def _axis_sentence(axis: Axis) -> str:
    stops = ", ".join(stop.printed for stop in axis.stops)
    how = f"; {_STEPS[axis.steps]}" if len(axis.stops) > 1 else ""
    return f"Goes by {axis.variable} ({axis.unit.symbol}): {stops}{how}."


def _column_words(column: Column) -> str:
    counted = ""
    if column.unit.kind is Kind.PRESSURE:
        not_said = column.reference is Reference.NOT_SAID
        counted = ", taken as gauge" if not_said else f" {column.reference}"
    return f"{column.figure} ({column.unit.symbol}{counted})"


def _grid_cells(part: Grid, system: System) -> Cells:
    heads = [f"{axis.variable} {formatting.label(kind_of(axis.variable), system)}" for axis in part.axes]
    heads += [_column_head(column, system) for column in part.columns]
    stops = [
        [_numbers((stop.low, stop.high), axis.variable, system) for stop in axis.stops] for axis in part.axes
    ]
    rows = []
    for at, cells in zip(product(*stops), part.cells, strict=True):
        written = [
            _numbers((cell.low, cell.high), column.figure, system, absolute=_absolute(column)) if cell else ""
            for column, cell in zip(part.columns, cells, strict=True)
        ]
        rows.append([*at, *written])
    return heads, rows


def _chart_cells(part: Curves, system: System | None) -> Cells:
    column = part.column

    def along(vertex: Vertex) -> str:
        if system is None:
            return f"{part.along_unit.from_si(vertex.along):.5g}"
        return _numbers((vertex.along, vertex.along), part.along, system)

    def value(vertex: Vertex) -> str:
        if system is None:
            return f"{column.unit.from_si(vertex.value):.5g}"
        return _numbers((vertex.value, vertex.value), column.figure, system, absolute=_absolute(column))

    unit = part.along_unit.symbol if system is None else formatting.label(kind_of(part.along), system)
    head = f"{column.figure} {column.unit.symbol}" if system is None else _column_head(column, system)
    heads = ["line", f"{part.along} {unit}", head]
    names = [""] if part.by is None else [f"{stop.printed} {part.by.unit.symbol} " for stop in part.by.stops]
    lines = [
        (f"{name}{side}", line)
        for name, band in zip(names, part.bands, strict=True)
        for side, line in (("lower", band.lower), ("upper", band.upper))
    ]
    return heads, [[name, along(vertex), value(vertex)] for name, line in lines for vertex in line]


def _column_head(column: Column, system: System) -> str:
    kind = kind_of(column.figure)
    return f"{column.figure} {formatting.label(kind, system, absolute=_absolute(column))}"


def _absolute(column: Column) -> bool:
    return column.reference is Reference.ABSOLUTE


def _numbers(
    edges: tuple[float | None, float | None],
    what: Variable | Figure,
    system: System,
    *,
    absolute: bool = False,
) -> str:
    kind = kind_of(what)
    unit = formatting.label(kind, system, absolute=absolute)

    def number(value: float) -> str:
        # A table keeps what it prints; only an absolute scale needs the gauge's zero put under it.
        counted = value + STANDARD_ATMOSPHERE_PA if kind is Kind.PRESSURE and not absolute else value
        return formatting.text(counted, kind, system, absolute=absolute).removesuffix(unit).strip()

    low, high = edges
    if low is None:
        return "" if high is None else f"\N{LESS-THAN OR EQUAL TO} {number(high)}"
    if high is None:
        return f"\N{GREATER-THAN OR EQUAL TO} {number(low)}"
    return number(low) if low == high else f"{number(low)} to {number(high)}"


def sentence_list(parts: Sequence[str]) -> str:
    """Clauses as sentences behind one another."""
    return " ".join(f"{part[:1].upper()}{part[1:]}{'' if part.endswith('.') else '.'}" for part in parts)
