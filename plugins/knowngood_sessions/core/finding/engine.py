"""Engine-speed steps."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from math import sqrt
from typing import TYPE_CHECKING

import numpy as np
from scipy.ndimage import median_filter

from .courses import pressure_log_likelihood
from .digits import coarse_digit
from .grid import noise_sigma
from .onset import Change, onset

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .grid import Grid
    from .onset import LogLikelihood

SMALLEST_STEP_RPM = 150.0
SMALLEST_STEP_FRACTION = 0.15
"""An idle that is raised for the compressor's load moves less than this; a foot on the pedal more."""

REACH_S = 3.0
LEVEL_S = 8.0


@dataclass(frozen=True, slots=True)
class EngineStep:
    """The engine goes from one speed to another; ``at_s`` counts from the recording's first sample.

    The moment lies within ``within_s`` either way with a probability of 95 %.
    """

    at_s: float
    from_rpm: float
    to_rpm: float
    within_s: float = 0.0


def engine_steps(
    grid: Grid,
    time_s: NDArray[np.float64],
    engine_rpm: NDArray[np.float64],
    low_pa: NDArray[np.float64] | None = None,
    high_pa: NDArray[np.float64] | None = None,
) -> tuple[EngineStep, ...]:
    """Steps between two engine speeds that are held for some seconds; a blip of the pedal is none.

    Parameters
    ----------
    grid
        The even grid on which the steps are searched.
    time_s, engine_rpm
        The samples as recorded, (n,), from which the moment of a step is read.
    low_pa, high_pa
        The sides as recorded, (n,): they tell more of it where the engine is sampled seldom.
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
    if not steps.any():
        return ()
    noise_rpm = noise_sigma(engine_rpm[np.isfinite(engine_rpm)])
    sides = ((low_pa, False), (high_pa, True))
    others = [_side_likelihood(time_s, pa, rises=rises) for pa, rises in sides if pa is not None]
    found = []
    for i in np.flatnonzero(steps).tolist():
        span = float(grid.time_s[first[i]]) - grid.step_s, float(grid.time_s[last[i]]) + grid.step_s
        levels = float(before[i]), float(after[i])
        moment = onset(time_s, engine_rpm, Change(span, *levels, noise_rpm), others)
        found.append(EngineStep(moment.at_s, *levels, moment.within_s))
    return tuple(found)


def _side_likelihood(time_s: NDArray[np.float64], pa: NDArray[np.float64], *, rises: bool) -> LogLikelihood:
    """What a side says about onsets; a coarse last digit counts as its noise."""
    seen = pa[np.isfinite(pa)]
    noise_pa = max(noise_sigma(seen), (coarse_digit(seen) or 0.0) / sqrt(12.0))
    return partial(pressure_log_likelihood, rises=rises, time_s=time_s, pa=pa, noise_pa=noise_pa)


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
