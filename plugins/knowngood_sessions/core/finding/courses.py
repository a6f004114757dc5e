"""Courses on which an engine may go from one speed to another, and what a pressure makes of each."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from scipy.ndimage import gaussian_filter1d
from scipy.signal import lfilter

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

LASTS_S = np.array([0.1, *np.linspace(0.5, 8.0, 13)])
LAGS = 3.0
"""How long an engine takes to its new speed, a lag to within 5 % of it: three time constants."""

QUICK = 0.05
AT_ONCE = np.log(np.tile([QUICK, *np.full(LASTS_S.size - 1, (1.0 - QUICK) / (LASTS_S.size - 1))], 2))
"""What each course is worth before a sample is seen: one in twenty changes is over at once."""

FINE_S, LONGEST_S = 0.1, 24.0
FOLLOWS_S = np.array([0.7, 3.0, 9.0, 25.0])
"""Time constants with which a pressure may follow the engine."""

BEFORE_S, AFTER_S = 16.0, 8.0
FEWEST_BEFORE, FEWEST_AFTER = 3, 2
MOST_SAMPLES = 24
STANDS_OUT = 5.0
LEAST_NOISE = 5e-4
MODEL_OFF = 0.1
FREEDOM = 4.0
LATE_S = 0.4
"""A pressure may be so late, or early, against the engine."""

KNOWS_NOTHING = 0.05
"""So likely, against the best onset, something else moved a pressure."""


def courses(since_s: Array) -> Array:
    """Part of the change that is done, (courses, ...), so many seconds after the onset, (...).

    The first half are ramps of `LASTS_S`, the second half lags that take as long.

    >>> courses(np.array([-1.0, 0.0, 9.0]))[[0, -1]].round(2).tolist()
    [[0.0, 0.0, 1.0], [0.0, 0.0, 0.97]]
    """
    lasted = np.maximum(since_s, 0.0) / LASTS_S.reshape(-1, *(1,) * since_s.ndim)
    return np.concatenate([np.minimum(lasted, 1.0), 1.0 - np.exp(-LAGS * lasted)])


@lru_cache(maxsize=1)
def _followed() -> Array:
    """How far a pressure has followed each course, (constants, courses, lags of `FINE_S`)."""
    course = courses(np.arange(0.0, LONGEST_S, FINE_S))
    kept = np.exp(-FINE_S / FOLLOWS_S)
    return np.stack(
        [lfilter(np.full(2, 0.5 * (1.0 - one)), [1.0, -one], course, axis=-1) for one in kept.tolist()]
    )


def pressure_log_likelihood(
    onsets_s: Array, way: float, *, rises: bool, time_s: Array, pa: Array, noise_pa: float
) -> Array | None:
    """How likely a pressure makes each onset after each course, logarithms (courses, onsets).

    The pressure goes straight on until it follows the engine, by any amount and as fast as it likes. None
    where there are few samples, and where it does not go its way clearly: with a faster engine the low side
    falls and the high side rises (common practice, no source), unless a control catches it.

    Parameters
    ----------
    onsets_s
        The onsets asked for, (k,), evenly spaced and in order.
    way
        1 where the engine goes faster, -1 where slower; ``rises`` tells of a side that rises with it.
    time_s, pa
        The samples, (n,), absolute pressures, NaN where there is none; ``noise_pa`` is that of one of them.
    """
    middle_s = float(onsets_s.mean())
    inside = slice(*np.searchsorted(time_s, (middle_s - BEFORE_S, middle_s + AFTER_S)).tolist())
    held = np.isfinite(pa[inside])
    seen_pa = np.maximum(pa[inside][held], 1.0)
    if seen_pa.size < FEWEST_BEFORE + FEWEST_AFTER:
        return None
    noise = max(noise_pa / float(np.median(seen_pa)), LEAST_NOISE)
    when, value, noise = _thinned(time_s[inside][held], np.log(seen_pa), noise)
    before, after = value[when < onsets_s[0]], value[when > onsets_s[-1]]
    if before.size < FEWEST_BEFORE or after.size < FEWEST_AFTER:
        return None
    sign = way if rises else -way
    if sign * float(after[-FEWEST_AFTER:].mean() - np.median(before)) < STANDS_OUT * noise:
        return None
    left = _left_over(when, sign * value, onsets_s)
    spread = FREEDOM * (noise**2 + (MODEL_OFF * float(np.ptp(value))) ** 2)
    likely = -0.5 * (FREEDOM + when.size) * np.log1p(left / spread)
    weight = np.exp(likely - likely.max()).mean(axis=0)
    late = gaussian_filter1d(weight, LATE_S / (onsets_s[1] - onsets_s[0]), axis=1, mode="nearest")
    return np.asarray(np.log(late / late.max() + KNOWS_NOTHING))


def _thinned(when: Array, value: Array, noise: float) -> tuple[Array, Array, float]:
    """Means over a few samples each, where there are many."""
    few = -(-when.size // MOST_SAMPLES)
    if few < 2:
        return when, value, noise
    whole = when.size // few * few
    return when[:whole].reshape(-1, few).mean(1), value[:whole].reshape(-1, few).mean(1), noise / few**0.5


def _left_over(when: Array, value: Array, onsets_s: Array) -> Array:
    """What a straight line and a following of each course leave, squared, (constants, courses, onsets)."""
    since = np.clip((when - onsets_s[:, None]) / FINE_S, 0.0, LONGEST_S / FINE_S - 1.001)
    whole = since.astype(np.intp)
    table = _followed()
    follows = table[..., whole] + (since - whole) * (table[..., whole + 1] - table[..., whole])
    line, _ = np.linalg.qr(np.stack([np.ones_like(when), when - when.mean()], axis=1))
    bent = value - line @ (line.T @ value)
    follows = follows - (follows @ line) @ line.T
    along = np.maximum(follows @ bent, 0.0)
    size = np.einsum("...n,...n->...", follows, follows) + 1e-12
    return np.asarray(np.maximum(bent @ bent - along**2 / size, 0.0))
