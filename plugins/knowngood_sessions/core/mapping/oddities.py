"""What is odd about recorded channels: dead, dropped out, lone spikes, several rates; told, never altered."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.logs import Notice
from knowngood_refdata.quantities import Kind
from knowngood_refdata.role_kinds import KIND_OF_ROLE

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_refdata.records import Channel, Recording

_MANY_MISSING = 0.2
_RATE_SHARE = 0.8
_FEWEST_SAMPLES = 20
_SHORTEST_RUN = 3
_JUMPS = 8.0
_JUMP_OF_SCALE = 0.2
_SPIKE_SIGMAS = 8.0
_SPIKE_FRACTION = 0.1
_MAD_TO_SIGMA = 1.4826
_FEW_CHANGES = 0.5
_SLOW = (Kind.PRESSURE, Kind.TEMPERATURE)
"""Kinds that cannot jump from one sample to the next and stay there to the last digit."""


def oddities(recording: Recording) -> tuple[Notice, ...]:
    """What should be known about the channels of a recording, one notice a finding."""
    found = []
    for channel in recording.channels:
        told = _about(channel, recording.time_s)
        found += [Notice(f"{channel.name}: {text}", channel.name) for text in told]
    return tuple(found)


def _about(channel: Channel, time_s: NDArray[np.float64]) -> list[str]:
    seen = np.isfinite(channel.values)
    told = []
    missing = float(np.mean(~seen))
    if missing > _MANY_MISSING:
        rate = every_nth(seen)
        told.append(
            f"{100.0 * missing:.0f} % of the values are missing."
            if rate is None
            else f"recorded in one row of {rate}; between them it is taken to run straight."
        )
    kind = KIND_OF_ROLE.get(channel.role)
    values, times = channel.values[seen], time_s[seen]
    if kind is None or values.size < _FEWEST_SAMPLES:
        return told
    if values.min() == values.max():
        told.append(f"reads {values[0]:g} throughout; look whether the sensor is alive.")
    elif kind in _SLOW:
        told += _dropouts(values, times) + _spikes(values, times)
    return told


def every_nth(seen: NDArray[np.bool_]) -> int | None:
    """The n of a channel that was recorded in every n-th row, None when it is no such channel.

    >>> every_nth(np.tile([True, False, False], 20))
    3
    """
    where = np.flatnonzero(seen)
    if where.size < _FEWEST_SAMPLES:
        return None
    apart = np.diff(where)
    rate = int(np.median(apart))
    return rate if rate > 1 and float(np.mean(apart == rate)) >= _RATE_SHARE else None


def _dropouts(values: NDArray[np.float64], time_s: NDArray[np.float64]) -> list[str]:
    """Stretches at one end of the channel's values, the same to the last digit, entered by a jump."""
    told = []
    span = float(np.ptp(np.percentile(values, [5.0, 95.0])))
    scale = max(span, abs(float(np.median(values))))
    jump = max(_JUMPS * _usual_step(values), _JUMP_OF_SCALE * scale)
    for end in (float(values.min()), float(values.max())):
        runs = [
            (first, last)
            for first, last in _runs(values == end)
            if last - first >= _SHORTEST_RUN and _jumps(values, first, last) > jump
        ]
        if not runs:
            continue
        longest_s = max(float(time_s[last - 1] - time_s[first]) for first, last in runs)
        times = "once" if len(runs) == 1 else f"{len(runs)} times"
        told.append(
            f"jumps to {end:g} and stays there {times}, first at {time_s[runs[0][0]]:.0f} s and for up to "
            f"{longest_s:.0f} s: the end of the sensor's scale or a loose plug. Kept as recorded."
        )
    return told


def _jumps(values: NDArray[np.float64], first: int, last: int) -> float:
    """The smaller of the jumps into and out of a run, where the recording holds both."""
    edges = []
    if first > 0:
        edges.append(abs(float(values[first] - values[first - 1])))
    if last < values.size:
        edges.append(abs(float(values[last] - values[last - 1])))
    return min(edges, default=0.0)


def _usual_step(values: NDArray[np.float64]) -> float:
    """A large step from sample to sample as it is usual in a channel."""
    steps = np.abs(np.diff(values))
    return float(np.percentile(steps, 98.0))


def _runs(mask: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First and past-last place of each stretch of True."""
    edges = np.flatnonzero(np.diff(mask, prepend=False, append=False))
    return list(zip(edges[0::2].tolist(), edges[1::2].tolist(), strict=True))


def _spikes(values: NDArray[np.float64], time_s: NDArray[np.float64]) -> list[str]:
    """Single samples far from both neighbours, which agree: a lost byte."""
    left, centre, right = values[:-2], values[1:-1], values[2:]
    off = np.minimum(np.abs(centre - left), np.abs(centre - right))
    second = np.abs(np.diff(values, n=2))
    sigma = _MAD_TO_SIGMA * float(np.median(second)) / np.sqrt(6.0)
    span = float(np.ptp(np.percentile(values, [1.0, 99.0])))
    limit = np.maximum(_SPIKE_SIGMAS * sigma, _SPIKE_FRACTION * np.maximum(np.abs(left), span))
    lone = (off > limit) & (np.sign(centre - left) == np.sign(centre - right))
    lone &= np.abs(left - right) < _FEW_CHANGES * off
    where = np.flatnonzero(lone) + 1
    if where.size == 0 or where.size > 0.02 * values.size:
        return []
    first = int(where[0])
    what = "one sample stands" if where.size == 1 else f"{where.size:,} single samples stand"
    return [
        (
            f"{what} far off its neighbours, first at {time_s[first]:.0f} s ({values[first]:g} after "
            f"{values[first - 1]:g}): a lost byte. Kept as recorded; the analysis steps over it."
        )
    ]
