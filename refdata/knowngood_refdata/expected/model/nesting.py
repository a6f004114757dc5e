"""Which reading belongs to which visit, car, configuration, family and maker: sorted, so that sums are quick.

Rows lie sorted by all levels. A level of n nodes is described by ``start`` (n,), the place of the first
child of each node among the nodes below, and ``of`` (children,), the node of each child.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Places = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Grouping:
    """How the nodes below gather into the nodes of one level: ``start`` (nodes,), ``of`` (children,)."""

    start: Places
    of: Places

    @property
    def count(self) -> int:
        """How many nodes the level has."""
        return len(self.start)

    def sums(self, values: Floats) -> Floats:
        """Sums over the children of each node, along the last axis."""
        return np.add.reduceat(values, self.start, axis=-1)


@dataclass(frozen=True, slots=True)
class Nesting:
    """The levels from the readings upwards, and what a family is made of.

    Attributes
    ----------
    visit, unit, configuration, family
        Readings into visits, visits into units, units into configurations, configurations into families.
    maker, blocks
        For each family the maker (families,), and the groups of traits it belongs to (traits, families).
    makers, traits
        How many makers there are, and how many groups each trait has.
    """

    visit: Grouping
    unit: Grouping
    configuration: Grouping
    family: Grouping
    maker: Places
    blocks: Places
    makers: int
    traits: tuple[int, ...]

    def readings_of_configuration(self) -> Grouping:
        """Readings gathered straight into configurations."""
        unit = self.unit.start[self.configuration.start]
        of = self.configuration.of[self.unit.of[self.visit.of]]
        return Grouping(self.visit.start[unit], of)

    def visits_of_configuration(self) -> Grouping:
        """Visits gathered straight into configurations."""
        return Grouping(self.unit.start[self.configuration.start], self.configuration.of[self.unit.of])


def nested(
    codes: NDArray[np.int64], maker_of_family: Places, blocks: Places, traits: tuple[int, ...], makers: int
) -> Nesting:
    """Gather sorted rows by their codes (4, rows): family, configuration, unit, visit.

    ``maker_of_family`` and ``blocks`` are given by the code of the family.
    """
    levels: list[Grouping] = []
    rows = np.arange(codes.shape[1])
    for depth in (4, 3, 2, 1):
        part = codes[:depth, rows]
        change = np.concatenate([[True], (part[:, 1:] != part[:, :-1]).any(axis=0)])
        start = np.flatnonzero(change)
        levels.append(Grouping(start, np.cumsum(change) - 1))
        rows = rows[start]
    family_codes = codes[0, rows]
    visit, unit, configuration, family = levels
    return Nesting(
        visit,
        unit,
        configuration,
        family,
        maker_of_family[family_codes],
        blocks[:, family_codes],
        makers,
        traits,
    )
