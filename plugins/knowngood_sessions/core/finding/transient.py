"""What the low side did for a moment between two steady windows."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from scipy.ndimage import uniform_filter1d

if TYPE_CHECKING:
    from collections.abc import Sequence

    from .grid import Grid
    from .response import Settled

SMOOTH_S = 3.0
LOWER_SIGMAS = 4.0


def low_side_dip(
    grids: Sequence[Grid], settled: Sequence[Settled], from_s: float, to_s: float
) -> float | None:
    """By which part of itself the low side went below the lower of two levels between their windows.

    None where the windows that start at ``from_s`` and ``to_s`` do not follow one another in one stretch of
    the recording, or where it is nothing but noise.
    """
    pairs = pairwise(one.window for one in settled)
    pair = next((two for two in pairs if (two[0].start_s, two[1].start_s) == (from_s, to_s)), None)
    inside = [grid for grid in grids if grid.time_s[0] <= from_s and to_s <= grid.time_s[-1]]
    if pair is None or not inside or inside[0].low_pa is None:
        return None
    grid, low = inside[0], inside[0].low_pa
    smooth = uniform_filter1d(low, grid.steps(SMOOTH_S), mode="nearest")
    parts = [slice(grid.index(one.start_s), grid.index(one.end_s) + 1) for one in pair]
    lower = min(float(np.mean(smooth[part])) for part in parts)
    noise = max(float(np.std(smooth[part])) for part in parts)
    between = smooth[parts[0].stop : parts[1].start]
    depth = lower - float(between.min()) if between.size else 0.0
    return depth / lower if depth > LOWER_SIGMAS * noise and lower > 0.0 else None
