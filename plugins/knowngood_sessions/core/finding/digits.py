"""Where a reading lies between the digits of a display that is coarser than its noise.

The mean of rounded values is right only where noise carries them over several digits. Otherwise the share of
each digit tells: the reading and its noise are weighed by how likely they make the digits seen, rounding
taken as a bin of equal width (the likelihood of grouped data), the reading anywhere and the noise of any
order of magnitude beforehand.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import ndtr

from .pile import piles

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_sessions.core.channels.derive import Derived

    from .pile import Pile

CHANNELS = ("low_pa", "high_pa", "suction_line_k", "liquid_line_k", "vent_k")
LOOKED_AT = 2_000
MULTIPLE = 1e-3
FEWEST_REPEATS = 0.5
"""Part of the samples that show the same as the one before, or a neighbouring digit, on a coarse display."""

DIGITS = np.arange(-2.0, 3.0)
PLACES = np.linspace(-0.75, 0.75, 49)
NOISES = np.geomspace(0.04, 1.0, 12)
MOST_MEMORY = 0.95
LEAST_HELD = 0.98


@dataclass(frozen=True, slots=True, eq=False)
class Between:
    """By how much the reading lies above the mean of what was shown, and how surely; both (k,)."""

    shift: NDArray[np.float64]
    unsure: NDArray[np.float64]


def coarse_digit(values: NDArray[np.float64]) -> float | None:
    """The last digit of a display in the unit of its samples (n,), None where it is fine against the noise.

    >>> coarse_digit(np.array([21.5, 21.5, 22.0, 21.5, 21.5, 22.0])), coarse_digit(np.arange(9.0) ** 1.5)
    (0.5, None)
    """
    seen = values[: 4 * LOOKED_AT]
    seen = seen[np.isfinite(seen)][:LOOKED_AT]
    moved = np.abs(np.diff(seen))
    steps = moved[moved > 1e-9 * np.abs(seen).max(initial=0.0)]
    if steps.size == 0:
        return None
    digit = float(steps.min())
    whole = np.abs(steps / digit - np.rint(steps / digit)) < MULTIPLE * np.maximum(steps / digit, 1.0)
    return digit if whole.all() and np.mean(moved < 1.5 * digit) > FEWEST_REPEATS else None


def rounded_off(derived: Derived, spans_s: NDArray[np.float64]) -> dict[str, Between]:
    """What coarse displays rounded off in stretches from and until moments, (k, 2), by name of the channel.

    A channel that shows finer digits than its noise is left out.
    """
    edges = np.searchsorted(derived.time_s, spans_s + np.array([0.0, 1e-9]))
    found = {}
    for name in CHANNELS:
        values = getattr(derived, name)
        digit = None if values is None else coarse_digit(values)
        if digit is not None:
            found[name] = between_digits(values, digit, edges[:, 0], edges[:, 1])
    return found


def between_digits(
    values: NDArray[np.float64], digit: float, first: NDArray[np.intp], end: NDArray[np.intp]
) -> Between:
    """Where the reading lies in each stretch of rounded samples (n,), from ``first`` to before ``end``, (k,).

    A stretch that goes over more than a few digits is left as it is.
    """
    finite = np.isfinite(values)
    kept = np.concatenate([[0], np.cumsum(finite)])
    shown = values[finite]
    shift, unsure = np.zeros(first.size), np.zeros(first.size)
    counts = kept[end] - kept[first]
    able = np.flatnonzero(counts > 1)
    if able.size:
        digits = np.rint((shown - shown[0]) / digit)
        for rows, pile in piles(digits, kept[first[able]], counts[able]):
            shift[able[rows]], unsure[able[rows]] = _between(pile)
    return Between(shift * digit, unsure * digit)


def _between(shown: Pile) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The same for a pile of stretches, in digits."""
    mean = shown.mean()
    whole = np.rint(mean)
    off = shown.less(whole[:, None]).values
    held = np.stack([((off == one) & shown.held).sum(axis=1) for one in DIGITS], axis=1)
    memory = np.clip(shown.less(mean[:, None]).correlation(), 0.0, MOST_MEMORY)
    likely = held @ _chances() * ((1.0 - memory) / (1.0 + memory))[:, None]
    weight = np.exp(likely - likely.max(axis=1, keepdims=True))
    weight = weight.reshape(mean.size, PLACES.size, NOISES.size).sum(axis=2)
    weight /= weight.sum(axis=1, keepdims=True)
    place = weight @ PLACES
    unsure = np.sqrt(np.maximum(weight @ PLACES**2 - place**2, 0.0))
    few = held.sum(axis=1) >= LEAST_HELD * shown.counts
    return np.where(few, place - (mean - whole), 0.0), np.where(few, unsure, 0.0)


@lru_cache(maxsize=1)
def _chances() -> NDArray[np.float64]:
    """Logarithm of the chance of each digit about a place with a noise, (digits, places times noises)."""
    digit = DIGITS[:, None, None] - PLACES[:, None]
    chance = ndtr((digit + 0.5) / NOISES) - ndtr((digit - 0.5) / NOISES)
    return np.asarray(np.log(np.maximum(chance, 1e-12)).reshape(DIGITS.size, -1))
