"""The upper part of the tree: which vehicles, families and makers there are, each with its number."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from knowngood_refdata.expected.model.nesting import Places
    from knowngood_refdata.expected.model.vehicles import Branch, Place


@dataclass(frozen=True, slots=True)
class Stem:
    """Numbers count in sorted order, so that the order in which readings came leaves no trace.

    Attributes
    ----------
    places
        Of the vehicles, sorted.
    number_of
        The number of each vehicle by its id.
    branches, makers
        The number of each family and maker.
    family
        For each vehicle the number of its family (vehicles,).
    maker, blocks
        For each family its maker (families,), and its traits (2, families).
    """

    places: tuple[Place, ...]
    number_of: dict[int, int]
    branches: dict[Branch, int]
    makers: dict[str, int]
    family: NDArray[np.int64]
    maker: Places
    blocks: Places


def stem(places: Iterable[Place]) -> Stem:
    """Sort and count."""
    keyed = sorted((one.branch, one.vehicle, one) for one in places)
    placed = tuple(one for _, _, one in keyed)
    branches: dict[Branch, int] = {}
    family = [branches.setdefault(branch, len(branches)) for branch, _, _ in keyed]
    makers: dict[str, int] = {}
    maker = [makers.setdefault(branch[0], len(makers)) for branch in branches]
    blocks = [[branch[2] for branch in branches], [branch[3] for branch in branches]]
    return Stem(
        placed,
        {one.vehicle: number for number, one in enumerate(placed)},
        branches,
        makers,
        np.array(family, dtype=np.int64),
        np.array(maker, dtype=np.intp),
        np.array(blocks, dtype=np.intp),
    )
