"""Engine-speed steps."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot
from typing import TYPE_CHECKING

import numpy as np
from scipy.ndimage import median_filter

from .grid import noise_sigma

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .grid import Grid

SMALLEST_STEP_RPM = 150.0
SMALLEST_STEP_FRACTION = 0.15
"""An idle that is raised for the compressor's load moves less than this; a foot on the pedal more."""

REACH_S = 3.0
LEVEL_S = 8.0
LOWER, UPPER = 0.2, 0.6
"""Parts of the change through which a line is drawn back to its onset: a ramp's exactly, a lag's nearly."""

FEW_SAMPLES = 4
SIGMAS = 5.0
LEAST_MOVE, MOST_MOVE = 0.02, 0.06
"""Part of the change that tells a sample on the way from one at rest: as little as its noise allows."""

LASTS_S = np.geomspace(0.5, 6.0, 12)
LAGS = 3.0
"""How long an engine takes to its new speed, a lag to within 5 % of it: three time constants."""

ONSETS = np.linspace(0.0, 1.0, 25)
BEFORE_REST = 0.6
"""Part of the time between two samples by which an onset may lie before the last that seems at rest."""

LOOKED_AT = 4
MODEL_OFF = 0.02
FREEDOM = 3.0
NOTHING_TELLS = 0.45


@dataclass(frozen=True, slots=True)
class EngineStep:
    """The engine goes from one speed to another; ``at_s`` counts from the recording's first sample."""

    at_s: float
    from_rpm: float
    to_rpm: float


def engine_steps(
    grid: Grid, time_s: NDArray[np.float64], engine_rpm: NDArray[np.float64]
) -> tuple[EngineStep, ...]:
    """Steps between two engine speeds that are held for some seconds; a blip of the pedal is none.

    Parameters
    ----------
    grid
        The even grid on which the steps are searched.
    time_s, engine_rpm
        The samples as recorded, (n,), from which the moment of a step is read.
    """
    if grid.engine_rpm is None or grid.engine_rpm.size <= 2 * grid.steps(REACH_S, at_least=2):
        return ()
    rpm = median_filter(grid.engine_rpm, size=3, mode="nearest")
    first, last = _moving(rpm, grid.steps(REACH_S, at_least=2))
    level = np.arange(grid.steps(LEVEL_S, at_least=3) + 1)
    before, after = (
        np.median(rpm[np.clip(edge[:, None] + way * level, 0, rpm.size - 1)], axis=1)
        for edge, way in ((first, -1), (last, 1))
    )
    size = np.abs(after - before)
    steps = size >= np.maximum(SMALLEST_STEP_RPM, SMALLEST_STEP_FRACTION * np.minimum(before, after))
    move = np.clip(SIGMAS * noise_sigma(engine_rpm) / np.maximum(size, 1.0), LEAST_MOVE, MOST_MOVE)
    found = []
    for i in np.flatnonzero(steps).tolist():
        span = float(grid.time_s[first[i]]) - grid.step_s, float(grid.time_s[last[i]]) + grid.step_s
        levels = float(before[i]), float(after[i])
        found.append(EngineStep(_onset(time_s, engine_rpm, span, *levels, float(move[i])), *levels))
    return tuple(found)


def _moving(rpm: NDArray[np.float64], reach: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """First and last step, both (k,), of each stretch in which the speed is on its way to another."""
    early, late = rpm[: -2 * reach], rpm[2 * reach :]
    least = np.maximum(0.8 * SMALLEST_STEP_RPM, 0.8 * SMALLEST_STEP_FRACTION * np.minimum(early, late))
    moving = np.flatnonzero(np.abs(late - early) > least)
    if moving.size == 0:
        return moving, moving
    cuts = np.flatnonzero(np.diff(moving) > 2)
    first = moving[np.concatenate([[0], cuts + 1])]
    return first, moving[np.concatenate([cuts, [moving.size - 1]])] + 2 * reach


def _onset(
    time_s: NDArray[np.float64],
    rpm: NDArray[np.float64],
    span: tuple[float, float],
    before: float,
    after: float,
    move: float,
) -> float:
    """When the engine leaves its speed: between two samples where it is on the way for a few of them only."""
    first, last = np.searchsorted(time_s, span)
    inside = slice(int(first), int(last) + 1)
    finite = np.isfinite(rpm[inside])
    when = time_s[inside][finite]
    progress = (rpm[inside][finite] - before) / (after - before)
    passed = int(np.argmax(progress >= UPPER)) if progress.size else 0
    still = np.flatnonzero(progress[:passed] < LOWER)
    if still.size == 0:
        return (
            float(when[passed]) if progress.size and progress[passed] >= UPPER else 0.5 * (span[0] + span[1])
        )
    rest = int(still[-1])
    unmoved = np.flatnonzero(progress[: rest + 1] < move)
    at_rest = int(unmoved[-1]) if unmoved.size else rest
    if passed - at_rest > FEW_SAMPLES:
        lower, upper = (
            float(np.interp(level, progress[i - 1 : i + 1], when[i - 1 : i + 1]))
            for level, i in ((LOWER, rest + 1), (UPPER, passed))
        )
        return max(lower - (upper - lower) * LOWER / (UPPER - LOWER), float(when[0]))
    return _between(when, progress, at_rest, rest + 1, move)


def _between(
    when: NDArray[np.float64], progress: NDArray[np.float64], rest: int, moved: int, move: float
) -> float:
    """The onset after a sample at rest and before one that moved, from how the few samples after it go on.

    The mean over the onsets of ramps and lags of all lengths, each as likely as it makes the samples. Where
    the next sample is there already nothing tells, and it may as well have been quick.
    """
    gap_s = float(when[moved] - when[moved - 1])
    if moved == rest + 1 and progress[moved] >= 1.0 - move:
        return float(when[rest]) + NOTHING_TELLS * gap_s
    earliest_s = float(when[rest]) - BEFORE_REST * gap_s
    onsets = earliest_s + (float(when[moved]) - earliest_s) * ONSETS
    seen = slice(max(rest - 1, 0), moved + LOOKED_AT)
    lasted = np.maximum(when[seen] - onsets[:, None], 0.0) / LASTS_S[:, None, None]
    off = np.stack([np.minimum(lasted, 1.0), 1.0 - np.exp(-LAGS * lasted)]) - progress[seen]
    # Student's t: an engine that overshoots or sags is no ramp, but not impossible either.
    unlikely = np.log1p((off / hypot(move / SIGMAS, MODEL_OFF)) ** 2 / FREEDOM).sum(axis=-1)
    likely = LASTS_S[:, None] * np.exp(-0.5 * (FREEDOM + 1.0) * (unlikely - unlikely.min()))
    return float((likely * onsets).sum() / likely.sum())
