"""Two vehicles field by field."""

from __future__ import annotations

from knowngood_refdata.records import SourceKind, SpecValue, Vehicle
from knowngood_specs.core.side_by_side import Pair, side_by_side


def charge(text: str, value_kg: float, kind: SourceKind) -> dict[str, tuple[SpecValue, ...]]:
    return {"charge": (SpecValue(1, "charge", value_kg, None, text, kind, "seen"),)}


def pairs(one: Vehicle, other: Vehicle) -> dict[str, Pair]:
    return {pair.title: pair for pair in side_by_side(one, other)}


def test_one_weight_in_two_units_is_no_difference() -> None:
    # 17.6 oz = 499 g: the avoirdupois ounce is 28.349523125 g, NIST SP 811 appendix B (from memory).
    one = Vehicle(1, "Tarn", "Skerry", "", 2021, None, specs=charge("500 g", 0.5, SourceKind.MEASURED))
    other = Vehicle(
        2, "Tarn", "Skerry", "", 2021, None, specs=charge("17.6 oz", 0.498952, SourceKind.BULLETIN)
    )
    pair = pairs(one, other)["Charge weight"]
    assert (pair.one, pair.other, pair.differs) == ("500 g (measured)", "17.6 oz (bulletin)", False)


def test_what_both_say_differently_is_told_from_what_one_alone_says() -> None:
    one = Vehicle(1, "Tarn", "Skerry", "1.6 petrol", 2021, 2023, body="estate")
    other = Vehicle(2, "Tarn", "Skery", "1.6 Petrol", 2021, 2023)
    found = pairs(one, other)
    assert found["Model"].differs
    assert not found["Engine or drive"].differs
    assert (found["Body"].other, found["Body"].differs) == ("", False)


def test_fields_that_neither_fills_are_left_out() -> None:
    one = Vehicle(1, "Tarn", "Skerry", "", 2021, 2023)
    assert set(pairs(one, one)) == {"Make", "Model", "Model years"}
