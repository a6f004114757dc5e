"""The strongest line in the spectrum of stretches of equal length, and whether noise could have made it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

EXPLAINS = 0.5
SIGNIFICANT = 26.0
MOST_MEMORY = 0.95
FINER = 4
FITTED = 6
"""What is fitted to each stretch: a parabola, and a line's frequency, size and phase."""


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """Half the swing and the period in steps of each stretch's strongest line, arrays (k,).

    ``sure`` tells whether it explains most of the stretch and stands out from noise that remembers itself:
    the line's power is compared with that of a first-order autoregressive series at its frequency, whose
    periodogram is exponentially distributed about it (D. S. Wilks, Statistical Methods in the Atmospheric
    Sciences, chapter 9, from memory).
    """

    amplitude: NDArray[np.float64]
    period: NDArray[np.float64]
    sure: NDArray[np.bool_]


def strongest_lines(values: NDArray[np.float64], shortest: float, longest: float) -> Lines:
    """The strongest line of each stretch (k, n) with a period between two bounds in steps.

    A parabola is taken off every stretch first.

    >>> t = np.arange(60.0)
    >>> found = strongest_lines(np.sin(2.0 * np.pi * t / 8.3)[None, :] + 0.01 * t, 4.0, 20.0)
    >>> float(found.amplitude[0].round(2)), float(found.period[0].round(1)), bool(found.sure[0])
    (0.99, 8.3, True)
    """
    count = values.shape[1]
    place = np.linspace(-1.0, 1.0, count)
    bends, _ = np.linalg.qr(np.vstack([np.ones(count), place, place**2]).T)
    off = values - (values @ bends) @ bends.T
    frequency = _peak(off, 1.0 / longest, 1.0 / shortest)
    angle = 2.0 * np.pi * frequency[:, None] * (np.arange(count) - 0.5 * (count - 1))
    cosine, sine = np.cos(angle), np.sin(angle)
    # Counted from the middle the two are orthogonal: one is even, the other odd.
    even, odd = (np.einsum("kn,kn->k", off, one) / np.einsum("kn,kn->k", one, one) for one in (cosine, sine))
    left = off - even[:, None] * cosine - odd[:, None] * sine
    amplitude = np.hypot(even, odd)
    line, rest = 0.5 * amplitude**2 * count, np.einsum("kn,kn->k", left, left) + 1e-18
    seen = np.einsum("kn,kn->k", left[:, 1:], left[:, :-1]) / rest
    # What was fitted takes memory along: the more, the shorter the stretch.
    memory = np.clip(seen + (FITTED + 4.0 * seen) / count, 0.0, MOST_MEMORY)
    turn = np.cos(2.0 * np.pi * frequency)
    background = rest / max(count - FITTED, 1) * (1.0 - memory**2) / (1.0 + memory**2 - 2.0 * memory * turn)
    sure = (line >= EXPLAINS * (line + rest)) & (0.5 * line >= SIGNIFICANT * background)
    return Lines(amplitude, 1.0 / frequency, np.asarray(sure))


def _peak(off: NDArray[np.float64], lowest: float, highest: float) -> NDArray[np.float64]:
    """Frequency in cycles a step, (k,), of the strongest line between two bounds."""
    count = off.shape[1]
    window = np.sin(np.pi * (np.arange(count) + 0.5) / count) ** 2
    size = 1 << int(np.ceil(np.log2(FINER * count)))
    power = np.abs(np.fft.rfft(off * window, size, axis=1))
    first, last = int(np.ceil(lowest * size)), int(np.floor(highest * size))
    first = min(max(1, first), power.shape[1] - 2)
    last = min(max(first, last), power.shape[1] - 2)
    best = first + np.argmax(power[:, first : last + 1], axis=1)
    row = np.arange(best.size)
    low, top, high = (power[row, best + shift] for shift in (-1, 0, 1))
    bend = low - 2.0 * top + high
    shift = np.divide(0.5 * (low - high), bend, out=np.zeros_like(bend), where=bend < 0.0)
    return np.asarray((best + np.clip(shift, -0.5, 0.5)) / size)
