"""From a check-up in SI to what the shared widgets show, in the units of the screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.widgets import PlaneEllipse, PlaneView, StripRow
from knowngood_checkup.words import range_text
from knowngood_refdata.expected.outcome import EXPANSION, Outcome
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Quantity, Verdict

if TYPE_CHECKING:
    from knowngood.units import Units
    from knowngood_checkup.core.checkup import ResponseComparison
    from knowngood_checkup.core.plane import Ellipse
    from knowngood_refdata.expected.comparison import QuantityComparison, WindowComparison

LEVEL_LOW_SHARE, LEVEL_HIGH_SHARE = 0.03, 0.05
"""A side counts as staying level within these shares of its pressure (common practice, no source)."""


def strip_rows(comparison: WindowComparison, units: Units, barometer_pa: float) -> list[StripRow]:
    """The strips of a steady window."""
    return [_row(strip, comparison, units, barometer_pa) for strip in comparison.strips]


def _row(
    strip: QuantityComparison, comparison: WindowComparison, units: Units, barometer_pa: float
) -> StripRow:
    def shown(value: float) -> float:
        return units.value(value, strip.quantity, barometer_pa=barometer_pa)

    inner, outer = strip.forecast.inner, strip.forecast.outer
    # A reason that holds for the whole window stands once below the strips; the legend explains the other.
    told_elsewhere = strip.outcome is Outcome.CANNOT_TELL or strip.reason == comparison.reason
    reason = "" if told_elsewhere else strip.reason
    half = EXPANSION * strip.reading.standard_uncertainty
    return StripRow(
        name=strip.quantity,
        value_text=units.text(strip.reading.value, strip.quantity, barometer_pa=barometer_pa),
        value=shown(strip.reading.value),
        half_width_95=shown(strip.reading.value + half) - shown(strip.reading.value),
        inner=(shown(inner.low), shown(inner.high)) if inner else None,
        outer=(shown(outer.low), shown(outer.high)) if outer else None,
        ticks=tuple(shown(one) for one in strip.known_good),
        word=strip.outcome,
        reason=reason,
        detail=_detail(strip, units, barometer_pa),
    )


def _detail(strip: QuantityComparison, units: Units, barometer_pa: float) -> str:
    reading = units.estimate_text(strip.reading, strip.quantity, barometer_pa=barometer_pa)
    return (
        f"This session {reading} (95 %). Known-good: {range_text(strip, units.system, barometer_pa)}. "
        f"Outcome: {strip.outcome}{f', {strip.reason}' if strip.reason else ''}."
    )


def plane_view(comparison: ResponseComparison, pressures: dict[Quantity, float], units: Units) -> PlaneView:
    """The response plane; ``pressures`` are the absolute pressures [Pa] at the start of the response."""
    response = comparison.response

    def shown(change_pa: float) -> float:
        return units.value(change_pa, Kind.PRESSURE, difference=True)

    level = (
        shown(LEVEL_LOW_SHARE * pressures.get(Quantity.LOW_SIDE, 3e5)),
        shown(LEVEL_HIGH_SHARE * pressures.get(Quantity.HIGH_SIDE, 1e6)),
    )
    return PlaneView(
        this=(shown(response.low_pa.value), shown(response.high_pa.value)),
        level=level,
        cloud=tuple((shown(one.low_pa), shown(one.high_pa)) for one in comparison.known_good),
        inner=_ellipse(comparison.inner, shown(1.0)),
        outer=_ellipse(comparison.outer, shown(1.0)),
        unit=units.label(Kind.PRESSURE, difference=True),
        cloud_word=_cloud_word(comparison, level, shown(1.0)),
    )


def _ellipse(ellipse: Ellipse | None, scale: float) -> PlaneEllipse | None:
    if ellipse is None:
        return None
    return PlaneEllipse(
        ellipse.low_pa * scale,
        ellipse.high_pa * scale,
        ellipse.half_major_pa * scale,
        ellipse.half_minor_pa * scale,
        ellipse.angle_rad,
    )


def _cloud_word(comparison: ResponseComparison, level: tuple[float, float], scale: float) -> str:
    cloud = comparison.known_good
    if not cloud:
        return ""
    low = scale * sum(one.low_pa for one in cloud) / len(cloud)
    high = scale * sum(one.high_pa for one in cloud) / len(cloud)
    return f"known-good: low {_direction(low, level[0])}, high {_direction(high, level[1])}"


def _direction(change: float, level: float) -> Verdict:
    if abs(change) <= level:
        return Verdict.LEVEL
    return Verdict.RISES if change > 0 else Verdict.FALLS
