"""Whether a reading goes to and fro about its level: amplitude and period, told apart from noise.

The strongest line of the spectrum counts as hunting when it stands out from the noise around it. Noise that
remembers itself has a spectrum of its own, that of a first-order autoregressive series,
S(f) = s² (1 - r²) / (1 + r² - 2 r cos 2 pi f); a line of the periodogram of such noise is exponentially
distributed about it (D. S. Wilks, Statistical Methods in the Atmospheric Sciences, chapter 9, from memory).
The r that a short series shows is too small by (1 + 4 r) / n (M. G. Kendall, Biometrika 41, 1954, from
memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from .pile import Pile

if TYPE_CHECKING:
    from numpy.typing import NDArray

FALSE_ALARM = 1e-4
CYCLES = 3.0
"""Fewer cycles in a stretch are no hunting: a bend looks like one."""

SHORTEST_STEPS = 3.0
EXPLAINS = 0.25
FEW_VALUES = 8.0
"""Least part of the variance that the line explains; n values of noise explain some by themselves."""

REACHES = (0.3, 0.1)
"""How far beside a line, in cycles of a stretch, the frequency is sought that leaves the least squares."""

WORTH_A_LOOK = 0.15
STEEPEST = 0.98
FEWEST = 48


@dataclass(frozen=True, slots=True, eq=False)
class Swing:
    """Half the swing and the period [steps] of each stretch, (k,); NaN where there is none."""

    amplitude: NDArray[np.float64]
    period: NDArray[np.float64]


def swing(residual: Pile) -> Swing:
    """The hunting of each stretch of a pile from which a straight line was taken off."""
    count = residual.counts.astype(np.float64)
    off = _unbent(residual)
    frequency, share = _strongest(off, count)
    found = Swing(np.full(count.size, np.nan), np.full(count.size, np.nan))
    rows = np.flatnonzero((share > WORTH_A_LOOK) & (count >= FEWEST))
    if rows.size:
        part = Pile(off.values[rows], off.counts[rows], off.held[rows])
        found.amplitude[rows], found.period[rows] = _hunting(part, count[rows], frequency[rows])
    return found


def _hunting(
    off: Pile, count: NDArray[np.float64], frequency: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    for reach in REACHES:
        frequency = _nearer(off, frequency, reach / count)
    amplitude, left = _taken_off(off, frequency)
    seen = left.correlation()
    memory = np.clip(seen + (1.0 + 4.0 * seen) / count, 0.0, STEEPEST)
    turn = np.cos(2.0 * np.pi * frequency)
    background = left.squares() / count * (1.0 - memory**2) / (1.0 + memory**2 - 2.0 * memory * turn)
    stands_out = 0.25 * amplitude**2 * count > np.log(0.5 * count / FALSE_ALARM) * background
    explains = 0.5 * amplitude**2 * count / off.squares()
    hunts = stands_out & (explains > EXPLAINS + FEW_VALUES / count)
    return np.where(hunts, amplitude, np.nan), np.where(hunts, 1.0 / frequency, np.nan)


def _unbent(residual: Pile) -> Pile:
    """What is left without a parabola, too."""
    shape = residual.places**2
    shape = np.where(residual.held, shape - (shape.sum(axis=1) / residual.counts)[:, None], 0.0)
    size = np.maximum(np.einsum("ij,ij->i", shape, shape), 1e-12)
    return residual.less((np.einsum("ij,ij->i", shape, residual.values) / size)[:, None] * shape)


def _strongest(off: Pile, count: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Frequency [cycles a step] of each stretch's strongest line, and its part of the variance, both (k,)."""
    width = off.values.shape[1]
    size = 1 << max(int(np.ceil(np.log2(1.5 * width))), 4)
    spectrum = np.fft.rfft(off.values * _window(off), size, axis=1)
    power = spectrum.real**2 + spectrum.imag**2
    frequency = np.arange(power.shape[1]) / size
    inside = (frequency >= CYCLES / count[:, None]) & (frequency <= 1.0 / SHORTEST_STEPS)
    best = np.argmax(np.where(inside, power, -1.0), axis=1)
    best = np.clip(best, 1, power.shape[1] - 2)
    row = np.arange(best.size)
    low, top, high = (np.sqrt(power[row, best + shift]) for shift in (-1, 0, 1))
    bend = low - 2.0 * top + high
    shift = np.divide(0.5 * (low - high), bend, out=np.zeros_like(bend), where=bend < 0.0)
    # A sine of amplitude A has the peak A n / 4 under this window and the variance A² / 2.
    total = off.squares()
    share = np.divide(8.0 * top**2, count * total, out=np.zeros_like(top), where=total > 0.0)
    return np.asarray((best + np.clip(shift, -0.5, 0.5)) / size), share


def _window(off: Pile) -> NDArray[np.float64]:
    """A squared sine over each stretch, (k, n); stretches of one length share theirs."""
    lengths, which = np.unique(off.counts, return_inverse=True)
    phase = (np.arange(off.values.shape[1]) + 0.5) / lengths[:, None]
    return np.asarray((np.sin(np.pi * np.minimum(phase, 1.0)) ** 2)[which])


def _nearer(off: Pile, frequency: NDArray[np.float64], reach: NDArray[np.float64]) -> NDArray[np.float64]:
    """The top of the parabola through the power of the sines at a frequency and so far beside it, (k,)."""
    low, top, high = (_taken_off(off, frequency + shift * reach)[0] ** 2 for shift in (-1.0, 0.0, 1.0))
    bend = low - 2.0 * top + high
    shift = np.divide(0.5 * (low - high), bend, out=np.zeros_like(bend), where=bend < 0.0)
    return np.asarray(frequency + np.clip(shift, -1.0, 1.0) * reach)


def _taken_off(off: Pile, frequency: NDArray[np.float64]) -> tuple[NDArray[np.float64], Pile]:
    """Amplitude of the sine of a frequency in each stretch, (k,), and what is left without it."""
    angle = 2.0 * np.pi * frequency[:, None] * off.places
    cosine, sine = np.where(off.held, np.cos(angle), 0.0), np.where(off.held, np.sin(angle), 0.0)
    # Counted from the middle cosine and sine are orthogonal: one is even, the other odd.
    even = np.einsum("ij,ij->i", off.values, cosine) / np.maximum(
        np.einsum("ij,ij->i", cosine, cosine), 1e-12
    )
    odd = np.einsum("ij,ij->i", off.values, sine) / np.maximum(np.einsum("ij,ij->i", sine, sine), 1e-12)
    return np.hypot(even, odd), off.less(even[:, None] * cosine + odd[:, None] * sine)
