"""From expected ranges in SI to the rows of range strips, in the units of the screen."""

from __future__ import annotations

from dataclasses import replace
from math import nan
from typing import TYPE_CHECKING

from knowngood.formatting import MISSING
from knowngood.widgets import StripRow
from knowngood_refdata.expected.outcome import EXPANSION, Outcome
from knowngood_specs.reading_words import interval_text

if TYPE_CHECKING:
    from knowngood.units import Units
    from knowngood_refdata.expected.comparison import (
        Expectation,
        QuantityComparison,
        QuantityExpectation,
        WindowComparison,
    )

NO_RANGE = "no range"


def expected_rows(expectation: Expectation, units: Units, barometer_pa: float) -> list[StripRow]:
    """The strips of what is expected, without a reading in them."""
    return [
        _row(one, units, barometer_pa)
        for one in expectation.quantities
        if one.known_good or one.forecast.known
    ]


def compared_rows(comparison: WindowComparison, units: Units, barometer_pa: float) -> list[StripRow]:
    """The strips of a steady window against the known-good readings."""
    return [
        _with_reading(_bare(one, units, barometer_pa), one, units, barometer_pa) for one in comparison.strips
    ]


def _row(one: QuantityExpectation, units: Units, barometer_pa: float) -> StripRow:
    row = _bare(one, units, barometer_pa)
    return row if one.forecast.known else replace(row, word=NO_RANGE, reason=one.forecast.reason)


def _bare(one: QuantityExpectation | QuantityComparison, units: Units, barometer_pa: float) -> StripRow:
    def shown(value: float) -> float:
        return units.value(value, one.quantity, barometer_pa=barometer_pa)

    inner, outer = one.forecast.inner, one.forecast.outer
    text, stands = MISSING, one.forecast.reason
    if outer is not None:
        text = interval_text(outer, one.quantity, units.system, barometer_pa)
        stands = one.forecast.stands_on
    return StripRow(
        name=one.quantity,
        value_text=text,
        value=nan,
        half_width_95=nan,
        inner=(shown(inner.low), shown(inner.high)) if inner else None,
        outer=(shown(outer.low), shown(outer.high)) if outer else None,
        ticks=tuple(shown(value) for value in one.known_good),
        word="",
        detail=f"Expected from known-good readings: {text}, {stands}.",
    )


def _with_reading(row: StripRow, one: QuantityComparison, units: Units, barometer_pa: float) -> StripRow:
    value = one.reading.value
    edge = value + EXPANSION * one.reading.standard_uncertainty
    written = units.text(value, one.quantity, barometer_pa=barometer_pa)
    shown, end = (units.value(each, one.quantity, barometer_pa=barometer_pa) for each in (value, edge))
    reason = f"{row.value_text} expected" if one.forecast.known else one.reason
    if one.outcome is Outcome.CANNOT_TELL:
        reason = f"{reason}; {one.reason}"
    return replace(
        row,
        value_text=written,
        value=shown,
        half_width_95=end - shown,
        word=one.outcome,
        reason=reason,
        detail=f"This session {written}. {row.detail} Outcome: {one.outcome}.",
    )
