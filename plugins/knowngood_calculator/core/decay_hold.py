"""Find the part of a vacuum record in which the valve was closed, or say why there is none to judge."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from .decay_words import duration, vacuum
from .evacuation import MICRON_PA

if TYPE_CHECKING:
    from numpy.typing import NDArray

SHORTEST_S = 600.0
"""The published levels are those after 10 min behind the closed valve."""

FEWEST = 6

COARSE_PA = 250 * MICRON_PA
"""A gauge with steps above half the target, 500 micron, cannot tell the published levels apart."""

EVENING_S, EVENING_SHARE = 120.0, 0.2
"""So long after closing the valve the pressures of hoses, parts and gauge even out (common practice, no
source); at most this share of the hold is left out of the shape for it."""

FALL_SHARE = 0.2
"""A fall by this share cannot be the scatter of a gauge: something pulled."""

LEAST_SCATTER = 0.001
"""No vacuum gauge is smoother than this share of its reading (common practice, no source)."""

_MOST = 60
_SLACK = 0.98
_CLIPPED_STEP = 0.02
_CLIPPED_ABOVE_PA = 2_000 * MICRON_PA


@dataclass(frozen=True, slots=True, eq=False)
class Decay:
    """Pressure over time as typed or imported.

    Attributes
    ----------
    times_s, pressures_pa
        Shape (n,) [s; Pa, absolute].
    resolution_pa
        The gauge's smallest step [Pa], 0 when not known.
    gauge_limit_pa
        The highest pressure [Pa] that the gauge can show, None when not known.
    notices
        What was left out or taken for granted when it was read, in sentences.
    """

    times_s: NDArray[np.float64]
    pressures_pa: NDArray[np.float64]
    resolution_pa: float = 0.0
    gauge_limit_pa: float | None = None
    notices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Hold:
    """The part to judge, thinned to at most 60 means, shape (n,), with what is known of the gauge."""

    times_s: NDArray[np.float64]
    pressures_pa: NDArray[np.float64]
    length_s: float
    first_pa: float
    resolution_pa: float
    least_noise_pa: float
    roughness_pa: float
    notices: tuple[str, ...] = field(default=())

    @property
    def too_coarse(self) -> bool:
        """Whether the gauge cannot tell the published levels apart."""
        return self.resolution_pa > COARSE_PA


@dataclass(frozen=True, slots=True)
class Unfit:
    """Why a record cannot be judged."""

    reason: str


def find_hold(decay: Decay) -> Hold | Unfit:
    """The hold in a record: after the pump-down, long enough, with a gauge inside its range."""
    times = np.asarray(decay.times_s, dtype=np.float64)
    pressures = np.asarray(decay.pressures_pa, dtype=np.float64)
    wrong = _unusable(times, pressures)
    if wrong:
        return Unfit(wrong)
    start = _valve_closed(times, pressures, decay.resolution_pa)
    notices = _on_start(times, start)
    times, pressures = times[start:], pressures[start:]
    wrong = _too_short(times, pumped=start > 0) or _off_gauge(times, pressures, decay)
    if wrong:
        return Unfit(" ".join([*notices, wrong]))
    fallen = _falls_within(times, pressures, decay.resolution_pa)
    if fallen:
        return Unfit(" ".join([*notices, fallen]))
    return _hold(times, pressures, decay.resolution_pa, notices)


def _hold(
    times: NDArray[np.float64], pressures: NDArray[np.float64], resolution: float, notices: tuple[str, ...]
) -> Hold:
    length = float(times[-1] - times[0])
    evened = times - times[0] >= min(EVENING_S, EVENING_SHARE * length)
    if evened.sum() >= FEWEST:
        used_times, used = _thinned(times[evened], pressures[evened])
    else:
        used_times, used = _thinned(times, pressures)
    least = max(resolution / np.sqrt(12.0), LEAST_SCATTER * float(np.median(used)))
    rough = max(3.0 * _local_scatter(used_times, used), 0.03 * float(used[-1]), 3.0 * least)
    return Hold(used_times, used, length, float(pressures[0]), resolution, least, rough, notices)


def _unusable(times: NDArray[np.float64], pressures: NDArray[np.float64]) -> str:
    if times.ndim != 1 or times.shape != pressures.shape:
        return "Times and pressures do not belong together: there must be one pressure for each time."
    if len(times) < FEWEST:
        return (
            f"Too few readings: {len(times)}. At least {FEWEST} over 10 min are needed, better one a minute."
        )
    if not (np.isfinite(times).all() and np.isfinite(pressures).all()):
        return "Some readings hold no number."
    backwards = np.flatnonzero(np.diff(times) <= 0.0)
    if len(backwards):
        return (
            f"The times do not rise from reading {backwards[0] + 1} to {backwards[0] + 2}: put them in order."
        )
    if (pressures <= 0.0).any():
        return "The gauge stood at its lower limit, or its zero is off: an absolute pressure is above zero."
    return ""


def _valve_closed(times: NDArray[np.float64], pressures: NDArray[np.float64], resolution: float) -> int:
    """The last reading at the lowest pressure when the record begins with the pump pulling, else 0."""
    lowest = float(pressures.min())
    bottom = np.flatnonzero(pressures <= 1.02 * lowest + 2.0 * resolution)
    first = int(pressures.argmin())
    fell = float(pressures[: first + 1].max()) - lowest
    doubt = 2.0 * resolution + 5.0 * _local_scatter(times, pressures)
    return int(bottom[-1]) if fell > FALL_SHARE * float(pressures[0]) + doubt else 0


def _on_start(times: NDArray[np.float64], start: int) -> tuple[str, ...]:
    if not start:
        return ()
    pulled = duration(float(times[start] - times[0]))
    return (f"The pressure falls at first: the first {pulled} are taken for the pump pulling.",)


def _too_short(times: NDArray[np.float64], *, pumped: bool) -> str:
    length = float(times[-1] - times[0])
    if length < _SLACK * SHORTEST_S:
        if pumped and len(times) < FEWEST:
            return "The pressure falls almost to the end: the valve to the pump was not closed."
        return (
            f"Held for {duration(length)} only: the criteria hold for 10 min behind the closed valve, and a "
            "shorter hold cannot tell a plateau from a slow rise."
        )
    if len(times) < FEWEST:
        return f"Too few readings after the valve was closed: {len(times)}; at least {FEWEST} are needed."
    return ""


def _off_gauge(times: NDArray[np.float64], pressures: NDArray[np.float64], decay: Decay) -> str:
    highest = float(pressures.max())
    if decay.gauge_limit_pa is not None and highest >= _SLACK * decay.gauge_limit_pa:
        return f"The gauge stood at its limit, {vacuum(decay.gauge_limit_pa)}: what came after does not show."
    at_end = _alike_at_end(pressures)
    if at_end < 3 or at_end > len(pressures) - 2 or pressures[-1] < max(highest, _CLIPPED_ABOVE_PA):
        return ""
    before = float(pressures[-at_end] - pressures[-at_end - 1])
    spacing = float(times[-at_end] - times[-at_end - 1])
    halted = before > _CLIPPED_STEP * highest and times[-1] - times[-at_end] >= 2.0 * spacing
    if not halted or before <= 4.0 * decay.resolution_pa:
        return ""
    return f"The reading stops dead at {vacuum(highest)}: the gauge seems to have reached its limit."


def _alike_at_end(pressures: NDArray[np.float64]) -> int:
    """How many readings at the end are the same to the last digit."""
    other = np.flatnonzero(pressures != pressures[-1])
    return len(pressures) - 1 - int(other[-1]) if len(other) else len(pressures)


def _falls_within(times: NDArray[np.float64], pressures: NDArray[np.float64], resolution: float) -> str:
    smooth_times, smooth = _thinned(times, pressures)
    doubt = 2.0 * resolution + 5.0 * _local_scatter(smooth_times, smooth)
    peaks = np.maximum.accumulate(smooth)
    if ((peaks - smooth) > FALL_SHARE * peaks + doubt).any():
        return (
            "The pressure falls again during the hold: the valve was not closed or was opened, or the pump "
            "still pulls. Close it and hold again."
        )
    return ""


def _thinned(
    times: NDArray[np.float64], pressures: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Means of neighbours: readings a second apart are too alike to count as so many witnesses."""
    if len(times) <= _MOST:
        return times, pressures
    parts = np.array_split(np.arange(len(times)), _MOST)
    mean_times = np.array([times[part].mean() for part in parts])
    return mean_times, np.array([pressures[part].mean() for part in parts])


def _local_scatter(times: NDArray[np.float64], pressures: NDArray[np.float64]) -> float:
    """Scatter [Pa] of each reading about the line between its neighbours, whatever the long shape."""
    share = (times[1:-1] - times[:-2]) / (times[2:] - times[:-2])
    off = pressures[1:-1] - ((1.0 - share) * pressures[:-2] + share * pressures[2:])
    scaled = off / np.sqrt(1.0 + share**2 + (1.0 - share) ** 2)
    return float(np.median(np.abs(scaled)) / 0.6745)
