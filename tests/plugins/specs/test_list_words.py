"""A vehicle in the two lines of the list."""

from __future__ import annotations

from dataclasses import replace

from knowngood_refdata.queries.finding import VehicleLine
from knowngood_specs.list_words import list_line, short_name, variant

SKERRY = VehicleLine(
    id=1, make="Tarn", model="Skerry", engine="1.6 petrol", year_from=2021, year_to=2023, market="north",
    evaporators="single evaporator", build_from="", build_to="2022-05", generation="2nd", body="estate",
    maker="Tarn Works", family="S2", refrigerant="R-1234yf", charge="470 ± 15 g",
)  # fmt: skip


def test_the_first_line_names_the_vehicle_and_the_second_what_tells_variants_apart() -> None:
    assert short_name(SKERRY) == "Tarn Skerry 1.6 petrol, 2021\N{EN DASH}23"
    assert variant(SKERRY) == "built up to May 2022, 2nd, estate, north, single evaporator"
    assert list_line(SKERRY).startswith("R-1234yf  470 ± 15 g  ·  built up to May 2022, 2nd")


def test_what_is_missing_is_said_to_be_missing() -> None:
    bare = replace(SKERRY, refrigerant="", charge="")
    assert "refrigerant not on record  charge weight not on record" in list_line(bare)


def test_values_that_differ_are_named_before_the_variant() -> None:
    assert "470 ± 15 g  ·  values differ  ·  built up to" in list_line(SKERRY, in_conflict=True)
