"""What two configurations of a pair differ in."""

from __future__ import annotations

import pytest

from knowngood_comparison.core.alike import charge_difference, charges, otherwise
from knowngood_refdata.records import SourceKind, SpecValue, Vehicle

LABEL, BOOK = SourceKind.UNDER_HOOD_LABEL, SourceKind.SERVICE_INFORMATION


def charge(kg: float | None, source: SourceKind = LABEL) -> SpecValue:
    return SpecValue(1, "charge", kg, None, "as printed", source, "label of car 3")


def text(field: str, printed: str) -> SpecValue:
    return SpecValue(1, field, None, None, printed, BOOK, "manual")


def wader(*values: SpecValue, market: str = "", year_to: int | None = 2022) -> Vehicle:
    specs: dict[str, tuple[SpecValue, ...]] = {}
    for value in values:
        specs[value.field] = (*specs.get(value.field, ()), value)
    return Vehicle(1, "Fen", "Wader", "1.2 petrol", 2017, year_to, market=market, specs=specs)


def test_the_difference_of_the_charges_counts_from_the_first() -> None:
    found = charge_difference(wader(charge(0.570)), wader(charge(0.520)))
    assert found is not None
    assert found.kg == pytest.approx(-0.050)
    assert found.share == pytest.approx(-0.0877, abs=1e-4)


def test_the_most_trusted_source_counts_and_the_others_stay_visible() -> None:
    car = wader(charge(0.520), charge(0.540, BOOK))
    found = charge_difference(wader(charge(0.570)), car)
    assert found is not None
    assert found.kg == pytest.approx(-0.050)
    assert [one.value for one in charges(car)] == [0.520, 0.540]


@pytest.mark.parametrize("values", [(), (charge(None),), (charge(0.0),)])
def test_without_a_weight_on_one_side_there_is_no_difference(values: tuple[SpecValue, ...]) -> None:
    assert charge_difference(wader(*values), wader(charge(0.520))) is None


def test_only_what_differs_is_listed_and_what_is_not_on_record_is_empty() -> None:
    first = wader(text("oil", "PAG 46, 100 mL"), text("fan", "two-stage fan"), market="export", year_to=None)
    second = wader(text("oil", "PAG 46, 90 mL"), text("fan", "Two-stage fan"))
    found = {one.name: (one.first, one.second) for one in otherwise(first, second)}
    assert found == {
        "years": ("2017 on", "2017 to 2022"),
        "market": ("export", ""),
        "oil": ("PAG 46, 100 mL", "PAG 46, 90 mL"),
    }
