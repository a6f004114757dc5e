"""Fan steps between two of the same direction, where the corner itself is too blunt to be fitted.

A high side that fell with a stage, rose again to where it had fallen from, and fell with a stage once more,
the engine and the compressor left alone: the fan was let go in between, where the high side turned (common
practice, no source). So the other way round.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from scipy.ndimage import uniform_filter1d

from .fan_low_side import low_agrees
from .fan_step import FanStep, seen_within_s
from .moments import inside, nearest_s
from .sides import SMALLEST_STEP

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from .sides import Sides

LONGEST_S = 300.0
CLEAR_S = 4.0
BEFORE_S = 4.0
CALM_STEPS = 2
HARDLY = 0.08
"""Part of the way up that a high side at rest may have wandered before it sets off."""

SAME = 0.04
"""Logarithm of the high side by which two places where it turned may differ and count as one."""

NOISES = 4.0
FOLLOWED_S = 14.0


def steps_between(sides: Sides, steps: Sequence[FanStep]) -> tuple[FanStep, ...]:
    """The steps, in order of time, and those that must have come between two of the same direction."""
    smooth = uniform_filter1d(sides.high.values, 3, mode="nearest")
    found = [_between(sides, smooth, one, other) for one, other in pairwise(steps) if one.up is other.up]
    return tuple(sorted((*steps, *(one for one in found if one is not None)), key=lambda one: one.at_s))


def _between(sides: Sides, smooth: NDArray[np.float64], one: FanStep, other: FanStep) -> FanStep | None:
    grid = sides.grid
    if other.at_s - one.at_s > LONGEST_S:
        return None
    way = 1.0 if one.up else -1.0
    first, last = grid.index(one.at_s), grid.index(other.at_s)
    course = way * smooth[first : last + 1]
    deep = min(float(course[0]), float(course[-1])) - float(course.min())
    turned = first + int(np.flatnonzero(course <= course.min() + HARDLY * deep)[-1])
    at_s = float(grid.time_s[turned])
    if nearest_s((one.at_s, other.at_s), at_s) < CLEAR_S or _disturbed(sides, one.at_s, at_s):
        return None
    # Before anything else happens it must have come back far enough.
    calm = turned + int(sides.calm_steps(np.array([turned]))[0]) - CALM_STEPS
    back = way * float(smooth[min(calm, last)] - smooth[turned])
    least = max(SMALLEST_STEP, NOISES * sides.high.noise)
    if abs(float(course[0] - course[-1])) > SAME or min(deep, back) < least:
        return None
    until = min(turned + grid.steps(FOLLOWED_S), calm, last)
    change = np.array([smooth[until] - smooth[turned]])
    if not low_agrees(sides, np.array([turned]), change)[0]:
        return None
    return FanStep(at_s, not one.up, within_s=seen_within_s(grid, up=not one.up))


def _disturbed(sides: Sides, from_s: float, until_s: float) -> bool:
    return any(inside([(from_s, until_s)], one, BEFORE_S) for one in sides.disturbed_s)
