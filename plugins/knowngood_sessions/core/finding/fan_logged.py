"""Fan-stage steps that a channel logs: where the command holds another of a few levels."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.records import Role

from .fan_step import FanStep

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_refdata.records import Recording

HELD_S = 2.0
"""A level that is held for less is a bouncing relay, or a lost byte."""

MOST_LEVELS = 6
GRAIN = 0.02
"""Part of the whole range by which two levels differ at least."""


def logged_fan_steps(recording: Recording) -> tuple[FanStep, ...] | None:
    """The steps of the first fan command of a recording, in order of time.

    None where there is no such channel, where it never changes (then it may be another fan's), or where it
    takes more than `MOST_LEVELS` levels: a fan that is driven without stages.
    """
    command = next((one for one in recording.channels if one.role is Role.FAN_COMMAND), None)
    if command is None:
        return None
    held = np.isfinite(command.values)
    time_s, level = recording.time_s[held], _levels(command.values[held])
    if time_s.size < 2 or not 2 <= np.unique(level).size <= MOST_LEVELS:
        return None
    starts = _starts(time_s, level)
    return tuple(
        FanStep(
            float(0.5 * (time_s[i - 1] + time_s[i])),
            up=bool(level[i] > level[j]),
            logged=True,
            within_s=float(0.5 * (time_s[i] - time_s[i - 1])),
        )
        for j, i in pairwise(starts)
    )


def _levels(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """The values rounded to a grain of their range, (n,)."""
    span = float(np.ptp(values)) if values.size else 0.0
    return np.asarray(np.round(values / (GRAIN * span))) if span > 0.0 else np.zeros_like(values)


def _starts(time_s: NDArray[np.float64], level: NDArray[np.float64]) -> list[int]:
    """The first sample of each level that is held, the very first one included."""
    edges = [0, *(np.flatnonzero(np.diff(level)) + 1).tolist()]
    ends_s = [*(float(time_s[i]) for i in edges[1:]), np.inf]
    starts: list[int] = []
    for i, end_s in zip(edges, ends_s, strict=True):
        if (end_s - float(time_s[i]) >= HELD_S or not starts) and (
            not starts or level[i] != level[starts[-1]]
        ):
            starts.append(i)
    return starts
