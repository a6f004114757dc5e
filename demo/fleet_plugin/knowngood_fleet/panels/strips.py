"""The last readings of a unit as rows of range strips: the range is its sisters'."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.formatting import COVERAGE_95
from knowngood.widgets import StripRow
from knowngood_fleet.words import outcome

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood.units import Units
    from knowngood_fleet.gather import Against
    from knowngood_refdata.expected.interval import Interval


def strip_rows(found: Sequence[Against], units: Units) -> list[StripRow]:
    """A row a quantity; the ticks are the sisters' readings carried to this one's conditions."""
    return [_row(one, units) for one in found]


def _row(one: Against, units: Units) -> StripRow:
    what, expected = one.expected.what, one.expected
    quantity = next(quantity for quantity in one.reading.values if quantity == what)
    half = COVERAGE_95 * one.value.standard_uncertainty

    def shown(value: float) -> float:
        return units.value(value, quantity)

    def span(interval: Interval | None) -> tuple[float, float] | None:
        return None if interval is None else (shown(interval.low), shown(interval.high))

    day = f"{one.reading.taken_at:%d %b %Y}"
    stands_on = expected.stands_on if expected.known else expected.reason
    return StripRow(
        str(quantity),
        units.text(one.value.value, quantity, uncertainty_si=half),
        shown(one.value.value),
        abs(shown(one.value.value + half) - shown(one.value.value)),
        span(expected.inner),
        span(expected.outer),
        tuple(shown(tick) for tick in one.sisters),
        outcome(one),
        "" if expected.known else expected.reason,
        f"{quantity} on {day}: {outcome(one)}; {stands_on}",
    )
