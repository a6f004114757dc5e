"""Fan-stage steps: the high side takes another course within seconds while the engine holds its speed.

A fan stage changes the air over the condenser at once, so the high side starts to move with a kink and is
most of the way within ten seconds; where the fan goes to and fro by the high side itself, the trace is a
saw-tooth with a stage at each corner. What looks alike is told apart by the low side and by time:

- the compressor going off line moves the low side as well, the other way;
- a change of blower, or of the load, reaches the high side through the low side, which moves first;
- a control that catches itself after an engine-speed step moves the low side back, against the high side;
- ambient air, sun, or a fan without stages bend the high side, or take longer;
- a step that falls together with an engine-speed step cannot be seen as a kink of its own. But with the
  air over the condenser unchanged a faster engine never lowers the high side and a slower one never raises
  it (common practice, no source): see `fan_with_engine`.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from .fan_between import steps_between
from .fan_low_side import low_agrees
from .fan_step import FanStep, seen_within_s
from .kinks import ONSETS, candidates, fitted, span_shape, turning
from .moments import inside, nearest_s
from .sides import DETECTED_FROM, SMALLEST_STEP, Sides, to_and_fro, track

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from .engine import EngineStep
    from .grid import Grid
    from .kinks import Fit, Shape

LARGEST_STEP = 0.7
"""More than a fan does, from hardly any air to all (0.45): a sensor that fell out."""

APART_S = 6.0
ENGINE_HOLDS_S, ENGINE_MOVES_RPM, ENGINE_MOVES = 6.0, 100.0, 0.08
MOVES_WITHIN_S = 8.0
SOON_S = (10.0, 14.0)
LATER = ((30.0, 40.0, 1.75, 1.92), (45.0, 60.0, 1.95, 2.15))
"""From when to when the high side is looked at again, and how much further than soon after the step it may
have gone by then, falling and rising, as part of what it had done: with less air over it a condenser takes
longer. The later look tells more, where nothing else happens before it."""

CLEAR_KINK, LONGER = 0.2, 1.25
"""A rise whose kink leaves so little of what a parabola leaves may go on for longer: nothing else sets off so
sharply and goes on so slowly as a condenser that has lost air."""

LASTING = 0.6 * SMALLEST_STEP
AT_ONCE, AT_ONCE_IF_SHARP, SHARP = 0.6, 0.56, 0.1
"""Least part of the way, of where it is after 10 to 14 s, that the high side has gone after 8 s; a little
less will do where the kink leaves hardly anything of what a parabola leaves."""

SIGMAS_MOVED = 3.5
OF_A_BEND_WITHOUT_NOISE = 0.7
OF_A_BEND_AT_A_CORNER, LARGE = 1.2, 0.1
"""A large corner of a saw-tooth counts, too, where the fan's run-up has rounded it to a parabola."""


@dataclass(frozen=True, slots=True)
class Span:
    """A window about a candidate, and what a kink must be to count when it is seen through it alone."""

    from_s: float
    to_s: float
    sigmas: float
    of_a_bend: float
    moves: float


SPANS = (
    Span(-18.0, 14.0, 4.0, 0.8, 0.02),
    Span(-10.0, 14.0, 4.0, 0.75, 0.02),
    Span(-10.0, 9.0, 6.0, 0.6, 0.035),
    Span(-6.0, 9.0, 6.0, 0.6, 0.035),
)
"""Tried in this order; the shorter ones are for kinks with another disturbance near."""


def fan_steps(
    grid: Grid,
    engine: Sequence[EngineStep],
    compressor_s: Sequence[float],
    cycling_s: Sequence[tuple[float, float]] = (),
) -> tuple[FanStep, ...]:
    """Fan-stage steps in order of time.

    Parameters
    ----------
    engine
        Engine-speed steps of the session.
    compressor_s
        Moments at which the compressor went off line or back; nothing is read beside them.
    cycling_s
        Stretches of clutch cycling, in which no stage can be told.
    """
    if grid.high_pa is None or grid.high_pa.size < 16:
        return ()
    high = track(grid, grid.high_pa)
    low = None if grid.low_pa is None else track(grid, grid.low_pa)
    disturbed = tuple(sorted((*(step.at_s for step in engine), *compressor_s)))
    sides = Sides(grid, high, low, disturbed, turning(grid, high.values))
    found = [one for one in _kinks(sides) if not inside(cycling_s, one[0].at_s)]
    found.sort(key=lambda one: -one[1])
    taken: list[float] = []
    kept = []
    for step, _ in found:
        if nearest_s(taken, step.at_s) >= APART_S:
            taken.insert(bisect_left(taken, step.at_s), step.at_s)
            kept.append(step)
    steps = sorted(_while_engine_holds(grid, kept), key=lambda one: one.at_s)
    return tuple(one for one in steps_between(sides, steps) if not inside(cycling_s, one.at_s))


def _kinks(sides: Sides) -> list[tuple[FanStep, float]]:
    """Fan steps, each with its size, from the longest window that shows them."""
    left = candidates(sides.high.values, sides.turns)
    found: list[tuple[FanStep, float]] = []
    for span in SPANS:
        form = span_shape(sides.grid, span.from_s, span.to_s)
        clear = _clear(sides, left, form)
        if not clear.any():
            continue
        fit = fitted(form, sides.high.values, left[clear])
        at = left[clear] + fit.onset
        good = _like_a_kink(sides, at, fit, span) & _goes_on(sides, at, fit, span.moves)
        good[good] = low_agrees(sides, at[good], fit.change[good])
        moments_s, change = sides.grid.time_s[at[good]].tolist(), fit.change[good].tolist()
        found += [
            (FanStep(at_s, up=size < 0.0, within_s=seen_within_s(sides.grid, up=size < 0.0)), abs(size))
            for at_s, size in zip(moments_s, change, strict=True)
        ]
        rest = np.ones(left.size, dtype=bool)
        rest[np.flatnonzero(clear)[good]] = False
        left = left[rest]
    return found


