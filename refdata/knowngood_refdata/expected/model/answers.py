"""The answer of both sides to engine speed, from readings of one visit that differ in it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.model.extract import Extract

if TYPE_CHECKING:
    from numpy.typing import NDArray

LEAST_OCTAVES = 0.4
"""Engine speeds nearer to one another show more scatter than answer."""
_SPEED, _STAGE = 3, 4


def answers(extracted: Extract) -> Extract:
    """One row a pair of readings: the change of both logarithms of pressure a doubling of engine speed.

    The first reading of a visit pairs with every later one at another engine speed and the same fan stage.
    A reading that comes later never changes an earlier pair. What the instruments were off by is the same in
    both readings and mostly falls out, so that no uncertainty is stated and the scatter itself tells.
    """
    first, second = _pairs(extracted)
    octaves = extracted.raw[_SPEED, second] - extracted.raw[_SPEED, first]
    change = (extracted.log_pressure[:, second] - extracted.log_pressure[:, first]) / octaves
    rows = extracted.raw[:, second].copy()
    rows[_SPEED] = 0.5 * (extracted.raw[_SPEED, first] + extracted.raw[_SPEED, second])
    return Extract(
        tuple(extracted.readings[i] for i in second), rows, extracted.keys[:, second], change,
        np.full_like(change, np.nan), extracted.log_pressure[:, second],
    )  # fmt: skip


def _pairs(extracted: Extract) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    vehicle, unit, visit, _, ident = extracted.keys
    order = np.lexsort((ident, visit, unit, vehicle))
    if not len(order):
        return order, order
    key = np.vstack([vehicle, unit, visit])[:, order]
    begins = np.concatenate([[True], (key[:, 1:] != key[:, :-1]).any(axis=0)])
    first = order[np.flatnonzero(begins)][np.cumsum(begins) - 1]
    speed, stage = extracted.raw[_SPEED], extracted.raw[_STAGE]
    apart = np.abs(speed[order] - speed[first]) >= LEAST_OCTAVES
    same = (stage[order] == stage[first]) | (np.isnan(stage[order]) & np.isnan(stage[first]))
    kept = apart & same
    return first[kept], order[kept]
