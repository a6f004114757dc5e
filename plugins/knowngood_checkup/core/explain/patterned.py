"""Versions of a fault by its pattern: what a fault of common size moves, for every size and load.

A fault of size s moves the deviations d of a window by s^g m(octaves), with a growth g of 1 for most parts;
the direction scatters from car to car. The size is spread log-normally.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import logsumexp

from knowngood_checkup.core.explain.evidence import SIGNALS, Signal
from knowngood_checkup.core.explain.loads import load_cases
from knowngood_checkup.core.explain.versions import Versions
from knowngood_refdata.records import MeteringDevice

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from numpy.typing import NDArray

    from knowngood_checkup.core.explain.evidence import CarKind, Load, Observed, WindowDeviations
    from knowngood_checkup.core.explain.signatures import Signature
    from knowngood_checkup.core.explain.stack import Stack

    Vector = NDArray[np.float64]
    Signatures = Mapping[Load, Mapping[str, Signature]]

SIZES = np.exp(np.linspace(np.log(0.35), np.log(6.0), 15))
SIZE_MEDIAN = 0.9
IN_ALL_WINDOWS = 0.85
"""Correlation of a signature's scatter between the windows of one car."""

_NOT_HELD = np.array([one in (Signal.SUPERHEAT, Signal.SUBCOOLING) for one in SIGNALS])
_ORIFICE_SCATTERS = 2.0


@dataclass(frozen=True, slots=True)
class Moves:
    """What a fault of common size does to a stack: its moves and their growth (n,), their scatter (n, n)."""

    move: Vector
    growth: Vector
    scatter: NDArray[np.float64]

    def at(self, size: float) -> Vector:
        """The moves of a fault of this size, (n,)."""
        moved: Vector = self.move * size**self.growth
        return moved


def patterned(
    fault: str, observed: Observed, stack: Stack, signatures: Signatures
) -> Iterator[tuple[tuple[Load, ...], Versions]]:
    """All versions of a fault by its pattern, with what the compressor does in each window."""
    for weight, loads in load_cases(observed.windows, observed.car, fault):
        signature = signatures[loads[0]][fault]
        moved = moves(fault, observed.windows, stack, loads, signatures, observed.car)
        signs = (1.0, -1.0) if signature.either_way else (1.0,)
        log_prior = -0.5 * ((np.log(SIZES) - np.log(SIZE_MEDIAN)) / signature.size_sigma) ** 2
        log_prior += np.log(weight / len(signs)) - logsumexp(log_prior)
        for sign in signs:
            move = sign * moved.move * SIZES[:, None] ** moved.growth
            yield loads, Versions(log_prior, SIZES, move, SIZES, moved.scatter)


def moves(
    fault: str,
    windows: tuple[WindowDeviations, ...],
    stack: Stack,
    loads: tuple[Load, ...],
    signatures: Signatures,
    car: CarKind,
) -> Moves:
    """What a fault of common size does.

    A car whose superheat moves more than most does so in every window: most of a signal's scatter is common.
    An orifice tube holds neither superheat nor subcooling, so both scatter more on it. No car has exactly
    the shape of a signature, and the more it moves the less: each window has a scatter of its own, too.
    """
    used = [signatures[load][fault] for load in loads]
    place = (stack.window_of, stack.signal_of)
    move = np.array([one.at(window.octaves) for one, window in zip(used, windows, strict=True)])[place]
    growth = np.array([one.growth for one in used])[place]
    deviation = np.array([one.scatter for one in used])[place]
    if car.metering is MeteringDevice.ORIFICE_TUBE:
        deviation[_NOT_HELD[stack.signal_of]] *= _ORIFICE_SCATTERS
    alike = IN_ALL_WINDOWS * stack.alike(1.0, used[0].tied)
    np.fill_diagonal(alike, 1.0)
    shape = used[0].shape ** 2 * np.mean(move**2) * stack.alike(0.0, used[0].tied)
    return Moves(move, growth, alike * np.outer(deviation, deviation) + shape)
