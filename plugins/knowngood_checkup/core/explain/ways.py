"""The ways in which a car may answer a fault: draws that are always the same.

A fault has a size, a car a nature, its compressor a reserve; none is known. They are spread over what is
plausible by a scrambled Sobol sequence with a fixed seed, so that a session has one answer. The spreads are
judgements (common practice, no source); `learned` weighs the ways by what confirmed cases showed.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import ndtri
from scipy.stats import qmc

from knowngood_checkup.core.explain.cycle import Nature, Tube
from knowngood_refdata.records import CompressorKind, MeteringDevice

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_checkup.core.explain.evidence import CarKind, WindowDeviations

    Vector = NDArray[np.float64]

COUNT = 256
_DIMENSIONS, _SEED = 24, 7
_SIZE_MEDIAN, _SIZE_SIGMA = 0.9, 0.6
_DOUBTED = 0.2
"""In so many cars the stroke fills up elsewhere than the book's cars show."""


@dataclass(frozen=True, slots=True)
class Draws:
    """Evenly spread draws (ways, dimensions), taken one dimension after another."""

    evenly: NDArray[np.float64]

    def between(self, place: int, low: float, high: float) -> Vector:
        """Evenly between two numbers, (ways,)."""
        spread: Vector = low + (high - low) * self.evenly[:, place]
        return spread

    def about(self, place: int, middle: float, sigma: float) -> Vector:
        """Log-normal about a median, (ways,)."""
        spread: Vector = middle * np.exp(sigma * ndtri(self.evenly[:, place]))
        return spread


@cache
def draws() -> Draws:
    """The draws, made once: each dimension belongs to one thing that is not known."""
    evenly = qmc.Sobol(_DIMENSIONS, scramble=True, seed=_SEED).random(COUNT)
    return Draws(np.clip(evenly, 1e-4, 1.0 - 1e-4))


def sizes() -> Vector:
    """The size of the fault in each way; 1 is a common one, (ways,)."""
    return draws().about(0, _SIZE_MEDIAN, _SIZE_SIGMA)


def nature_of(car: CarKind) -> Nature:
    """How a car of this kind may answer."""
    drawn, tube = draws(), car.metering is MeteringDevice.ORIFICE_TUBE
    return Nature(
        coil_exponent=drawn.between(1, 0.45, 0.8),
        density_per_k=drawn.about(2, 0.036, 0.15),
        lift_per_k=drawn.about(3, 0.007, 0.35),
        subcooling_per_charge=drawn.about(4, 38.0, 0.35),
        starving=drawn.about(5, 2.0, 0.35),
        drying=drawn.about(6, 2.2, 0.35),
        backing_up=drawn.about(7, 3.0, 0.35),
        droop=drawn.between(8, 0.0, 0.5),
        liquid_follows=drawn.between(9, 0.1, 0.9),
        overfeeding=drawn.between(10, 0.03, 0.2),
        least_stroke=drawn.about(11, 0.12, 0.4),
        slips=0.4 if tube else 0.0,
        passes_more=_tube(drawn) if tube else None,
    )


def _tube(drawn: Draws) -> Tube:
    return Tube(
        by_high_per_k=drawn.between(20, 0.0, 0.03),
        low_k=drawn.between(21, 0.0, 15.0),
        superheat_k=drawn.between(22, 0.0, 25.0),
        subcooling_k=drawn.between(23, 0.0, 25.0),
    )


def margins(car: CarKind, windows: tuple[WindowDeviations, ...]) -> list[Vector]:
    """Logarithm of what the compressor can deliver as a share of what it needs, of each window, (ways,).

    Where the book says that it works at full stroke it has none to spare; elsewhere it has the more the
    faster it turns. The book is doubted in some of the ways.
    """
    if car.compressor is CompressorKind.FIXED:
        return [np.zeros(COUNT)] * len(windows)
    drawn = draws()
    spare, faster = drawn.between(14, 0.03, 0.9), drawn.between(15, 0.35, 0.65)
    turn, doubt, elsewhere = (drawn.evenly[:, place] for place in (16, 17, 18))
    never_full = turn > max((one.full_stroke for one in windows), default=0.0)
    slowest = min((one.octaves for one in windows), default=0.0)
    found = []
    for one in windows:
        octaves = one.octaves - slowest
        told = np.where(turn < one.full_stroke, 0.0, spare + faster * octaves * never_full)
        other = np.maximum(1.8 * elsewhere - 0.9 + faster * octaves, 0.0)
        found.append(np.where(doubt < _DOUBTED, other, told))
    return found


def holds_air(car: CarKind) -> NDArray[np.bool_]:
    """Whether the compressor regulates the air off the evaporator and not its low side, (ways,)."""
    kinds = (CompressorKind.EXTERNAL_VARIABLE, CompressorKind.ELECTRIC)
    if car.compressor is None:
        return draws().evenly[:, 18] < 0.5
    return np.full(COUNT, car.compressor in kinds)
