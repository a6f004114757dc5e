"""A mapping changed by hand: what one column takes over, another gives up."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_refdata.quantities import UNITS, Kind
from knowngood_specs.core.importing.targets import (
    LEFT_OUT,
    PARTS_OF_A_SOURCE,
    PARTS_OF_A_VALUE,
    Meaning,
    Target,
)

if TYPE_CHECKING:
    from knowngood_specs.core.importing.mapping import ColumnMapping

WITH_FIELD = PARTS_OF_A_VALUE | PARTS_OF_A_SOURCE
"""What may belong to one field."""

_TOGETHER = frozenset({Target.CITATION, Target.NOTES, Target.LEAVE_OUT})
"""What several columns may be at once: their texts are put together."""
_CHARGED = {Kind.MASS: ("g", "kg", "oz", "lb")}


def retaken(
    mapping: ColumnMapping, column: int, meaning: Meaning, *, fill_down: bool = False
) -> ColumnMapping:
    """The mapping with another meaning for a column; a column that had it before is left out."""
    changed = mapping.using(column, meaning, fill_down=fill_down)
    if meaning.target in _TOGETHER:
        return changed
    for use in mapping.uses:
        same = (use.meaning.target, use.meaning.of) == (meaning.target, meaning.of)
        if same and use.column != column:
            changed = changed.using(use.column, LEFT_OUT)
    return changed


def fitting(target: Target, of: str, unit: str, *, kind: Kind | None) -> Meaning:
    """A meaning without a field or a unit that cannot go with its target.

    ``kind`` is that of the field. A value as printed without a field belongs to the one that the row names.
    """
    if target not in WITH_FIELD:
        return Meaning(target)
    measured = target in PARTS_OF_A_VALUE and target is not Target.UNIT and (kind is not None or not of)
    return Meaning(target, of, unit if measured and (not of or unit in units_of(kind)) else "")


def units_of(kind: Kind | None) -> tuple[str, ...]:
    """The units in which the numbers of a column can be, the usual ones first."""
    if kind is None:
        return ()
    usual = _CHARGED.get(kind, ())
    return (*usual, *(one.symbol for one in UNITS if one.kind is kind and one.symbol not in usual))
