"""A range strip as SVG, for the report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_refdata.expected.outcome import EXPANSION, Outcome

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from knowngood_refdata.expected.comparison import QuantityComparison

WIDTH, HEIGHT = 220, 22
_INK, _RUST, _TRACK, _OUTER, _INNER, _TICK, _QUIET = (
    "#1d2327",
    "#b4461b",
    "#efeee8",
    "#dcebe5",
    "#b4d5c8",
    "#2a6a55",
    "#7b8186",
)


def strip_svg(strip: QuantityComparison) -> str:
    """One strip: band, ticks, marker and whisker. Shapes tell the outcome, not colours alone."""
    low, high = _scale(strip)

    def x(value: float) -> float:
        return 6 + (value - low) / (high - low) * (WIDTH - 12)

    body = "".join(_shapes(strip, x))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{HEIGHT}" '
        f'viewBox="0 0 {WIDTH} {HEIGHT}"><rect x="0" y="4" width="{WIDTH}" height="14" rx="3" '
        f'fill="{_TRACK}"/>{body}</svg>'
    )


def _scale(strip: QuantityComparison) -> tuple[float, float]:
    half = EXPANSION * strip.reading.standard_uncertainty
    shown = [strip.reading.value - half, strip.reading.value + half, *strip.known_good]
    outer = strip.forecast.outer
    if outer is not None:
        shown += [outer.low, outer.high]
    low, high = min(shown), max(shown)
    margin = 0.08 * (high - low) or 1.0
    return low - margin, high + margin


def _shapes(strip: QuantityComparison, x: Callable[[float], float]) -> Iterator[str]:
    for band, colour in ((strip.forecast.outer, _OUTER), (strip.forecast.inner, _INNER)):
        if band is not None:
            left, right = x(band.low), x(band.high)
            yield f'<rect x="{left:.1f}" y="4" width="{right - left:.1f}" height="14" fill="{colour}"/>'
    for value in strip.known_good:
        yield f'<path d="M{x(value):.1f} 13V18" stroke="{_TICK}"/>'
    half = EXPANSION * strip.reading.standard_uncertainty
    colour = _RUST if strip.outcome in (Outcome.BELOW, Outcome.ABOVE) else _INK
    left, right = x(strip.reading.value - half), x(strip.reading.value + half)
    yield f'<path d="M{left:.1f} 11H{right:.1f}" stroke="{colour}" stroke-width="1.5"/>'
    yield _marker(strip.outcome, x(strip.reading.value), colour)


def _marker(outcome: Outcome, x: float, colour: str) -> str:
    if outcome is Outcome.BELOW:
        return f'<path d="M{x - 5:.1f} 7h10l-5 9z" fill="{colour}"/>'
    if outcome is Outcome.ABOVE:
        return f'<path d="M{x - 5:.1f} 15h10l-5 -9z" fill="{colour}"/>'
    if outcome is Outcome.INSIDE:
        return f'<circle cx="{x:.1f}" cy="11" r="4" fill="{colour}"/>'
    return f'<circle cx="{x:.1f}" cy="11" r="3.5" fill="white" stroke="{_QUIET}" stroke-width="1.5"/>'
