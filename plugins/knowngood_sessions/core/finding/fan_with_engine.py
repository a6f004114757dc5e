"""Fan-stage steps that fall together with an engine-speed step, where no kink of their own can be fitted."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from typing import TYPE_CHECKING

import numpy as np
from scipy.ndimage import uniform_filter1d

from .fan_step import FanStep, seen_within_s
from .grid import slow_noise
from .sides import SMALLEST_STEP

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from .engine import EngineStep
    from .grid import Grid

KINK_BLOCKS = (5, 10)
LOW_SHARE = 0.4
SIGMAS = 4.0
TURNS_WITHIN_S = (1.5, 15.0)
TURN_TAKES_S = 10.0
GOES_FIRST = 0.03
CAUGHT_WITHIN_S, LOW_WENT, CAUGHT_SHARE = 5.0, 0.06, 0.25
AGAINST_ENGINE = 0.06
AGAINST_S = (20.0, 45.0)


def fan_steps_at_engine_steps(
    grid: Grid, engine: Sequence[EngineStep], others_s: Sequence[float]
) -> list[FanStep]:
    """Fan steps that hide behind an engine-speed step, in order of time.

    Parameters
    ----------
    engine
        Engine-speed steps of the session.
    others_s
        Moments of fan steps already found and of compressor changes: no second one is read beside them.
    """
    if grid.high_pa is None:
        return []
    log_high = np.log(np.maximum(grid.high_pa, 1.0))
    log_low = None if grid.low_pa is None else np.log(np.maximum(grid.low_pa, 1.0))
    noise = slow_noise(log_high, KINK_BLOCKS)
    moments = sorted((*others_s, *(step.at_s for step in engine)))
    steps = []
    for step in engine:
        until = bisect_right(moments, step.at_s)
        clear_s = moments[until] - step.at_s if until < len(moments) else np.inf
        if until - bisect_left(moments, step.at_s - 5.0) > 1:
            continue
        found = None
        if clear_s > TURNS_WITHIN_S[1] + TURN_TAKES_S:
            found = _turn(grid, log_high, log_low, step, noise)
        if found is None and clear_s > AGAINST_S[1]:
            found = _against_engine(grid, log_high, step)
        if found is not None:
            steps.append(found)
    return steps


def _turn(
    grid: Grid,
    log_high: NDArray[np.float64],
    log_low: NDArray[np.float64] | None,
    step: EngineStep,
    noise: float,
) -> FanStep | None:
    """A high side that first goes with the engine and turns back within seconds: settling never turns."""
    way = 1.0 if step.to_rpm > step.from_rpm else -1.0
    at, takes = grid.index(step.at_s), grid.steps(TURN_TAKES_S)
    first, last = (at + grid.steps(seconds) for seconds in TURNS_WITHIN_S)
    if at < 3 or last + takes >= log_high.size:
        return None
    smooth = way * uniform_filter1d(log_high[at - 3 : last + takes + 2], 3, mode="nearest")
    top = first - at + 3 + int(np.argmax(smooth[first - at + 3 : last - at + 4]))
    gone, back = smooth[top] - smooth[:3].min(), smooth[top] - smooth[top + takes]
    sure = SIGMAS * noise
    if gone < max(GOES_FIRST, sure) or back < max(SMALLEST_STEP, sure):
        return None
    turned = at - 3 + top
    if log_low is not None:
        if way * (log_low[turned + takes] - log_low[turned]) > LOW_SHARE * back:
            return None
        if _caught(grid, way * log_low, turned, at):
            return None
    up = way > 0.0
    return FanStep(float(grid.time_s[turned]), up, with_engine=True, within_s=seen_within_s(grid, up=up))


def _caught(grid: Grid, low: NDArray[np.float64], turned: int, at: int) -> bool:
    """Whether the low side stops in its course with the turn: a compressor that regulates, not the fan."""
    reach = min(grid.steps(CAUGHT_WITHIN_S, at_least=2), max(turned - at, 1))
    smooth = uniform_filter1d(low, 3, mode="nearest")
    went = float(smooth[turned] - smooth[turned - reach])
    goes = float(smooth[min(turned + 1 + reach, low.size - 1)] - smooth[min(turned + 1, low.size - 1)])
    return went < -LOW_WENT and goes > CAUGHT_SHARE * went


def _against_engine(grid: Grid, log_high: NDArray[np.float64], step: EngineStep) -> FanStep | None:
    """A high side that settles lower at a faster engine, or higher at a slower one."""
    after_s = (step.at_s + AGAINST_S[0], step.at_s + AGAINST_S[1])
    if not grid.time_s[0] <= step.at_s - 5.0 <= after_s[0] + 10.0 <= grid.time_s[-1]:
        return None
    at = grid.index(step.at_s)
    before = float(log_high[max(0, at - grid.steps(10.0, at_least=2)) : max(at - 1, 1)].mean())
    after = float(log_high[grid.index(after_s[0]) : grid.index(after_s[1]) + 1].mean())
    faster = step.to_rpm > step.from_rpm
    if (before - after if faster else after - before) < AGAINST_ENGINE:
        return None
    return FanStep(step.at_s, up=faster, with_engine=True)
