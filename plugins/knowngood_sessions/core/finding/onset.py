"""When an engine left its speed, and how well that is known, from the samples about it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import hypot
from typing import TYPE_CHECKING

import numpy as np

from .courses import AT_ONCE, courses

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    LogLikelihood = Callable[[Array, float], Array | None]

LOWER, UPPER = 0.2, 0.6
"""Parts of the change through which a line is drawn back to its onset: a ramp's exactly, a lag's nearly."""

FEW_SAMPLES = 4
SIGMAS = 5.0
LEAST_MOVE, MOST_MOVE = 0.02, 0.06
"""Part of the change that tells a sample on the way from one at rest: as little as its noise allows."""

PLACES = np.linspace(0.0, 1.0, 41)
BEFORE_REST = 0.8
"""Part of the time between two samples by which an onset may lie before the last that seems at rest."""

LOOKED_AT = (2, 5)
MODEL_OFF = 0.02
FREEDOM = 6.0
PROMISED_S = 0.55
SKEWED = 0.6
COVERS = 0.95
SHARPEST_S = 0.2
"""No engine leaves its speed so sharply that the moment would mean more."""

NOT_STRAIGHT = 0.05
MILLISECONDS = 3
ASKED_FROM_S = 1.5
"""From so many seconds between two samples on, other channels are asked as well."""


@dataclass(frozen=True, slots=True)
class Moment:
    """A moment, and the seconds either way within which it lies with a probability of 95 %."""

    at_s: float
    within_s: float


@dataclass(frozen=True, slots=True)
class Change:
    """A change of engine speed: where it lies in time, from what to what, and how much a sample is off."""

    span_s: tuple[float, float]
    before_rpm: float
    after_rpm: float
    noise_rpm: float

    @property
    def way(self) -> float:
        """1 where the engine goes faster, -1 where slower."""
        return 1.0 if self.after_rpm > self.before_rpm else -1.0

    @property
    def noise(self) -> float:
        """As part of the change."""
        return self.noise_rpm / max(abs(self.after_rpm - self.before_rpm), 1.0)


def onset(time_s: Array, rpm: Array, change: Change, others: Sequence[LogLikelihood] = ()) -> Moment:
    """When the engine leaves its speed: between two samples where it is on the way for a few of them only.

    Parameters
    ----------
    time_s, rpm
        The samples as recorded, (n,), NaN where there is none.
    others
        Of other channels: each tells how likely it makes each of some onsets (k,) of an engine that goes
        faster (1) or slower (-1), after each course of `courses`, as logarithms (courses, k), or None where
        it knows nothing.
    """
    first, last = np.searchsorted(time_s, change.span_s)
    inside = slice(int(first), int(last) + 1)
    finite = np.isfinite(rpm[inside])
    when = time_s[inside][finite]
    progress = (rpm[inside][finite] - change.before_rpm) / (change.after_rpm - change.before_rpm)
    passed = int(np.argmax(progress >= UPPER)) if progress.size else 0
    still = np.flatnonzero(progress[:passed] < LOWER)
    if still.size == 0:
        return _unknown(when, progress, passed, change)
    rest = int(still[-1])
    move = min(max(SIGMAS * change.noise, LEAST_MOVE), MOST_MOVE)
    unmoved = np.flatnonzero(progress[: rest + 1] < move)
    at_rest = int(unmoved[-1]) if unmoved.size else rest
    if passed - at_rest > FEW_SAMPLES:
        return _drawn_back(when, progress, rest, passed)
    gap_s = float(when[rest + 1] - when[rest])
    if gap_s >= ASKED_FROM_S:
        return _between(when, progress, (at_rest, rest + 1), change, others)
    if at_rest == rest and progress[rest + 1] >= 1.0 - move:
        seen = slice(max(rest - LOOKED_AT[0], 0), rest + 1 + LOOKED_AT[1])
        since_s = np.round(when[seen] - when[rest], MILLISECONDS)
        moment = _jump(tuple(since_s.tolist()), round(change.noise, MILLISECONDS))
        return Moment(float(when[rest]) + moment.at_s, moment.within_s)
    return _between(when, progress, (at_rest, rest + 1), change)


@lru_cache(maxsize=256)
def _jump(since_s: tuple[float, ...], noise: float) -> Moment:
    """The onset of a change of which no sample was on the way, from the samples' times since the last before.

    It depends on nothing else, and is the same at every such change of a long session.
    """
    when = np.array(since_s)
    rest = since_s.index(0.0)
    return _between(when, (when > 0.0).astype(float), (rest, rest + 1), Change((0.0, 0.0), 0.0, 1.0, noise))


def _unknown(when: Array, progress: Array, passed: int, change: Change) -> Moment:
    """Where no sample was seen at rest."""
    first_s, last_s = change.span_s
    middle_s = 0.5 * (first_s + last_s)
    at_s = float(when[passed]) if progress.size and progress[passed] >= UPPER else middle_s
    return Moment(at_s, max(last_s - at_s, at_s - first_s))


def _drawn_back(when: Array, progress: Array, rest: int, passed: int) -> Moment:
    lower, upper = (
        float(np.interp(level, progress[i - 1 : i + 1], when[i - 1 : i + 1]))
        for level, i in ((LOWER, rest + 1), (UPPER, passed))
    )
    lasts_s = (upper - lower) / (UPPER - LOWER)
    at_s = max(lower - lasts_s * LOWER, float(when[0]))
    return Moment(at_s, hypot(SHARPEST_S, 0.5 * float(when[rest + 1] - when[rest]), NOT_STRAIGHT * lasts_s))


def _between(
    when: Array,
    progress: Array,
    edge: tuple[int, int],
    change: Change,
    others: Sequence[LogLikelihood] = (),
) -> Moment:
    """The onset about the last sample at rest and before the first that moved, ``edge``.

    Every onset, and every course after it, is weighed by how likely it makes the samples: the mean is told,
    and what 95 % of the weight lies within.
    """
    rest, moved = edge
    gap_s = float(when[moved] - when[moved - 1])
    earliest_s = float(when[rest]) - BEFORE_REST * gap_s
    onsets_s = earliest_s + (float(when[moved]) - earliest_s) * PLACES
    seen = slice(max(rest - LOOKED_AT[0], 0), moved + LOOKED_AT[1])
    off = (courses(when[seen] - onsets_s[:, None]) - progress[seen]) / hypot(change.noise, MODEL_OFF)
    # Student's t: an engine that overshoots or sags is on no such course, but not impossible either.
    off *= off
    unlikely = np.log(np.multiply.reduce(1.0 + off / FREEDOM, axis=-1))
    likely = AT_ONCE[:, None] - 0.5 * (FREEDOM + 1.0) * unlikely
    for one in others:
        said = one(onsets_s, change.way)
        likely = likely if said is None else likely + said
    weight = np.exp(likely - likely.max()).sum(axis=0)
    return _told(onsets_s, weight / weight.sum())


def _told(onsets_s: Array, weight: Array) -> Moment:
    """The mean; of a lopsided weight a moment nearer to the middle of what is possible."""
    mean_s = float(weight @ onsets_s)
    rest = 0.5 * (1.0 - COVERS)
    first_s, last_s = np.interp((rest, 1.0 - rest), np.cumsum(weight) - 0.5 * weight, onsets_s)
    reach_s = max(PROMISED_S, SKEWED * float(last_s - first_s))
    mean_s = max(min(mean_s, float(first_s) + reach_s), float(last_s) - reach_s)
    away_s = np.abs(onsets_s - mean_s)
    order = np.argsort(away_s)
    enough = int(np.searchsorted(np.cumsum(weight[order]), COVERS))
    return Moment(mean_s, hypot(SHARPEST_S, float(away_s[order[min(enough, order.size - 1)]])))
