"""A steady window against published performance tables: a source of its own, never mixed with the book."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_checkup.core.deviations import car_kind
from knowngood_refdata.expected.outcome import Outcome, placed
from knowngood_refdata.published.answering import answer
from knowngood_refdata.published.set_up import Today
from knowngood_refdata.published.terms import Figure
from knowngood_refdata.records import Quantity

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from knowngood_refdata.published.answering import Outcome as Given
    from knowngood_refdata.published.table import PerformanceTable
    from knowngood_refdata.records import Conditions, SteadyWindow, Vehicle

QUANTITY_OF = {
    Figure.LOW_SIDE: Quantity.LOW_SIDE,
    Figure.HIGH_SIDE: Quantity.HIGH_SIDE,
    Figure.VENT: Quantity.VENT,
    Figure.SUPERHEAT: Quantity.SUPERHEAT,
    Figure.SUBCOOLING: Quantity.SUBCOOLING,
}


@dataclass(frozen=True, slots=True)
class PublishedFigure:
    """One figure of a published table and where the reading lies; edges in SI, None where none is printed."""

    quantity: Quantity
    low: float | None
    high: float | None
    outcome: Outcome


@dataclass(frozen=True, slots=True)
class PublishedComparison:
    """A window against one published table.

    ``differs`` names what of its set-up is known to differ; ``why_not`` says why it gives no figure.
    """

    title: str
    citation: str
    generic: bool
    figures: tuple[PublishedFigure, ...]
    differs: tuple[str, ...]
    why_not: str = ""


def published_comparisons(
    tables: Iterable[tuple[PerformanceTable, str]],
    vehicle: Vehicle,
    conditions: Conditions,
    window: SteadyWindow,
) -> tuple[PublishedComparison, ...]:
    """Compare a window with each table, given with its citation."""
    today = Today(
        conditions,
        engine_rpm=window.engine_rpm,
        refrigerant=vehicle.refrigerant or "",
        metering=car_kind(vehicle).metering,
    )
    return tuple(_compared(table, citation, today, window) for table, citation in tables)


def _compared(
    table: PerformanceTable, citation: str, today: Today, window: SteadyWindow
) -> PublishedComparison:
    said = answer(table, today)
    figures = tuple(_figures(said.given, window))
    refusals = [one.refusal for one in said.outcomes if one.refusal]
    return PublishedComparison(
        said.title,
        citation,
        said.generic,
        figures,
        tuple(str(one.item) for one in said.differing),
        "" if figures else next(iter(refusals), "it holds no figure of what was measured"),
    )


def _figures(given: Iterable[Given], window: SteadyWindow) -> Iterator[PublishedFigure]:
    for one in given:
        quantity = QUANTITY_OF.get(one.figure)
        if quantity is not None and quantity in window.values and not one.at_rest:
            outcome = placed(window.values[quantity], one.low, one.high)
            yield PublishedFigure(quantity, one.low, one.high, outcome)
