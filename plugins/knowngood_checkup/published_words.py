"""What published tables say of a steady window, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood import formatting

if TYPE_CHECKING:
    from collections.abc import Iterable

    from knowngood.formatting import System
    from knowngood_checkup.core.published import PublishedComparison, PublishedFigure


def published_lines(found: Iterable[PublishedComparison], system: System, barometer_pa: float) -> list[str]:
    """A line a table: its figures with the outcome, or why it gives none; a source apart from the book."""
    return [_line(one, system, barometer_pa) for one in found]


def _line(one: PublishedComparison, system: System, barometer_pa: float) -> str:
    head = f"Published: {one.title} ({one.citation})" if one.citation else f"Published: {one.title}"
    general = " A general figure, not of this vehicle." if one.generic else ""
    if not one.figures:
        return f"{head}: not comparable, {one.why_not}.{general}"
    told = "; ".join(_figure(each, system, barometer_pa) for each in one.figures)
    differs = f" Its set-up differs in {', '.join(one.differs)}." if one.differs else ""
    return f"{head}: {told}.{differs}{general}"


def _figure(one: PublishedFigure, system: System, barometer_pa: float) -> str:
    def text(value: float) -> str:
        return formatting.text(value, one.quantity, system, barometer_pa=barometer_pa)

    if one.low is not None and one.high is not None:
        unit = formatting.label(one.quantity, system)
        span = f"{text(one.low).removesuffix(unit).strip()} to {text(one.high)}"
    elif one.low is not None:
        span = f"at least {text(one.low)}"
    else:
        span = f"at most {text(one.high or 0.0)}"
    return f"{one.quantity} {one.outcome} ({span})"
