"""What settled means for each channel: its band, the drift that counts as standing still, its noise."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, sqrt
from typing import TYPE_CHECKING

import numpy as np
from scipy.ndimage import uniform_filter1d

from knowngood_refdata.quantities import Kind, unit
from knowngood_refdata.records import Role

from .grid import slow_noise
from .trend import mean_of, slope_of, trend

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .grid import Grid
    from .trend import Trend

END_S = 20.0
DRIFT_OVER_S = 60.0
TIME_CONSTANTS_S = np.array([4.0, 7.0, 12.0, 20.0, 35.0, 60.0, 100.0, 160.0])
"""Of the settling that is looked for: a first-order lag of the slowest part, a minute and more for a body."""


PRESSURE_BAND = 0.025
LINE_BAND_K = 1.0
ENGINE_BAND = 0.05
ENGINE_BAND_RPM = 60.0

_PSI_A_MINUTE = unit("psi", Kind.PRESSURE).factor / 60.0
LOW_DRIFT_PA_PER_S = 1.0 * _PSI_A_MINUTE
HIGH_DRIFT_PA_PER_S = 3.0 * _PSI_A_MINUTE
LINE_DRIFT_K_PER_S = 1.0 / 60.0

SMOOTH_AT_MOST_S = 45.0
UNSURE_SIGMAS = 0.5
WIDEST = 1.4
"""A band is widened by what noise leaves unknown of level and arrival, to 1.4 times itself at most."""

EXCURSION = 1.5
TINY = 1e-12
FEW_S = 5.0
SWINGS = 1.4
"""Half the swing from peak to peak, as part of its band, above which a channel is not steady in the mean."""

NOISE_AT = 0.25


@dataclass(frozen=True, slots=True, eq=False)
class Settling:
    """One channel with what settled means for it; ``drift`` per second, None where only the band counts."""

    role: Role
    values: NDArray[np.float64]  # (m,)
    share: float
    least: float
    drift: float | None
    noise: float

    def band(self, level: float) -> float:
        """How far from its level the channel may be."""
        return max(self.share * abs(level), self.least)


def settling_channels(grid: Grid) -> tuple[Settling, ...]:
    """The channels of a grid that have to be settled, all at once."""
    wanted = (
        (Role.LOW_SIDE, grid.low_pa, PRESSURE_BAND, 0.0, LOW_DRIFT_PA_PER_S),
        (Role.HIGH_SIDE, grid.high_pa, PRESSURE_BAND, 0.0, HIGH_DRIFT_PA_PER_S),
        (Role.SUCTION_LINE, grid.suction_line_k, 0.0, LINE_BAND_K, LINE_DRIFT_K_PER_S),
        (Role.LIQUID_LINE, grid.liquid_line_k, 0.0, LINE_BAND_K, LINE_DRIFT_K_PER_S),
        (Role.ENGINE_SPEED, grid.engine_rpm, ENGINE_BAND, ENGINE_BAND_RPM, None),
    )
    return tuple(
        Settling(role, values, share, least, drift, slow_noise(values, quantile=NOISE_AT))
        for role, values, share, least, drift in wanted
        if values is not None
    )


def arrival(grid: Grid, channel: Settling, first: int, last: int) -> int:
    """First step from which the smoothed channel stays in its band about where the stretch ends."""
    values = channel.values[first : last + 1]
    steps = _smoothing_steps(grid, channel, mean_of(values[-grid.steps(END_S, at_least=3) :]))
    end = min(values.size, max(grid.steps(END_S, at_least=3), steps))
    level = mean_of(values[-end:])
    band = channel.band(level)
    unsure = channel.noise * hypot(steps**-0.5, end**-0.5)
    allowed = min(band + UNSURE_SIGMAS * unsure, WIDEST * band)
    if max(float(values.max()) - level, level - float(values.min())) <= allowed:
        return first
    smooth = uniform_filter1d(values, min(steps, values.size), mode="nearest")
    return first + _inside_for_good(np.abs(smooth - level) / max(allowed, TINY), steps)


def _inside_for_good(away: NDArray[np.float64], steps: int) -> int:
    """From where on a channel stays inside; ``away`` (n,) is how far it is off, 1 the edge.

    A later excursion that is short against the smoothing and does not go far is noise.
    """
    end = away.size
    while end > 0:
        outside = away[:end] > 1.0
        back = int(outside[::-1].argmax())
        if not outside[end - 1 - back]:
            return 0
        last = end - back
        inside = ~outside[:last][::-1]
        length = int(inside.argmax()) or last
        begins = last - length
        if begins == 0 or length > steps or float(away[begins:last].max()) > EXCURSION:
            return last
        end = begins
    return 0


def _smoothing_steps(grid: Grid, channel: Settling, level: float) -> int:
    """Over how many steps a channel is averaged so that its noise is small against its band; odd."""
    band = channel.band(level)
    wanted = (channel.noise / (0.15 * band)) ** 2 if band > 0.0 else 1.0
    return int(min(max(wanted, 3.0), grid.steps(SMOOTH_AT_MOST_S, at_least=3))) | 1


def half_swing(grid: Grid, channel: Settling, first: int, last: int) -> float:
    """Half of what a channel goes to and fro, noise averaged out over a few seconds: sqrt 2 of its spread."""
    return _half_swing(channel.values[first : last + 1], grid.steps(FEW_S))


def swing_about_line(grid: Grid, channel: Settling, first: int, last: int) -> float:
    """As `half_swing`, about the straight line through the stretch."""
    values = channel.values[first : last + 1]
    if values.size < 2:
        return 0.0
    gone = slope_of(values, grid.step_s) * grid.step_s * np.arange(values.size)
    return _half_swing(values - gone, grid.steps(FEW_S))


def _half_swing(values: NDArray[np.float64], few: int) -> float:
    count = values.size // few
    if count == 0:
        return 0.0
    means = np.add.reduce(values[: count * few].reshape(count, few), axis=1) / few
    off = means - mean_of(means)
    return sqrt(2.0 * float(off @ off) / count)


def swings(grid: Grid, channel: Settling, first: int, last: int) -> bool:
    """Whether a channel goes to and fro by too much to be steady in the mean."""
    level = mean_of(channel.values[first : last + 1])
    return half_swing(grid, channel, first, last) > SWINGS * channel.band(level)


def last_minute(grid: Grid, channel: Settling, first: int, last: int) -> Trend:
    """The drift over the minute that ends a stretch, or over all of a shorter one."""
    return trend(channel.values[max(first, last - grid.steps(DRIFT_OVER_S)) : last + 1], grid.step_s)


def stands(grid: Grid, channel: Settling, segment: int, last: int) -> bool:
    """Whether a channel stands still at the end of a window, judged by the minute that ends there.

    That minute may reach back before the window, to the ``segment``'s beginning: a short piece of a ramp does
    not look steady in it. Where it still shows the settling, what is left to go must lie within the band.
    """
    if channel.drift is None:
        return True
    minute = channel.values[max(segment, last - grid.steps(DRIFT_OVER_S)) : last + 1]
    if abs(slope_of(minute, grid.step_s)) <= channel.drift:
        return True
    line = trend(minute, grid.step_s)
    if abs(line.slope) <= channel.drift + min(line.standard_error, 2.0 * channel.drift):
        return True
    return left_to_go(minute, grid.step_s) <= channel.band(mean_of(minute[minute.size // 2 :]))


def left_to_go(values: NDArray[np.float64], step_s: float) -> float:
    """How far a settling reading still is from where it is heading.

    Of the lines level + a exp(-t / tau), tau one of `TIME_CONSTANTS_S`, the one that fits best (least
    squares) tells. What does not slow down is fitted best by the longest tau, and has its drift times that
    tau left.

    Parameters
    ----------
    values
        The end of a stretch, (n,), n > 2, every ``step_s`` seconds.
    """
    seconds = step_s * np.arange(values.size)
    decay = np.exp(-seconds / TIME_CONSTANTS_S[:, None])
    off = decay - decay.mean(axis=1, keepdims=True)
    size = np.einsum("ij,ij->i", off, off)
    along = off @ (values - values.mean())
    best = int(np.argmax(along**2 / size))
    return abs(float(along[best] / size[best] * decay[best, -1]))