def _clear(sides: Sides, at: NDArray[np.intp], form: Shape) -> NDArray[np.bool_]:
    """Whether a candidate's window lies inside the grid and holds no other disturbance."""
    held: NDArray[np.bool_] = (at >= form.before) & (at + form.after < sides.high.values.size)
    if not sides.disturbed_s:
        return held
    ordered = (np.array(sides.disturbed_s) - sides.grid.time_s[0]) / sides.grid.step_s
    first = np.searchsorted(ordered, at - form.before - 1.0)
    last = np.searchsorted(ordered, at + form.after + 1.0)
    return np.asarray(held & (first == last))


def _like_a_kink(sides: Sides, at: NDArray[np.intp], fit: Fit, span: Span) -> NDArray[np.bool_]:
    corner = to_and_fro(sides, at, fit.change)
    of_a_bend = np.where(fit.beyond_noise & ~corner, OF_A_BEND_WITHOUT_NOISE, span.of_a_bend)
    of_a_bend[corner & (np.abs(fit.change) >= LARGE)] = OF_A_BEND_AT_A_CORNER
    return np.asarray(
        (np.abs(fit.change) >= DETECTED_FROM)
        & (np.abs(fit.change) <= LARGEST_STEP)
        & (np.abs(fit.size) >= span.sigmas * fit.error)
        & (fit.of_a_bend <= of_a_bend)
        & (np.abs(fit.onset) < ONSETS[-1])
    )


def _goes_on(sides: Sides, at: NDArray[np.intp], fit: Fit, least: float) -> NDArray[np.bool_]:
    """Whether the high side really moves the kink's way, at once, and does not go on and on as a slow one."""
    way, high = np.sign(fit.change), sides.high
    noise = high.noise
    turned = sides.mean(high, at, -1.0, 1.0)
    before = sides.mean(high, at, -6.0, -1.0)
    moved = sides.mean(high, at, MOVES_WITHIN_S - 1.0, MOVES_WITHIN_S + 1.0) - turned
    soon = way * (sides.mean(high, at, *SOON_S) - before)
    lasts = (soon >= LASTING) | (sides.calm_steps(at) < sides.grid.steps(SOON_S[1]))
    share = np.where(fit.of_a_bend <= SHARP, AT_ONCE_IF_SHARP, AT_ONCE)
    at_once = way * moved >= np.maximum(max(least, SIGMAS_MOVED * noise), share * soon - 2.0 * noise)
    # A rise that follows a fall is counted from where it turned.
    level = np.where(to_and_fro(sides, at, fit.change) & (way > 0.0), turned, before)
    return np.asarray(at_once & lasts & ~_slow(sides, at, way, level, fit.of_a_bend))


def _slow(
    sides: Sides,
    at: NDArray[np.intp],
    way: NDArray[np.float64],
    level: NDArray[np.float64],
    of_a_bend: NDArray[np.float64],
) -> NDArray[np.bool_]:
    """Whether the high side goes on and on from its level, as far as other happenings let that be seen."""
    soon = way * (sides.mean(sides.high, at, *SOON_S) - level)
    longer = np.where(of_a_bend <= CLEAR_KINK, LONGER, 1.0)
    opposite = np.flatnonzero(np.abs(sides.turns) >= 0.5 * SMALLEST_STEP)
    slow = np.zeros(at.size, dtype=bool)
    for from_s, to_s, falling, rising in LATER:
        reach = sides.grid.steps(to_s)
        seen = (sides.calm_steps(at) >= reach) & ~_turns_back(sides.turns, opposite, at, way, reach)
        late = way * (sides.mean(sides.high, at, from_s, to_s) - level)
        most = np.where(way > 0.0, longer * rising, falling)
        slow = np.where(seen, late > most * soon, slow)
    return np.asarray(slow)


def _turns_back(
    turns: NDArray[np.float64],
    large: NDArray[np.intp],
    at: NDArray[np.intp],
    way: NDArray[np.float64],
    reach: int,
) -> NDArray[np.bool_]:
    """Whether the high side turns the other way again within so many steps, as at a next stage."""
    first = np.searchsorted(large, at + 3)
    last = np.searchsorted(large, at + reach)
    back = np.cumsum(np.concatenate([[0], turns[large] < 0.0]))
    falls = back[last] - back[first]
    return np.asarray(np.where(way > 0.0, falls > 0, (last - first) - falls > 0))


def _while_engine_holds(grid: Grid, steps: Sequence[FanStep]) -> list[FanStep]:
    """The steps about which the engine keeps its speed, as far as that is known."""
    rpm = grid.engine_rpm
    if rpm is None or not steps:
        return list(steps)
    at = np.array([grid.index(one.at_s) for one in steps], dtype=np.intp)[:, None]
    span = np.arange(grid.steps(ENGINE_HOLDS_S) + 1)
    before, after = (np.median(rpm[np.clip(at + way * span, 0, rpm.size - 1)], axis=1) for way in (-1, 1))
    holds = np.abs(after - before) <= np.maximum(ENGINE_MOVES_RPM, ENGINE_MOVES * before)
    return [one for one, held in zip(steps, holds, strict=True) if held]
