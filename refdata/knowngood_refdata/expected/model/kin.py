"""How much stands behind a range: readings, cars and configurations of the nearest kin."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.model.forecast import Basis, Kin

if TYPE_CHECKING:
    from knowngood_refdata.expected.model.fitted import Fitted
    from knowngood_refdata.expected.model.nesting import Places


@dataclass(frozen=True, slots=True)
class Backing:
    """Counts of what stands behind a range. Cars without a name count as one a configuration."""

    readings: int
    cars: int
    configurations: int


def backing(fitted: Fitted, kin: Kin) -> Backing:
    """Count the kin's readings."""
    nesting = fitted.tree.nesting
    if kin.basis is Basis.UNIT:
        visits = np.flatnonzero(nesting.unit.of == kin.node)
        return Backing(int(np.isin(nesting.visit.of, visits).sum()), 1, 1)
    configurations = _configurations(fitted, kin)
    cars = np.isin(nesting.configuration.of, configurations)
    of_reading = nesting.configuration.of[nesting.unit.of[nesting.visit.of]]
    return Backing(int(np.isin(of_reading, configurations).sum()), int(cars.sum()), len(configurations))


def _configurations(fitted: Fitted, kin: Kin) -> Places:
    nesting = fitted.tree.nesting
    if kin.basis is Basis.CONFIGURATION:
        return np.array([kin.node])
    if kin.basis is Basis.FAMILY:
        return np.flatnonzero(nesting.family.of == kin.node)
    if kin.basis is Basis.MAKER:
        return np.flatnonzero(nesting.maker[nesting.family.of] == kin.node)
    return np.arange(len(nesting.family.of))


def whole_book(fitted: Fitted) -> Backing:
    """Counts of all readings of the quantity."""
    return backing(fitted, Kin(Basis.ALL, None))


def makers_and_families(fitted: Fitted) -> tuple[int, int]:
    """How many makers and families have readings of the quantity."""
    return len(np.unique(fitted.tree.nesting.maker)), len(fitted.tree.nesting.maker)
