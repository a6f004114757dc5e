"""Estimates by quantity, between records and the rows that hold one quantity each."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from knowngood_refdata.models import ReadingValue, WindowValue
from knowngood_refdata.records import Estimate, Quantity

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

ValueRow = TypeVar("ValueRow", ReadingValue, WindowValue)


def value_rows(kind: type[ValueRow], values: Mapping[Quantity, Estimate]) -> list[ValueRow]:
    """One row of a kind for each estimate."""
    return [
        kind(
            quantity=quantity.value,
            value=estimate.value,
            standard_uncertainty=estimate.standard_uncertainty,
        )
        for quantity, estimate in values.items()
    ]


def estimates_of(rows: Iterable[ReadingValue | WindowValue]) -> dict[Quantity, Estimate]:
    """The estimates in rows, in the order that quantities are shown in."""
    found = {Quantity(one.quantity): Estimate(one.value, one.standard_uncertainty) for one in rows}
    return {quantity: found[quantity] for quantity in Quantity if quantity in found}
