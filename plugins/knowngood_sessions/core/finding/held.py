"""Whether both sides still held their level when the engine changed its speed."""

from __future__ import annotations

from bisect import bisect_left
from math import hypot, log
from typing import TYPE_CHECKING

from knowngood_refdata.records import Quantity

from .trend import mean_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    from knowngood_refdata.records import SteadyWindow

    from .grid import Grid

LOOKED_AT_S = (8.0, 20.0)
LEFT_FROM = 0.025
"""Least change of a logarithm that counts as having left the level: the band of a steady pressure."""

SIGMAS = 3.0
KEPT_CLEAR_S = 1.5


def left_before_engine(
    grids: Sequence[Grid], engine_s: Sequence[float], one: SteadyWindow, other: SteadyWindow
) -> bool:
    """Whether a side had left the earlier window's level when the engine next changed its speed.

    Then something else had changed as well, the blower say, and the later window differs for two reasons.
    False where the engine did not change between the windows, or soon after the earlier one.

    Parameters
    ----------
    engine_s
        Moments of the engine-speed steps, in order of time.
    """
    first, second = sorted((one, other), key=lambda window: window.start_s)
    at = bisect_left(engine_s, first.end_s)
    if at == len(engine_s) or engine_s[at] > second.start_s:
        return False
    until_s = engine_s[at] - KEPT_CLEAR_S
    from_s = max(first.end_s, until_s - LOOKED_AT_S[1])
    grid = next((grid for grid in grids if grid.time_s[0] <= from_s and until_s <= grid.time_s[-1]), None)
    if grid is None or until_s - from_s < LOOKED_AT_S[0]:
        return False
    part = slice(grid.index(from_s), grid.index(until_s))
    sides = ((Quantity.LOW_SIDE, grid.low_pa), (Quantity.HIGH_SIDE, grid.high_pa))
    return any(_left(first, side, values[part]) for side, values in sides if values is not None)


def _left(window: SteadyWindow, side: Quantity, seen: NDArray[np.float64]) -> bool:
    settled = window.values.get(side)
    if settled is None or seen.size == 0:
        return False
    level = mean_of(seen)
    if min(level, settled.value) <= 0.0:
        return False
    behaved = window.behaviour.get(side)
    noise = 0.0 if behaved is None else hypot(behaved.spread, behaved.amplitude or 0.0) / level
    return abs(log(level / settled.value)) > LEFT_FROM + SIGMAS * noise * float(seen.size**-0.5)
