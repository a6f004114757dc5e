"""The compressor going off line and back: the two pressures run toward one another, or apart."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.ndimage import uniform_filter1d

from .cycling import LONGEST_PERIOD_S, clutch_cycling, swings
from .moments import inside, nearest_s

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from .engine import EngineStep
    from .grid import Grid

LOOK_AHEAD_S = (8.0, 20.0)
LOW_MOVES = 0.10
HIGH_MOVES = 0.03
GAP_CLOSES = 0.30
"""Least moves of the logarithms of both sides, opposite in sign, and least loss of the gap between them.

Blower and humidity move both sides the same way; a fan stage, or a fall of engine speed, may do as much
but leaves the sides apart: see `_stops`."""

MEET_RATIO = 1.4
"""High over low, absolute, under which the sides have met. A running compressor holds about 2 or more."""

GAP_LOST = 0.75
"""Part of the gap between the sides that only a compressor off line loses."""

MEET_WITHIN_S = 90.0
CYCLE_OFF_S = 60.0
PARTS_WITHIN_S = 20.0
PARTS_AGAIN = 0.4
"""A cycling clutch lets go for less time than the sides need to meet, then they part as fast again."""

HARDLY = 0.3
WITHIN_STEPS = 0.95
"""How well the moment is known, in steps of the grid: how far the sides have run in the first one depends on
how they set off."""

START_RATIO = 1.5
NEAR_S = (12.0, 6.0)
SAME_AGAIN_S = 15.0


@dataclass(frozen=True, slots=True)
class CompressorChange:
    """The compressor goes on line (``on``) or off line, with a probability of 95 % within ``within_s``."""

    at_s: float
    on: bool
    within_s: float | None = None


def compressor_changes(grid: Grid, engine: Sequence[EngineStep]) -> tuple[CompressorChange, ...]:
    """Moments at which the compressor goes off line or back, in order of time.

    A drop to idle, or a strong fan, lets the sides converge as well, but they do not meet.
    """
    if grid.low_pa is None or grid.high_pa is None:
        return ()
    low, high = (
        np.maximum(uniform_filter1d(side, 3, mode="nearest"), 1.0) for side in (grid.low_pa, grid.high_pa)
    )
    leaving = np.diff(np.log(np.maximum(grid.high_pa, 1.0) / np.maximum(grid.low_pa, 1.0)))
    cycles = _cycles(grid, leaving, swings(grid, engine))
    cycled_s = [change.at_s for change in cycles]
    changes: list[CompressorChange] = []
    engine_s = [step.at_s for step in engine]
    for first, last, on in sorted((*_spans(grid, low, high, on=False), *_spans(grid, low, high, on=True))):
        at = _onset(leaving, first, last, on=on)
        moment = float(grid.time_s[0]) + at * grid.step_s
        if _within(cycled_s, moment):
            continue
        off_before = bool(changes) and not changes[-1].on
        if changes and changes[-1].on is on and moment - changes[-1].at_s < SAME_AGAIN_S:
            continue
        near = bisect_left(engine_s, moment - NEAR_S[0]), bisect_right(engine_s, moment + NEAR_S[1])
        beside = near[0] < near[1]
        span = slice(first, last + 1)
        if on:
            counts = (off_before and not beside) or _starts(low, high, span, beside=beside)
        else:
            counts = _stops(grid, low, high, slice(round(at), last + 1), beside=beside)
        if counts:
            changes.append(_change(grid, at, on=on))
    return tuple(sorted((*changes, *cycles), key=lambda change: change.at_s))


def _change(grid: Grid, at: float, *, on: bool) -> CompressorChange:
    """A change at a step, which may lie between two, of the grid."""
    return CompressorChange(float(grid.time_s[0]) + at * grid.step_s, on, WITHIN_STEPS * grid.step_s)


def _cycles(
    grid: Grid, leaving: NDArray[np.float64], found: Sequence[tuple[int, int, bool]]
) -> list[CompressorChange]:
    """The changes of a clutch among swings of the sides: those that cycle."""
    changes = [_change(grid, _onset(leaving, first, last, on=on), on=on) for first, last, on in found]
    spans = [(one.from_s, one.until_s) for one in clutch_cycling(changes)]
    return [change for change in changes if inside(spans, change.at_s)]


def _within(cycled_s: Sequence[float], moment: float) -> bool:
    """Whether a moment lies among changes that are told already."""
    return nearest_s(cycled_s, moment) < SAME_AGAIN_S or (
        bool(cycled_s)
        and cycled_s[0] < moment < cycled_s[-1]
        and nearest_s(cycled_s, moment) < LONGEST_PERIOD_S / 2
    )


def _spans(
    grid: Grid, low: NDArray[np.float64], high: NDArray[np.float64], *, on: bool
) -> list[tuple[int, int, bool]]:
    """First and last step of each stretch in which the sides run together (or apart, ``on``)."""
    sign = -1.0 if on else 1.0
    log_low, log_high, gap = np.log(low), np.log(high), np.maximum(high - low, 1.0)
    found = np.zeros(low.size + 1, dtype=np.intp)
    for seconds in LOOK_AHEAD_S:
        ahead = grid.steps(seconds, at_least=2)
        if low.size <= ahead:
            continue
        low_moves = sign * (log_low[ahead:] - log_low[:-ahead])
        high_moves = sign * (log_high[:-ahead] - log_high[ahead:])
        kept = gap[:-ahead] / gap[ahead:] if on else gap[ahead:] / gap[:-ahead]
        start = np.flatnonzero(
            (low_moves >= LOW_MOVES) & (high_moves >= HIGH_MOVES) & (kept <= 1.0 - GAP_CLOSES)
        )
        np.add.at(found, start, 1)
        np.add.at(found, start + ahead, -1)
    inside = np.flatnonzero(np.cumsum(found[:-1]) > 0)
    if inside.size == 0:
        return []
    groups = np.split(inside, np.flatnonzero(np.diff(inside) > 1) + 1)
    return [(int(group[0]), int(group[-1]) + 1, on) for group in groups]


def _onset(leaving: NDArray[np.float64], first: int, last: int, *, on: bool) -> float:
    """The step at which the sides start to run: back from where they run fastest to where they hardly do.

    A step of the grid is the mean of its samples: how much has moved in the first one tells how early.
    """
    begin = min(max(0, first - 1), leaving.size - 1)
    rate = leaving[begin : max(last, begin + 1)] * (1.0 if on else -1.0)
    held = np.concatenate([rate[:1], rate, rate[-1:]])
    smooth = (held[:-2] + held[1:-1] + held[2:]) / 3.0
    fastest = int(np.argmax(smooth))
    hardly = HARDLY * float(smooth[fastest])
    slow = np.flatnonzero(smooth[: fastest + 1] < hardly)
    start = min(int(slow[-1]) + 1, fastest) if slow.size else 0
    start += int(np.argmax(rate[start : start + 3] >= hardly))
    part = float(np.clip(rate[start] / max(float(smooth[fastest]), 1e-9), 0.0, 1.0))
    return begin + start + 0.5 - 0.5 * part


def _stops(
    grid: Grid, low: NDArray[np.float64], high: NDArray[np.float64], span: slice, *, beside: bool
) -> bool:
    """Whether the sides meet; or, at constant engine speed, part again before they could (cycling)."""
    until = span.start + grid.steps(MEET_WITHIN_S)
    gap = high[span.start : until] - low[span.start : until]
    ratio = high[span.start : until] / low[span.start : until]
    if float(ratio.min()) < MEET_RATIO or float(gap.min()) < (1.0 - GAP_LOST) * float(gap.max()):
        return True
    if beside or grid.engine_rpm is None:
        return False
    lowest = int(np.argmin(gap))
    again = gap[lowest : lowest + grid.steps(PARTS_WITHIN_S)]
    return lowest <= grid.steps(CYCLE_OFF_S) and float(again.max() - again[0]) > PARTS_AGAIN * float(
        gap[: lowest + 1].max() - again[0]
    )


def _starts(low: NDArray[np.float64], high: NDArray[np.float64], span: slice, *, beside: bool) -> bool:
    at_start = float((high[span] / low[span]).min())
    return at_start < (MEET_RATIO if beside else START_RATIO)
