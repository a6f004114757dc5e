"""What a compressor may do in each window of a session, and how probable that is."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from knowngood_checkup.core.explain.evidence import Load
from knowngood_checkup.core.explain.faults import Fault
from knowngood_refdata.records import CompressorKind

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from knowngood_checkup.core.explain.evidence import CarKind, WindowDeviations

_ANY_TURN = 0.2
"""How far the probability of full stroke is doubted: in so many cars the stroke fills up anywhere."""
_SAME_SPEED = 0.25
"""Octaves of engine speed within which the stroke is full in all windows or in none."""
_DRIVEN = 0.4
"""How often what lacks capacity drives a compressor that holds the air to full stroke (a judgement)."""

_REGULATES = {
    CompressorKind.FIXED: {Load.FULL_STROKE: 1.0},
    CompressorKind.INTERNAL_VARIABLE: {Load.HOLDS_SUCTION: 1.0},
    CompressorKind.EXTERNAL_VARIABLE: {Load.HOLDS_AIR: 1.0},
    CompressorKind.ELECTRIC: {Load.HOLDS_AIR: 1.0},
    None: {Load.FULL_STROKE: 0.3, Load.HOLDS_SUCTION: 0.3, Load.HOLDS_AIR: 0.4},
}
"""What a compressor holds below full stroke; of an unknown one any may be."""
_SHORT = frozenset({Fault.UNDERCHARGE, Fault.RESTRICTION, Fault.WEAK_COMPRESSOR})
"""What leaves a car short of its capacity."""


def load_cases(
    windows: tuple[WindowDeviations, ...], car: CarKind, fault: str
) -> Iterator[tuple[float, tuple[Load, ...]]]:
    """What the compressor may do in each window when the car has this fault, with the probability.

    The faster it turns the less stroke it needs: at full stroke in one window, so in the slower ones and in
    those of the same speed.
    """
    speeds = _speeds(windows)
    count = len(windows)
    for below, share in _REGULATES[car.compressor].items():
        if below is Load.FULL_STROKE:
            yield share, (Load.FULL_STROKE,) * count
            continue
        chances = [max(windows[index].full_stroke for index in group) for group in speeds]
        for full, weight in enumerate(_turns(chances)):
            at_full = frozenset(index for group in speeds[:full] for index in group)
            for part, regulated in _regulated(below, fault):
                loads = tuple(Load.FULL_STROKE if one in at_full else regulated for one in range(count))
                yield share * weight * part, loads


def _speeds(windows: tuple[WindowDeviations, ...]) -> list[list[int]]:
    """The windows by engine speed, the slowest first; those of one speed stand together."""
    groups: list[list[int]] = []
    for index in sorted(range(len(windows)), key=lambda index: windows[index].octaves):
        if groups and windows[index].octaves - windows[groups[-1][0]].octaves < _SAME_SPEED:
            groups[-1].append(index)
        else:
            groups.append([index])
    return groups


def _regulated(below: Load, fault: str) -> tuple[tuple[float, Load], ...]:
    """What it may do where that of a healthy car regulates."""
    if below is Load.HOLDS_AIR and fault in _SHORT:
        return (1.0 - _DRIVEN, Load.HOLDS_AIR), (_DRIVEN, Load.DRIVEN)
    return ((1.0, below),)


def _turns(full_stroke: Sequence[float]) -> NDArray[np.float64]:
    """Probability that the first 0, 1 ... n windows, by engine speed, are at full stroke, (n + 1,)."""
    never_rising = np.minimum.accumulate(np.clip(full_stroke, 1e-3, 1.0 - 1e-3))
    at_least = np.concatenate([[1.0], never_rising, [0.0]])
    weights = np.maximum(at_least[:-1] - at_least[1:], 1e-6)
    doubted: NDArray[np.float64] = (1.0 - _ANY_TURN) * weights / weights.sum() + _ANY_TURN / weights.size
    return doubted
