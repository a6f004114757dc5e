"""A mapping changed by hand: one column a meaning, units and fields only where they belong."""

from __future__ import annotations

import pytest

from knowngood_refdata.quantities import Kind
from knowngood_specs.core.importing.mapping import ColumnMapping, ColumnUse
from knowngood_specs.core.importing.remapping import fitting, retaken, units_of
from knowngood_specs.core.importing.targets import LEFT_OUT, Meaning, Target

MAKE, MODEL, NOTES = Meaning(Target.MAKE), Meaning(Target.MODEL), Meaning(Target.NOTES)


def mapping(*meanings: Meaning) -> ColumnMapping:
    return ColumnMapping(tuple(ColumnUse(place, f"c{place}", one) for place, one in enumerate(meanings)))


def test_a_meaning_that_moves_to_another_column_leaves_its_former_one_out() -> None:
    changed = retaken(mapping(MAKE, MODEL, LEFT_OUT), 2, MODEL)
    assert [one.meaning for one in changed.uses] == [MAKE, LEFT_OUT, MODEL]


def test_the_same_part_of_another_field_stays_where_it_is() -> None:
    charge, oil = Meaning(Target.PRINTED, "charge", "g"), Meaning(Target.PRINTED, "oil")
    changed = retaken(mapping(charge, LEFT_OUT), 1, oil)
    assert [one.meaning for one in changed.uses] == [charge, oil]


@pytest.mark.parametrize("many", [NOTES, Meaning(Target.CITATION), LEFT_OUT])
def test_several_columns_may_be_notes_citations_or_left_out(many: Meaning) -> None:
    changed = retaken(mapping(many, MODEL), 1, many)
    assert [one.meaning for one in changed.uses] == [many, many]


def test_a_name_keeps_neither_field_nor_unit() -> None:
    assert fitting(Target.MAKE, "charge", "g", kind=Kind.MASS) == MAKE


def test_a_unit_stays_only_with_a_field_that_is_measured_in_it() -> None:
    assert fitting(Target.PRINTED, "charge", "oz", kind=Kind.MASS).unit == "oz"
    assert fitting(Target.PRINTED, "low cut-out", "oz", kind=Kind.PRESSURE).unit == ""
    assert fitting(Target.PRINTED, "refrigerant", "oz", kind=None).unit == ""


def test_the_units_of_a_weight_begin_with_those_on_labels() -> None:
    assert units_of(Kind.MASS)[:4] == ("g", "kg", "oz", "lb")
    assert units_of(None) == ()
