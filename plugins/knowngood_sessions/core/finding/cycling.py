"""A clutch that cycles: the two pressures run apart and together again, time after time.

Where the clutch lets go for some seconds only, the sides neither meet nor settle, and the single changes
are too short to be told by themselves. But over several cycles the ratio of the sides swings between two
levels, the low side rising whenever the high side falls.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import TYPE_CHECKING

import numpy as np
from scipy.ndimage import maximum_filter1d, minimum_filter1d

from .moments import nearest_s

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from numpy.typing import NDArray

    from .compressor import CompressorChange
    from .engine import EngineStep
    from .grid import Grid

NEIGHBOURHOOD_S = 130.0
RATIO_SWINGS = 0.30
LEG_SHARE = 0.35
LOW_SWINGS = 0.15
HIGH_SWINGS = 0.02
"""Least swings of the logarithms; hunting moves the low side by less, a fan the high side alone."""

ENGINE_WITHIN_S = 4.0
ENGINE_SHARE = 0.4
LEAST_CYCLES = 3
LONGEST_PERIOD_S = 240.0
QUICK_PERIOD_S = 100.0
REGULAR, UNLIKE, STRAY_IN = 0.45, 0.4, 10
FACTOR_OF_TWO = 2.2
MOMENT_ERROR_S = 0.5
FURTHEST, AKIN = 1.2, 1.75
"""How far off, in periods, the first or last change may lie; and the factor by which periods may differ that
are averaged: one in which a change was missed tells nothing of the others."""


@dataclass(frozen=True, slots=True)
class Cycling:
    """The clutch lets go and takes hold over and over from ``from_s`` to ``until_s``.

    ``period_s`` is the mean time from one letting go to the next with its standard uncertainty,
    ``on_fraction`` the part of it in which the clutch holds.
    """

    from_s: float
    until_s: float
    period_s: float
    period_uncertainty_s: float
    on_fraction: float
    cycles: int


def swings(grid: Grid, engine: Sequence[EngineStep]) -> list[tuple[int, int, bool]]:
    """First and last step of each swing of the sides toward one another (False) or apart (True), in order.

    Only where they do so `LEAST_CYCLES` times in a row or more, and the engine holds its speed.
    """
    if grid.low_pa is None or grid.high_pa is None or grid.time_s.size < 8:
        return []
    log_low, log_high = (np.log(np.maximum(side, 1.0)) for side in (grid.low_pa, grid.high_pa))
    turns = _turns(grid, log_high - log_low)
    if turns.size < 2 * LEAST_CYCLES:
        return []
    swing_low, swing_high = np.diff(log_low[turns]), np.diff(log_high[turns])
    opposite = (swing_low * swing_high < 0.0) & (np.abs(swing_low) >= LOW_SWINGS)
    opposite &= np.abs(swing_high) >= HIGH_SWINGS
    lasts = np.diff(turns) * grid.step_s
    legs = opposite & (lasts <= LONGEST_PERIOD_S)
    engine_s = [step.at_s for step in engine]
    found: list[tuple[int, int, bool]] = []
    for is_leg, group in groupby(range(legs.size), key=lambda i: bool(legs[i])):
        run = list(group)
        if is_leg and len(run) >= 2 * LEAST_CYCLES - 1:
            ends = turns[run[0] : run[-1] + 2]
            if _by_engine(grid, ends, engine_s) <= ENGINE_SHARE:
                found += [(int(turns[i]), int(turns[i + 1]), bool(swing_low[i] < 0.0)) for i in run]
    return found


def _turns(grid: Grid, ratio: NDArray[np.float64]) -> NDArray[np.intp]:
    """Where the ratio turns: the extremes between its passages through the middle of its neighbourhood."""
    width = grid.steps(NEIGHBOURHOOD_S)
    top, bottom = maximum_filter1d(ratio, width), minimum_filter1d(ratio, width)
    swing = top - bottom
    above = ratio - 0.5 * (top + bottom)
    wide = swing >= RATIO_SWINGS
    state = np.where(wide & (above > 0.5 * LEG_SHARE * swing), 1, 0)
    state[wide & (above < -0.5 * LEG_SHARE * swing)] = -1
    told = np.flatnonzero(state)
    if told.size < 2:
        return np.empty(0, dtype=np.intp)
    starts = told[np.concatenate([[True], np.diff(state[told]) != 0])]
    ends = np.append(starts[1:], ratio.size)
    last_told = told[np.searchsorted(told, ends) - 1]
    turns = [
        first + int(np.argmax(state[first] * ratio[first : last + 1]))
        for first, last in zip(starts.tolist(), last_told.tolist(), strict=True)
    ]
    return np.array(turns, dtype=np.intp)


def _by_engine(grid: Grid, turns: NDArray[np.intp], engine_s: Sequence[float]) -> float:
    """The part of the turns that fall together with an engine-speed step."""
    beside = [nearest_s(engine_s, float(grid.time_s[i])) <= ENGINE_WITHIN_S for i in turns]
    return float(np.mean(beside))


def clutch_cycling(changes: Sequence[CompressorChange]) -> tuple[Cycling, ...]:
    """Stretches in which compressor changes follow one another like a clock's.

    One alone, or a few by hand at times of their own, make no cycling.
    """
    found = []
    for run in _runs(changes):
        if len(run) < 2 * LEAST_CYCLES:
            continue
        held = _without_ends(run, float(np.median(_periods(run))))
        most = (len(held) + 1) // 2
        if len(held) < 2 * LEAST_CYCLES or not _regular(_periods(held)):
            continue
        if most <= LEAST_CYCLES and float(np.median(_periods(held))) > QUICK_PERIOD_S:
            continue
        found.append(_cycling(held, _periods(held)))
    return tuple(found)


def _periods(run: Sequence[CompressorChange]) -> NDArray[np.float64]:
    """From each change of a run that alternates to the next one of its kind, (k,)."""
    moments = np.array([one.at_s for one in run])
    return np.asarray(moments[2:] - moments[:-2])


def _runs(changes: Sequence[CompressorChange]) -> Iterable[list[CompressorChange]]:
    """Stretches of alternating changes, none longer after the one before than half the longest period."""
    run: list[CompressorChange] = []
    for change in changes:
        if run and (change.on is run[-1].on or change.at_s - run[-1].at_s > LONGEST_PERIOD_S / 2):
            yield run
            run = []
        run.append(change)
    yield run


def _regular(periods: NDArray[np.float64]) -> bool:
    median = float(np.median(periods))
    near = (periods > median / FACTOR_OF_TWO) & (periods < median * FACTOR_OF_TWO)
    scatter = float(np.median(np.abs(periods - median)))
    off = np.sort(np.abs(np.log(periods / median)))[: periods.size - periods.size // STRAY_IN]
    alike = float(np.sqrt(np.mean(off**2))) <= UNLIKE
    return alike and bool(near.mean() >= 0.8) and scatter <= REGULAR * median


def _without_ends(run: Sequence[CompressorChange], period_s: float) -> Sequence[CompressorChange]:
    """The changes without those, first or last, that lie further off than a period."""
    held = list(run)
    while len(held) > 1 and held[1].at_s - held[0].at_s > FURTHEST * period_s:
        del held[0]
    while len(held) > 1 and held[-1].at_s - held[-2].at_s > FURTHEST * period_s:
        del held[-1]
    return held


def _cycling(run: Sequence[CompressorChange], periods: NDArray[np.float64]) -> Cycling:
    first, last = (next(i for i in order if run[i].on) for order in (range(len(run)), range(len(run))[::-1]))
    whole_s = run[last].at_s - run[first].at_s
    held = sum(b.at_s - a.at_s for a, b in pairwise(run[first : last + 1]) if a.on)
    periods = periods[np.abs(np.log(periods / np.median(periods))) <= np.log(AKIN)]
    count = periods.size
    return Cycling(
        run[0].at_s,
        run[-1].at_s,
        float(periods.mean()),
        float(np.hypot(periods.std(), MOMENT_ERROR_S) / np.sqrt(count / 2.0)),
        held / whole_s,
        sum(not one.on for one in run),
    )
