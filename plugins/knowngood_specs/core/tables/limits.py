"""Limits of a published table as one line of text: ``ambient °C: 20-35; relative humidity %: 50-80``."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_refdata.published.axes import Limit
from knowngood_refdata.published.headings import PrintedUnit, read_heading, split_unit
from knowngood_refdata.published.span import read_span
from knowngood_refdata.published.terms import BadTable, Variable, kind_of

if TYPE_CHECKING:
    from collections.abc import Sequence

EXAMPLE = "ambient °C: 20-35; relative humidity %: 50-80"


def read_limits(text: str) -> tuple[Limit, ...]:
    """The limits that a text names, parted by semicolons; the unit stands on either side of the colon.

    Raises
    ------
    BadTable
        When a part is no limit.

    >>> (limit,) = read_limits("ambient: 20-35 °C")
    >>> limit.variable, limit.span.printed, limit.unit.symbol
    (<Variable.AMBIENT: 'ambient'>, '20-35', '°C')
    """
    return tuple(_limit(part) for part in text.split(";") if part.strip())


def write_limits(limits: Sequence[Limit]) -> str:
    """Limits as a text that `read_limits` reads back."""
    return "; ".join(f"{one.variable} {one.unit.symbol}: {one.span.printed}" for one in limits)


def _limit(text: str) -> Limit:
    name, colon, value = text.partition(":")
    heading = read_heading(name) if colon else None
    if heading is None or not isinstance(heading.what, Variable):
        raise BadTable(f"'{text.strip()}' names no condition and its range; write it as '{EXAMPLE}'")
    bare, own = split_unit(value, kind_of(heading.what))
    found: PrintedUnit | None = heading.unit or own
    if found is None:
        raise BadTable(f"'{text.strip()}' has no unit; write it as '{EXAMPLE}'")
    if own is not None and own.unit != found.unit:
        raise BadTable(f"'{text.strip()}' names two units")
    return Limit(heading.what, found.unit, read_span(bare, found.unit))
