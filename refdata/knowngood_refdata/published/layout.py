r"""Take a pasted text apart: its cells, its headings, and which of its two layouts it is in.

In rows: one column a variable, one a figure::

    Ambient °C | High psi | Low psi
    21         | 120-190  | 10-20

Crosswise: the corner names both variables and the line above says what the cells hold::

    Vent °C
    RH % \ Intake °C | 20      | 25
    50-60             | 6.0-8.0 | 8.4-10.9
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from knowngood_refdata.published.headings import Heading, read_heading
from knowngood_refdata.published.terms import Figure, Variable

_SEPARATORS = ("\t", "|", ";")
_RULE = re.compile(r"[\s|:+=-]+")


class Unclear(Exception):  # noqa: N818 - reads as what it is
    """A pasted text cannot be taken apart; the text says why."""


@dataclass(frozen=True, slots=True)
class Row:
    """A printed row: the number of its line, the texts it is entered with, and the texts it gives."""

    line: int
    stops: tuple[str, ...]
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Layout:
    """The headings of variables and figures, and the rows in the order of the print."""

    variables: tuple[Heading, ...]
    figures: tuple[Heading, ...]
    rows: tuple[Row, ...]
    notes: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Line:
    """A line of a pasted text by its number, taken apart into cells."""

    number: int
    cells: list[str]


def take_apart(text: str) -> Layout:
    """The layout of a pasted table.

    Raises
    ------
    Unclear
        When there is no table, or a heading says nothing that is known here.
    """
    lines = lines_of(text)
    if not lines:
        raise Unclear("there is no table: paste its heading and its rows")
    caption = (
        lines.pop(0) if len(lines[0].cells) == 1 and len(lines) > 1 and len(lines[1].cells) > 1 else None
    )
    header, *rows = lines
    if not rows:
        raise Unclear("there is a heading but no row under it")
    check_lengths(header, rows)
    corner = [part.strip() for part in header.cells[0].split("\\")]
    layout = _crosswise(corner, header, rows, caption) if len(corner) == 2 else _in_rows(header, rows)
    if caption is not None and len(corner) != 2:
        layout.notes.append(f"the line '{caption.cells[0]}' above the headings was left out")
    for heading in (*layout.variables, *layout.figures):
        if heading.left_over:
            layout.notes.append(
                f"'{heading.left_over}' in '{heading.printed}' was left out: enter it as a limit"
            )
    return layout


def check_lengths(header: Line, rows: list[Line]) -> None:
    """Drop empty cells beyond the headings, as a spreadsheet hands them over; raises `Unclear` for others."""
    for row in rows:
        while len(row.cells) > len(header.cells) and not row.cells[-1]:
            row.cells.pop()
        if len(row.cells) != len(header.cells):
            raise Unclear(f"line {row.number} has {len(row.cells)} cells under {len(header.cells)} headings")


def lines_of(text: str) -> list[Line]:
    """The lines with anything in them, their cells parted by the mark that the text shows most."""
    numbered = [
        (number, line)
        for number, line in enumerate(text.splitlines(), 1)
        if line.strip() and not (len(line.strip()) > 2 and _RULE.fullmatch(line) and "-" in line)
    ]
    counts = {mark: sum(mark in line for _, line in numbered) for mark in _SEPARATORS}
    mark = max(_SEPARATORS, key=lambda one: counts[one])
    # Bars frame a table only if they frame every line: else the outer ones part empty cells.
    framed = mark == "|" and all(line.strip()[:1] == line.strip()[-1:] == "|" for _, line in numbered)
    return [Line(number, _split(line, mark, framed=framed)) for number, line in numbered]


def _split(line: str, mark: str, *, framed: bool) -> list[str]:
    # An empty cell behind a tab counts; blanks around a row do not.
    inner = line.strip()[1:-1] if framed else line.strip(" \r\n")
    return [cell.strip() for cell in inner.split(mark)]


def _in_rows(header: Line, rows: list[Line]) -> Layout:
    headings = [_heading(cell, header.number, column) for column, cell in enumerate(header.cells, 1)]
    by = [index for index, heading in enumerate(headings) if isinstance(heading.what, Variable)]
    gives = [index for index, heading in enumerate(headings) if isinstance(heading.what, Figure)]
    if not gives:
        raise Unclear("no heading says what the table gives: low side, high side, vent temperature ...")
    notes: list[str] = []
    taken: list[Row] = []
    above: tuple[str, ...] = ()
    for row in rows:
        stops = tuple(row.cells[index] for index in by)
        if above and "" in stops:
            stops = tuple(stop or before for stop, before in zip(stops, above, strict=True))
            notes.append(f"line {row.number}: the empty cell was taken as the one above it")
        taken.append(Row(row.number, stops, tuple(row.cells[index] for index in gives)))
        above = stops
    return Layout(tuple(headings[i] for i in by), tuple(headings[i] for i in gives), tuple(taken), notes)


def _crosswise(corner: list[str], header: Line, rows: list[Line], caption: Line | None) -> Layout:
    variables = tuple(_heading(name, header.number, 1) for name in corner)
    if not all(isinstance(heading.what, Variable) for heading in variables):
        raise Unclear(f"the corner '{header.cells[0]}' must name two variables, as 'RH % \\ Intake °C'")
    figure = read_heading(caption.cells[0]) if caption else None
    if figure is None or not isinstance(figure.what, Figure):
        raise Unclear("say in a line above the headings what the cells hold, as 'Vent °C'")
    taken = [
        Row(row.number, (row.cells[0], across), (cell,))
        for row in rows
        for across, cell in zip(header.cells[1:], row.cells[1:], strict=True)
    ]
    return Layout(variables, (figure,), tuple(taken))


def _heading(text: str, line: int, column: int) -> Heading:
    heading = read_heading(text)
    if heading is None:
        raise Unclear(
            f"line {line}, column {column}: '{text}' names nothing that a table goes by (ambient, cabin "
            "intake, relative humidity, engine speed, liquid line) or gives (low side, high side, vent, "
            "pressure at rest, superheat, subcooling)"
        )
    return heading
