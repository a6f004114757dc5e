"""Where a moment lies across and a value lies up a plot, and back; and what an axis is marked with."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

from knowngood.formatting import clock

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Number = TypeVar("Number", float, NDArray[np.float64])

_CLOCK_STEPS = (
    0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5,
    1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14_400, 28_800, 86_400,
)  # fmt: skip
_MINUS = "\N{MINUS SIGN}"


@dataclass(frozen=True)
class Across:
    """A stretch of time laid across pixels: ``start_s`` at ``left``, ``end_s`` at ``left + width``."""

    start_s: float
    end_s: float
    left: float
    width: float

    def x(self, at_s: Number) -> Number:
        """Where a moment lies [px]."""
        return self.left + (at_s - self.start_s) * (self.width / (self.end_s - self.start_s))

    def moment(self, x: float) -> float:
        """What moment lies at a place [s]."""
        return self.start_s + (x - self.left) * (self.end_s - self.start_s) / self.width


@dataclass(frozen=True)
class Upright:
    """Values laid up a panel: ``low`` at the lower edge ``bottom``, ``high`` at ``bottom - height`` [px]."""

    low: float
    high: float
    bottom: float
    height: float

    def y(self, value: Number) -> Number:
        """Where a value lies [px], growing downwards."""
        return self.bottom - (value - self.low) * (self.height / (self.high - self.low))

    def cut(self, value: float) -> float:
        """Where a value lies, or the edge of the panel it lies beyond."""
        return self.y(min(max(value, self.low), self.high))


def round_step(least: float) -> float:
    """The smallest of 1, 2, 5 times a power of ten that is not less.

    >>> [round_step(one) for one in (0.3, 2.0, 7.1)]
    [0.5, 2.0, 10.0]
    """
    power = 10.0 ** math.floor(math.log10(least))
    return next(
        (factor * power for factor in (1.0, 2.0, 5.0) if factor * power >= least * (1 - 1e-9)), 10 * power
    )


def roomy(low: float, high: float) -> tuple[float, float]:
    """Limits for values from ``low`` to ``high``: some room, and round, so that they seldom change.

    >>> roomy(2.03, 13.8)
    (1.0, 15.0)
    """
    width = high - low
    least = 1e-6 * max(abs(low), abs(high), 1e-6)
    if width <= least:
        half = max(0.02 * abs(low), 0.5)
        low, high, width = low - half, high + half, 2 * half
    step = round_step(width / 12)
    room = 0.04 * width
    return math.floor((low - room) / step) * step, math.ceil((high + room) / step) * step


def value_ticks(low: float, high: float, most: int) -> list[tuple[float, str]]:
    """Round values within limits, about so many and two at least, each with its text.

    >>> value_ticks(1.0, 15.0, 4)
    [(5.0, '5'), (10.0, '10'), (15.0, '15')]
    """
    step = round_step((high - low) / max(most, 1))
    first, last = _counts(low, high, step)
    while last <= first:
        step = round_step(step / 2.5)
        first, last = _counts(low, high, step)
    digits = max(0, -math.floor(math.log10(step) + 1e-9))
    return [(count * step, number(count * step, digits)) for count in range(first, last + 1)]


def _counts(low: float, high: float, step: float) -> tuple[int, int]:
    return math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)


def clock_ticks(start_s: float, end_s: float, most: int) -> list[tuple[float, str]]:
    """Round moments of a stretch, at most so many, as minutes and seconds.

    >>> clock_ticks(0.0, 600.0, 6)[:3]
    [(0.0, '0:00'), (120.0, '2:00'), (240.0, '4:00')]
    """
    wanted = (end_s - start_s) / max(most, 1)
    longest = _CLOCK_STEPS[-1]
    step = next((one for one in _CLOCK_STEPS if one >= wanted), longest * math.ceil(wanted / longest))
    first, last = _counts(start_s, end_s, step)
    return [(float(count * step), moment(count * step, step)) for count in range(first, last + 1)]


def moment(at_s: float, step_s: float = 1.0) -> str:
    """A moment in minutes and seconds, with as many decimals as steps of ``step_s`` need.

    >>> moment(271.0), moment(271.25, 0.05)
    ('4:31', '4:31.25')
    """
    if step_s >= 1.0 or not math.isfinite(at_s):
        return clock(at_s)
    digits = -math.floor(math.log10(step_s) + 1e-9)
    parts = 10**digits
    whole, rest = divmod(abs(round(at_s * parts)), parts)
    sign = _MINUS if at_s < 0 and (whole or rest) else ""
    return f"{sign}{clock(whole)}.{rest:0{digits}d}"


def number(value: float, decimals: int) -> str:
    """A number with a true minus sign and no negative zero.

    >>> number(-0.04, 1), number(-3.2, 1)
    ('0.0', '−3.2')
    """
    return f"{round(value, decimals) + 0.0:.{decimals}f}".replace("-", _MINUS)


def signed(value: float, decimals: int) -> str:
    """A difference with its sign.

    >>> signed(3.2, 1), signed(-0.04, 1), signed(-3.2, 1)
    ('+3.2', '0.0', '−3.2')
    """
    text = number(value, decimals)
    return f"+{text}" if round(value, decimals) > 0.0 else text
