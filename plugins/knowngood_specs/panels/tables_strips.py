"""From a published table's answer to the rows of range strips, in the units of the screen."""

from __future__ import annotations

from math import nan
from typing import TYPE_CHECKING

from knowngood.formatting import MISSING
from knowngood.widgets import StripRow
from knowngood_refdata.expected.outcome import EXPANSION, placed
from knowngood_refdata.published.terms import Figure, kind_of
from knowngood_refdata.records import Quantity
from knowngood_specs.table_words import range_text

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from knowngood.units import Units
    from knowngood_refdata.published.answering import Outcome
    from knowngood_refdata.records import Estimate

NO_RANGE = "no range"
QUANTITY_OF = {
    Figure.LOW_SIDE: Quantity.LOW_SIDE,
    Figure.HIGH_SIDE: Quantity.HIGH_SIDE,
    Figure.VENT: Quantity.VENT,
    Figure.SUPERHEAT: Quantity.SUPERHEAT,
    Figure.SUBCOOLING: Quantity.SUBCOOLING,
}


def strip_rows(
    outcomes: Sequence[Outcome], reading: Mapping[Quantity, Estimate], units: Units, barometer_pa: float
) -> list[StripRow]:
    """A row a figure: the published range as the outer band, the session's reading as marker if there is one.

    A figure without a range says why; when all say the same that is said once, on the first.
    """
    rows: list[StripRow] = []
    told: set[str] = set()
    for outcome in outcomes:
        if outcome.given:
            rows.append(_given(outcome, reading, units, barometer_pa))
        else:
            rows.append(_refused(outcome, reading, units, barometer_pa, told=outcome.refusal in told))
            told.add(outcome.refusal)
    return rows


def _given(
    outcome: Outcome, reading: Mapping[Quantity, Estimate], units: Units, barometer_pa: float
) -> StripRow:
    kind = kind_of(outcome.figure)

    def shown(value: float) -> float:
        return units.value(value, kind, barometer_pa=barometer_pa)

    text = range_text(outcome, units.system, barometer_pa)
    estimate = _reading_of(outcome, reading)
    outer = None
    if outcome.low is not None and outcome.high is not None:
        outer = shown(outcome.low), shown(outcome.high)
    printed = f" (printed {outcome.printed})" if outcome.printed else ""
    detail = f"Published range {text}{printed}: {outcome.how}."
    if estimate is None:
        return StripRow(_name(outcome), text, nan, nan, None, outer, (), "", outcome.how, detail)
    half = EXPANSION * estimate.standard_uncertainty
    written = units.text(estimate.value, kind, barometer_pa=barometer_pa)
    word = placed(estimate, outcome.low, outcome.high)
    return StripRow(
        name=_name(outcome),
        value_text=written,
        value=shown(estimate.value),
        half_width_95=shown(estimate.value + half) - shown(estimate.value),
        inner=None,
        outer=outer,
        ticks=(),
        word=word,
        reason=f"{text}: {outcome.how}",
        detail=f"This session {written}, {word}. {detail}",
    )


def _refused(
    outcome: Outcome, reading: Mapping[Quantity, Estimate], units: Units, barometer_pa: float, *, told: bool
) -> StripRow:
    estimate = _reading_of(outcome, reading)
    written = MISSING
    if estimate is not None:
        written = units.text(estimate.value, kind_of(outcome.figure), barometer_pa=barometer_pa)
    reason = "" if told else outcome.refusal
    return StripRow(
        _name(outcome), written, nan, nan, None, None, (), NO_RANGE, reason, f"No range: {outcome.refusal}."
    )


def _reading_of(outcome: Outcome, reading: Mapping[Quantity, Estimate]) -> Estimate | None:
    # A steady window is of a running system: it has nothing to say to a pressure at rest.
    quantity = None if outcome.at_rest else QUANTITY_OF.get(outcome.figure)
    return None if quantity is None else reading.get(quantity)


def _name(outcome: Outcome) -> str:
    return f"{outcome.figure}, {outcome.block}" if outcome.block else str(outcome.figure)
