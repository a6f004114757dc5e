"""A published performance table: what it holds, how it was taken, and what is doubtful about it."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING

from knowngood_refdata.published.axes import Axis, Steps
from knowngood_refdata.published.curves import Curves
from knowngood_refdata.published.grid import Grid
from knowngood_refdata.published.set_up import SetUp
from knowngood_refdata.published.terms import BadTable, Circuit, Figure, Reference
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from collections.abc import Iterator

Part = Grid | Curves
"""One printed block of a publication."""


@dataclass(frozen=True, slots=True)
class PerformanceTable:
    """What one publication prints for one set-up.

    Attributes
    ----------
    parts
        The printed blocks; a publication may give vent and pressures by different variables.
    circuit
        The evaporator that ran; None when it does not say.
    generic
        Whether the figures are general ones and not of a vehicle.
    wider, wider_when
        A second table printed for systems that fail the first, and when the publication allows it.
    notes
        Its remarks, as printed.
    """

    title: str
    parts: tuple[Part, ...]
    set_up: SetUp = field(default_factory=SetUp)
    circuit: Circuit | None = None
    generic: bool = False
    wider: tuple[Part, ...] = ()
    wider_when: str = ""
    notes: str = ""

    def __post_init__(self) -> None:
        if not self.title.strip():
            raise BadTable("the table needs a title by which people find it")
        if not self.parts:
            raise BadTable("the table is empty: enter at least one range")


def doubts(table: PerformanceTable) -> tuple[str, ...]:
    """What may be a slip in a table that can be right nevertheless, in words for whoever enters it."""
    found = [words for part in (*table.parts, *table.wider) for words in _doubts_of(part)]
    return tuple(dict.fromkeys(found))


def axes_of(part: Part) -> tuple[Axis, ...]:
    """The axes with stops that a block is entered with."""
    if isinstance(part, Grid):
        return part.axes
    return () if part.by is None else (part.by,)


def _doubts_of(part: Part) -> Iterator[str]:
    for axis in axes_of(part):
        yield from _gaps(axis)
    pressures = [column for column in part.columns if column.unit.kind is Kind.PRESSURE]
    if any(column.reference is Reference.NOT_SAID for column in pressures):
        yield "the pressures do not say gauge or absolute: they are taken as gauge"
    if len({(column.unit.symbol, column.reference) for column in pressures}) > 1:
        yield "the pressures of one block are in different units: check that each is as printed"
    if isinstance(part, Grid):
        yield from _doubtful_cells(part)


def _gaps(axis: Axis) -> Iterator[str]:
    if axis.steps is not Steps.BINS:
        return
    for before, after in pairwise(axis.stops):
        if before.high is not None and after.low is not None and before.high < after.low:
            bins = f"'{before.printed}' and '{after.printed}' {axis.unit.symbol}"
            yield f"between the {axis.variable} bins {bins} lies a gap: no range will be given there"


def _doubtful_cells(grid: Grid) -> Iterator[str]:
    figures = [column.figure for column in grid.columns]
    for row in grid.cells:
        for column, cell in zip(grid.columns, row, strict=True):
            if cell is not None and cell.is_point:
                yield f"{column.figure} '{cell.printed}' {column.unit.symbol} is one number without a range"
        cells = dict(zip(figures, row, strict=True))
        low, high = cells.get(Figure.LOW_SIDE), cells.get(Figure.HIGH_SIDE)
        if low and high and low.high is not None and high.high is not None and low.high >= high.high:
            both = f"the low side '{low.printed}' is not below the high side '{high.printed}'"
            yield f"{both}: are they swapped?"
