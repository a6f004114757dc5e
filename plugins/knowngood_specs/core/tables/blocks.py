"""One printed block as typed: a grid, or the points read off a chart, and how it is understood."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from knowngood_refdata.published.charts import print_chart, read_chart
from knowngood_refdata.published.grid import Grid
from knowngood_refdata.published.layout import lines_of
from knowngood_refdata.published.pasted import print_table, read_table
from knowngood_refdata.published.terms import BadTable
from knowngood_specs.core.tables.limits import read_limits, write_limits

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.published.table import Part


MOST_CHARACTERS = 20_000
TOO_LONG = "the text is too long for a printed table; paste the table alone"


@dataclass(frozen=True, slots=True)
class BlockForm:
    """A block as typed; ``fault`` is empty for a healthy system, ``wider`` marks the second table."""

    text: str = ""
    name: str = ""
    limits: str = ""
    fault: str = ""
    at_rest: bool = False
    wider: bool = False


@dataclass(frozen=True, slots=True)
class ReadBlock:
    """What a typed block became: a part of the table, or problems; notes tell how the unclear was taken."""

    part: Part | None
    notes: tuple[str, ...] = ()
    problems: tuple[str, ...] = ()


def read_block(form: BlockForm) -> ReadBlock:
    """The part that a block describes; a chart is told by its ``Lower`` and ``Upper`` headings."""
    if len(form.text) > MOST_CHARACTERS:
        return ReadBlock(None, (), (TOO_LONG,))
    part: Part | None
    notes: tuple[str, ...] = ()
    problems: tuple[str, ...]
    if is_chart(form.text):
        chart = read_chart(form.text)
        part, problems = chart.curves, (chart.problem,) if chart.problem else ()
    else:
        pasted = read_table(form.text)
        part, notes, problems = pasted.grid, pasted.notes, pasted.problems
    try:
        limits = read_limits(form.limits)
    except BadTable as error:
        return ReadBlock(None, notes, (*problems, str(error)))
    if part is None:
        return ReadBlock(None, notes, problems)
    at_rest = form.at_rest or part.at_rest
    named = replace(part, name=form.name.strip(), fault=form.fault.strip(), at_rest=at_rest, limits=limits)
    return ReadBlock(named, notes)


def write_block(part: Part, *, wider: bool = False) -> BlockForm:
    """A block as it would be typed, for correction."""
    text = print_table(part) if isinstance(part, Grid) else print_chart(part)
    return BlockForm(text, part.name, write_limits(part.limits), part.fault, part.at_rest, wider)


def is_chart(text: str) -> bool:
    """Whether the last two headings name a lower and an upper line.

    >>> is_chart("Intake °C;Lower vent °C;Upper vent °C"), is_chart("Ambient °C | Low psi | High psi")
    (True, False)
    """
    lines = lines_of(text)
    last = [cell.casefold().partition(" ")[0] for cell in lines[0].cells[-2:]] if lines else []
    return sorted(last) == ["lower", "upper"]


def cells_of(text: str) -> list[list[str]]:
    """The cells of a text, line by line, as they are shown for typing."""
    return [line.cells for line in lines_of(text)]


def text_of(cells: Sequence[Sequence[str]]) -> str:
    r"""Typed cells as text: empty lines and the empty cells beyond the headings are left out.

    >>> text_of([["Ambient °C", "High psi", ""], ["21", "120-190", ""], ["", "", ""]])
    'Ambient °C\tHigh psi\n21\t120-190'
    """
    filled = [[cell.strip() for cell in row] for row in cells if any(cell.strip() for cell in row)]
    widths = [max(place for place, cell in enumerate(row, 1) if cell) for row in filled]
    # A caption above the headings is one cell wide; every other line is as wide as the headings at least.
    caption = len(widths) > 1 and widths[0] == 1 and widths[1] > 1
    heading = widths[1] if caption else widths[0] if widths else 0
    lines = [
        row[: width if caption and number == 0 else max(width, heading)]
        for number, (row, width) in enumerate(zip(filled, widths, strict=True))
    ]
    return "\n".join("\t".join(line) for line in lines)
