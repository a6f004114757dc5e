"""What every channel has at a moment, and between two."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from knowngood import formatting
from knowngood_sessions.traces import measure_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray

    from knowngood.formatting import System
    from knowngood_sessions.traces import Measure, Trace

_REACH = 5.0
_BLOCK = 4_096
_LOOKED_AT = 20_001


@dataclass(frozen=True, slots=True)
class Between:
    """A channel between two moments, in the unit it is recorded or reckoned in; None where unknown.

    ``mean`` is that of all samples from the first moment to the second, both included.
    """

    a: float | None
    b: float | None
    difference: float | None
    per_minute: float | None
    mean: float | None


class Samples:
    """Samples on a rising time axis, (n,), that answer at once however many there are.

    A sample speaks for moments up to a few spacings away, so that nothing is told inside a gap.
    """

    def __init__(self, time_s: NDArray[np.float64]) -> None:
        self.time_s = time_s
        steps = np.diff(time_s[:_LOOKED_AT])
        steps = steps[steps > 0.0]
        self._reach_s = _REACH * float(np.median(steps)) if steps.size else 1.0
        self._sums: dict[int, tuple[NDArray[np.float64], NDArray[np.int64]]] = {}

    def nearest(self, at_s: float) -> int | None:
        """The number of the sample nearest to a moment; None where nothing was recorded."""
        if not self.time_s.size:
            return None
        after = int(np.searchsorted(self.time_s, at_s))
        near = [one for one in (after - 1, after) if 0 <= one < self.time_s.size]
        best = min(near, key=lambda one: abs(float(self.time_s[one]) - at_s))
        return best if abs(float(self.time_s[best]) - at_s) <= self._reach_s else None

    def at(self, values: NDArray[np.float64], at_s: float) -> float | None:
        """The value nearest to a moment."""
        place = self.nearest(at_s)
        if place is None or not np.isfinite(values[place]):
            return None
        return float(values[place])

    def between(self, values: NDArray[np.float64], a_s: float, b_s: float) -> Between:
        """Both values, their difference, its slope and the mean of the samples between."""
        first, last = self.nearest(a_s), self.nearest(b_s)
        a, b = self.at(values, a_s), self.at(values, b_s)
        difference = None if a is None or b is None else b - a
        per_minute = None
        if difference is not None and first is not None and last is not None and first != last:
            per_minute = 60.0 * difference / float(self.time_s[last] - self.time_s[first])
        return Between(a, b, difference, per_minute, self.mean(values, a_s, b_s))

    def mean(self, values: NDArray[np.float64], a_s: float, b_s: float) -> float | None:
        """The mean of the samples between two moments; None when there is none."""
        start = int(np.searchsorted(self.time_s, min(a_s, b_s), side="left"))
        stop = int(np.searchsorted(self.time_s, max(a_s, b_s), side="right"))
        total, count = self._sum(values, start, stop)
        return total / count if count else None

    def _sum(self, values: NDArray[np.float64], start: int, stop: int) -> tuple[float, int]:
        """Sum and number of the finite samples of a stretch; whole blocks of it are summed beforehand."""
        first, last = -(-start // _BLOCK), stop // _BLOCK
        if last - first < 2:
            return _summed(values[start:stop])
        sums, counts = self._blocks(values)
        head, heads = _summed(values[start : first * _BLOCK])
        tail, tails = _summed(values[last * _BLOCK : stop])
        middle, middles = float(sums[first:last].sum()), int(counts[first:last].sum())
        return head + middle + tail, heads + middles + tails

    def _blocks(self, values: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
        # The arrays live as long as the session that is shown, so their identity can stand for them.
        if id(values) not in self._sums:
            starts = np.arange(0, values.size, _BLOCK)
            good = np.isfinite(values)
            self._sums[id(values)] = (
                np.add.reduceat(np.where(good, values, 0.0), starts),
                np.add.reduceat(good.astype(np.int64), starts),
            )
        return self._sums[id(values)]


def _summed(values: NDArray[np.float64]) -> tuple[float, int]:
    good = values[np.isfinite(values)]
    return float(good.sum()), int(good.size)


CURSOR_HEADS = ("Channel", "here", "\N{PLUS-MINUS SIGN} 95 %")
MEASURE_HEADS = ("Channel", "A", "B", "B \N{MINUS SIGN} A", "/min", "mean")


@dataclass(frozen=True, slots=True)
class Row:
    """A channel in the table beside the plots: its name, its unit, and its numbers as written."""

    key: str
    name: str
    unit: str
    colour: str
    cells: tuple[str, ...]


def cursor_rows(
    offered: Sequence[Trace],
    samples: Samples,
    at_s: float,
    system: System,
    barometer_pa: float,
    sure: Mapping[str, float] = MappingProxyType({}),
) -> tuple[Row, ...]:
    """Every channel at a moment, with half its 95 % interval; ``sure`` holds that in SI by channel."""
    return tuple(
        _row(
            one, measure, (number(samples.at(one.values, at_s), measure), _reach(sure.get(one.key), measure))
        )
        for one, measure in _measured(offered, system, barometer_pa)
    )


def measured_rows(
    offered: Sequence[Trace],
    samples: Samples,
    moments_s: tuple[float, float],
    system: System,
    barometer_pa: float,
) -> tuple[Row, ...]:
    """Every channel at two moments, with difference, slope and mean."""
    return tuple(
        _row(one, measure, _cells(samples.between(one.values, *moments_s), measure))
        for one, measure in _measured(offered, system, barometer_pa)
    )


def number(value: float | None, measure: Measure, *, difference: bool = False) -> str:
    """A number of a channel as it is shown, a dash where there is none; no unit."""
    if value is None:
        return formatting.MISSING
    shown = value * measure.factor if difference else measure.of(value)
    return f"{round(shown, measure.decimals) + 0.0:.{measure.decimals}f}".replace("-", "\N{MINUS SIGN}")


def _reach(sure: float | None, measure: Measure) -> str:
    """How far a value can be off, nothing where that is not known."""
    return "" if sure is None or not np.isfinite(sure) else number(sure, measure, difference=True)


def _measured(
    offered: Sequence[Trace], system: System, barometer_pa: float
) -> Iterator[tuple[Trace, Measure]]:
    return ((one, measure_of(one, system, barometer_pa)) for one in offered)


def _row(trace: Trace, measure: Measure, cells: tuple[str, ...]) -> Row:
    return Row(trace.key, trace.title, measure.label, trace.colour, cells)


def _cells(found: Between, measure: Measure) -> tuple[str, ...]:
    return (
        number(found.a, measure),
        number(found.b, measure),
        number(found.difference, measure, difference=True),
        number(found.per_minute, measure, difference=True),
        number(found.mean, measure),
    )
