"""Engine-speed steps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.ndimage import median_filter

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .grid import Grid

SMALLEST_STEP_RPM = 150.0
SMALLEST_STEP_FRACTION = 0.15
"""An idle that is raised for the compressor's load moves less than this; a foot on the pedal more."""

REACH_S = 3.0
LEVEL_S = 8.0
CROSSING = 0.4
"""Part of the change at which the step is dated: half a sample after the last one before it."""


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
    if grid.engine_rpm is None or grid.engine_rpm.size < 4:
        return ()
    rpm = median_filter(grid.engine_rpm, size=3, mode="nearest")
    steps = []
    for first, last in _moving(rpm, grid.steps(REACH_S, at_least=2)):
        level = grid.steps(LEVEL_S, at_least=3)
        before = float(np.median(rpm[max(0, first - level) : first + 1]))
        after = float(np.median(rpm[last : last + level + 1]))
        if abs(after - before) >= max(SMALLEST_STEP_RPM, SMALLEST_STEP_FRACTION * min(before, after)):
            span = (float(grid.time_s[first]) - grid.step_s, float(grid.time_s[last]) + grid.step_s)
            steps.append(EngineStep(_crossing(time_s, engine_rpm, span, before, after), before, after))
    return tuple(steps)


def _moving(rpm: NDArray[np.float64], reach: int) -> list[tuple[int, int]]:
    """First and last step of each stretch in which the speed is on its way to another."""
    if rpm.size <= 2 * reach:
        return []
    early, late = rpm[: -2 * reach], rpm[2 * reach :]
    least = np.maximum(0.8 * SMALLEST_STEP_RPM, 0.8 * SMALLEST_STEP_FRACTION * np.minimum(early, late))
    moving = np.flatnonzero(np.abs(late - early) > least)
    if moving.size == 0:
        return []
    groups = np.split(moving, np.flatnonzero(np.diff(moving) > 2) + 1)
    return [(int(group[0]), int(group[-1]) + 2 * reach) for group in groups]


def _crossing(
    time_s: NDArray[np.float64],
    rpm: NDArray[np.float64],
    span: tuple[float, float],
    before: float,
    after: float,
) -> float:
    first, last = np.searchsorted(time_s, span)
    inside = slice(int(first), int(last) + 1)
    finite = np.isfinite(rpm[inside])
    when = time_s[inside][finite]
    progress = (rpm[inside][finite] - before) / (after - before)
    passed = np.flatnonzero(progress >= CROSSING)
    if passed.size == 0 or passed[0] == 0:
        return float(when[passed[0]]) if passed.size else 0.5 * (span[0] + span[1])
    pair = slice(int(passed[0]) - 1, int(passed[0]) + 1)
    return float(np.interp(CROSSING, progress[pair], when[pair]))
