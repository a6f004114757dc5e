"""What the low side says about a step of the high side: with a fan stage it follows later, and by less."""

from __future__ import annotations

from bisect import bisect_left
from typing import TYPE_CHECKING

import numpy as np
from scipy.ndimage import uniform_filter1d

from .sides import to_and_fro

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from .sides import Sides, Track

CALM_S = 40.0
LOW_SAME = 0.65
LOW_OPPOSITE = 0.6
LOW_OPPOSITE_TO_AND_FRO = 1.2
LOW_FOLLOWS_S = 16.0
"""How far the low side may go within these seconds, as part of the high side's step: the same way, the
other way, and that soon after an engine-speed step or a compressor change."""

LEAD_S, CALM_BEFORE_S, COURSE_S = (1.0, 4.0), (-8.0, -4.0), (-14.0, -10.0)
LOW_LEADS, LOW_LEADS_FROM = 0.8, 0.025
EARLIER_S, USUAL = (20, 64), 1.3
"""What the low side does in the first seconds counts where it is more than it did some while before, too: a
low side that hunts moves first at every step."""


def low_agrees(sides: Sides, at: NDArray[np.intp], change: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Whether the low side follows as it does with a fan stage: later, and by less."""
    low = sides.low
    if low is None or at.size == 0:
        return np.ones(at.size, dtype=bool)
    grid, way, size = sides.grid, np.sign(change), np.abs(change)
    noise = 2.0 * low.noise
    reach = np.minimum(np.arange(grid.steps(LOW_FOLLOWS_S) + 1), sides.calm_steps(at)[:, None] - 2)
    smooth = uniform_filter1d(low.values, 3, mode="nearest")
    followed = smooth[np.clip(at[:, None] + reach, 0, smooth.size - 1)]
    gone = way[:, None] * (followed - sides.mean(low, at, -6.0, 0.0)[:, None])
    corner = to_and_fro(sides, at, change)
    calm = np.array([not _stirred(sides.disturbed_s, float(grid.time_s[i])) for i in at])
    opposite = np.where(corner & calm, LOW_OPPOSITE_TO_AND_FRO, LOW_OPPOSITE)
    within = gone.max(axis=1) <= LOW_SAME * size + noise
    within &= -gone.min(axis=1) <= opposite * size + noise
    return np.asarray(within & (corner | ~_low_leads(sides, low, at, noise)))


def _low_leads(sides: Sides, low: Track, at: NDArray[np.intp], noise: float) -> NDArray[np.bool_]:
    """Whether the low side moved by more than the high side did, right at the beginning."""
    least = np.maximum(LOW_LEADS_FROM, LOW_LEADS * _early(sides, sides.high, at)) + 0.5 * noise
    earlier = np.maximum(at[:, None] - sides.grid.steps(1.0) * np.arange(*EARLIER_S, 4), 0)
    usual = np.percentile(_early(sides, low, earlier), 90.0, axis=1)
    return np.asarray(_early(sides, low, at) > np.maximum(least, USUAL * usual))


def _early(sides: Sides, side: Track, at: NDArray[np.intp]) -> NDArray[np.float64]:
    """By how much a side leaves both their level and their course in the first seconds."""
    early, rest, course = (sides.mean(side, at, *span) for span in (LEAD_S, CALM_BEFORE_S, COURSE_S))
    moved = early - rest
    gone_on = (sum(LEAD_S) - sum(CALM_BEFORE_S)) / (sum(CALM_BEFORE_S) - sum(COURSE_S)) * (rest - course)
    return np.asarray(np.minimum(np.abs(moved), np.abs(moved - gone_on)))


def _stirred(disturbed_s: Sequence[float], at_s: float) -> bool:
    i = bisect_left(disturbed_s, at_s)
    return i > 0 and at_s - disturbed_s[i - 1] <= CALM_S
