"""The charge weights of a pair with their sources, and what else is different."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from knowngood.formatting import System
from knowngood_comparison.core.alike import charge_difference, charges, otherwise
from knowngood_comparison.core.names import BOTH, SECOND
from knowngood_comparison.panels.numbers import MINUS, percent, signed
from knowngood_comparison.panels.rich_text import TABLE, quiet
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from knowngood.units import Units
    from knowngood_refdata.queries.pairs import Pair
    from knowngood_refdata.records import SpecValue, Vehicle

NOT_ON_RECORD = "not on record"
NEVER_CARRIED_OVER = (
    "A charge is never carried over from one refrigerant to the other: charge by weight from the label on "
    "the car."
)


def charges_html(pair: Pair, units: Units) -> str:
    """Every charge weight on record with its source, and the difference of the most trusted ones."""
    sides = zip(BOTH, (pair.first, pair.second), strict=True)
    rows = "".join(row for name, vehicle in sides for row in _charge_rows(name, vehicle))
    return f"{TABLE}{rows}</table><p>{_difference(pair, units)}</p><p>{quiet(NEVER_CARRIED_OVER)}</p>"


def otherwise_html(pair: Pair) -> str:
    """What differs beside refrigerant and charge; empty when nothing on record does."""
    found = otherwise(pair.first, pair.second)
    if not found:
        return f"<p>{quiet('Nothing else on record is different.')}</p>"
    head = "".join(f'<th align="left">{quiet(name)}</th>' for name in ("", *BOTH))
    rows = "".join(
        f"<tr><td>{quiet(row.name)}</td><td>{_held(row.first)}</td><td>{_held(row.second)}</td></tr>"
        for row in found
    )
    return f"{TABLE}<tr>{head}</tr>{rows}</table>"


def _charge_rows(refrigerant: str, vehicle: Vehicle) -> list[str]:
    values = charges(vehicle)
    if not values:
        return [f"<tr><td>{refrigerant}</td><td>{quiet(NOT_ON_RECORD)}</td><td></td></tr>"]
    return [
        f"<tr><td>{refrigerant if number == 0 else ''}</td><td><b>{escape(value.as_printed)}</b></td>"
        f"<td>{quiet(_source(value))}</td></tr>"
        for number, value in enumerate(values)
    ]


def _source(value: SpecValue) -> str:
    return ", ".join(part for part in (str(value.source_kind), value.citation, value.revision) if part)


def _difference(pair: Pair, units: Units) -> str:
    found = charge_difference(pair.first, pair.second)
    if found is None:
        return quiet("The difference needs a charge weight on record for both.")
    weight = signed(f"{1e3 * found.kg:.0f} g".replace("-", MINUS))
    if units.system is System.US:
        weight += f", {signed(units.text(found.kg, Kind.MASS))}"
    return (
        f"{SECOND}: <b>{weight}</b> ({signed(percent(found.share))} %), by the most trusted source of each."
    )


def _held(text: str) -> str:
    return escape(text) if text else quiet(NOT_ON_RECORD)
