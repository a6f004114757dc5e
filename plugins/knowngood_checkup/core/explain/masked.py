"""What this load cannot tell: explanations that would not show in these readings even if they were true."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from knowngood_checkup.core.explain.cyclic import ways_moved
from knowngood_checkup.core.explain.faults import Fault, possible
from knowngood_checkup.core.explain.known import KNOWN, Known
from knowngood_checkup.core.explain.loads import load_cases
from knowngood_checkup.core.explain.patterned import moves
from knowngood_checkup.core.explain.stack import Stack, stacked
from knowngood_refdata.records import CompressorKind

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_checkup.core.explain.evidence import CarKind, Observed, WindowDeviations

    Vector = NDArray[np.float64]

COMMON_SIZE = 1.0
SEEN = 2.0
"""Standard deviations from the healthy cloud at which a fault of common size counts as seen."""
LIKELY = 0.5

_WITHOUT_SIGNATURE = frozenset({Fault.HEALTHY, Fault.NONE_OF_THESE})


class LoadThatCan(StrEnum):
    """Where a hidden explanation would show."""

    FULL = "full load at idle: doors open, blower at full speed, the compressor at full stroke"
    LIGHT = "light load at raised engine speed: cool cabin, blower low, the compressor regulating"
    MORE = "the quantities that were not measured here, or instruments of a better class"
    NONE = "no load: recover and weigh"


@dataclass(frozen=True, slots=True)
class Hidden:
    """An explanation that these readings cannot tell from a healthy car, and where it would show."""

    fault: str
    shows_at: LoadThatCan


def hidden(observed: Observed, known: Known = KNOWN) -> tuple[Hidden, ...]:
    """The explanations of common size that would not stand out, those of the record's compressor only."""
    kept = [fault for fault in possible(observed.car, observed.brought) if fault not in _WITHOUT_SIGNATURE]
    return tuple(
        Hidden(fault, _shows_at(fault, observed, known))
        for fault in kept
        if _seen(fault, observed.windows, observed.car, known) < LIKELY
    )


def _shows_at(fault: str, observed: Observed, known: Known) -> LoadThatCan:
    if fault is Fault.RESERVE_LOW:
        return LoadThatCan.NONE
    windows = observed.windows
    full = tuple(replace(one, full_stroke=1.0, octaves=0.0) for one in windows)
    if _seen(fault, full, observed.car, known) >= LIKELY:
        return LoadThatCan.FULL
    light = tuple(replace(one, full_stroke=0.0, octaves=max(one.octaves, 1.0)) for one in windows)
    if _seen(fault, light, observed.car, known) >= LIKELY:
        return LoadThatCan.LIGHT
    return LoadThatCan.MORE


def _seen(fault: str, windows: tuple[WindowDeviations, ...], car: CarKind, known: Known) -> float:
    """Probability, over what may be regulated, that a fault of common size stands out of the healthy cloud.

    It stands out when its Mahalanobis distance is at least `SEEN`.
    """
    stack = stacked(windows)
    if not stack.values.size:
        return 0.0
    ways = known.ways_of(fault)
    total = 0.0
    for weight, loads in load_cases(windows, car, fault):
        move = moves(fault, windows, stack, loads, known.signatures, car).at(COMMON_SIZE)
        total += weight * float(_stands_out(move, stack)) * (1.0 - ways.sum())
    if ways.size:
        moved = ways_moved(Fault(fault), car, windows, COMMON_SIZE)[:, stack.window_of, stack.signal_of]
        total += float(ways @ _stands_out(moved, stack))
    return total


def _stands_out(move: Vector, stack: Stack) -> NDArray[np.bool_]:
    """Whether a move, (n,), or each of several, (ways, n), is far from the healthy cloud."""
    seen: NDArray[np.bool_] = np.linalg.norm(move @ stack.whitener.T, axis=-1) >= SEEN
    return seen


def hides(car: CarKind) -> bool:
    """Whether the compressor can hide a fault by its displacement or speed."""
    return car.compressor is not CompressorKind.FIXED
