"""The record in lines, in both unit systems."""

from __future__ import annotations

from knowngood.formatting import System
from knowngood_refdata.records import SourceKind, SpecValue, Vehicle
from knowngood_specs.gather import Evidence
from knowngood_specs.panels.vehicle_dialog import read_mass
from knowngood_specs.words import (
    cautions,
    charge_echo,
    evidence_text,
    list_line,
    origin_line,
    record_lines,
    short_name,
    source_text,
    value_line,
)

LABEL, BOOK = SourceKind.UNDER_HOOD_LABEL, SourceKind.SERVICE_INFORMATION
CHARGE = SpecValue(
    1,
    "charge",
    0.470,
    0.015,
    "470 ± 15 g",
    LABEL,
    "photographed",
    entered_by="Ada Fell",
    reviewed_by="Bo Moss",
)
BOOK_CHARGE = SpecValue(2, "charge", 0.5, None, "500 g", BOOK, "section 82", revision="B")
GAS = SpecValue(3, "refrigerant", None, None, "R-1234yf", LABEL, "photographed")
OIL = SpecValue(4, "oil", 120e-6, None, "PAG 46, 120 mL", BOOK, "section 82")
SKERRY = Vehicle(
    1,
    "Tarn",
    "Skerry",
    "1.6 petrol",
    2021,
    2023,
    market="north",
    evaporators="single evaporator",
    maker="Tarn Works",
    family="S2",
    specs={"charge": (CHARGE, BOOK_CHARGE), "refrigerant": (GAS,), "oil": (OIL,), "belt": (GAS,)},
)


def test_the_charge_is_the_first_line_and_unusual_fields_the_last() -> None:
    titles = [one.title for one in record_lines(SKERRY, System.SI)]
    assert titles[0] == "Charge weight"
    assert titles[-1] == "Belt"


def test_a_value_printed_in_the_shown_units_is_not_said_twice() -> None:
    assert value_line(CHARGE, System.SI).converted == ""
    assert value_line(OIL, System.SI).converted == ""


# 470 g = 16.58 oz and 120 mL = 4.06 fl oz, by the ounces of NIST SP 811, appendix B (from memory).
def test_a_value_printed_in_other_units_is_converted_with_its_tolerance() -> None:
    assert value_line(CHARGE, System.US).converted == "16.6 ± 0.5 oz"
    assert value_line(OIL, System.US).converted == "4.1 fl oz"
    assert value_line(CHARGE, System.US).as_printed == "470 ± 15 g"


def test_a_longer_number_does_not_hide_the_conversion() -> None:
    twelve = SpecValue(1, "charge", 0.35, None, "1350 g misprinted", LABEL, "label")
    assert value_line(twelve, System.SI).converted == "350 g"


def test_the_source_names_kind_place_and_people() -> None:
    assert source_text(CHARGE) == ("under-hood label: photographed, entered by Ada Fell, reviewed by Bo Moss")
    assert source_text(BOOK_CHARGE) == "service information: section 82, revision B"


def test_a_citation_that_names_its_kind_does_not_name_it_twice() -> None:
    spec = SpecValue(1, "fan", None, None, "two-stage fan", LABEL, "Under-hood label, photo 3")
    assert source_text(spec) == "Under-hood label, photo 3"


def test_the_conflict_stands_with_its_field_alone() -> None:
    conflicts = {one.title: one.conflict for one in record_lines(SKERRY, System.US)}
    assert "they differ" in conflicts.pop("Charge weight")
    assert set(conflicts.values()) == {""}


def test_evaporators_are_known_from_the_name_when_no_source_tells() -> None:
    (line,) = [one for one in record_lines(SKERRY, System.SI) if one.title == "Evaporators"]
    assert [one.as_printed for one in line.values] == ["single evaporator"]


def test_the_list_shows_what_tells_variants_apart() -> None:
    assert short_name(SKERRY) == "Tarn Skerry 1.6 petrol, 2021\N{EN DASH}23"
    assert list_line(SKERRY) == "R-1234yf  470 ± 15 g  ·  north, single evaporator"
    assert list_line(Vehicle(2, "Fen", "Harrier", "", 2015, None)).endswith("charge weight not on record")


def test_the_maker_is_named_only_when_it_is_not_the_make() -> None:
    assert origin_line(SKERRY) == "Made by Tarn Works, system family S2"
    assert (
        origin_line(Vehicle(2, "Fen", "Harrier", "", 2015, None, maker="Fen", family="F"))
        == "System family F"
    )
    assert origin_line(Vehicle(2, "Fen", "Harrier", "", 2015, None, maker="Fen")) == ""


def test_the_evidence_counts_readings_cars_and_sessions() -> None:
    assert evidence_text(Evidence(9, 5, 1)) == "9 known-good readings of 5 cars  ·  1 session recorded"
    assert evidence_text(Evidence(0, 0, 0)) == "No known-good readings yet  ·  no sessions recorded"
    assert "cars not named" in evidence_text(Evidence(2, 0, 3))


def test_charging_is_by_weight_and_the_label_prevails_on_every_record() -> None:
    words = cautions(Vehicle(2, "Fen", "Harrier", "", 2015, None))
    assert "label on the car" in words
    assert "Charge by weight only" in words
    assert "flammable" not in words


def test_a_flammable_refrigerant_and_high_voltage_are_named_where_they_are() -> None:
    electric = SpecValue(5, "compressor", None, None, "Electric", LABEL, "label")
    vehicle = Vehicle(
        2, "Fen", "Harrier", "", 2015, None, specs={"refrigerant": (GAS,), "compressor": (electric,)}
    )
    # R-1234yf is of safety class A2L: ISO 817 (from memory).
    assert "A2L" in cautions(vehicle)
    assert "high voltage" in cautions(vehicle)
    assert "high voltage" not in cautions(SKERRY)


def test_a_typed_charge_is_echoed_in_both_systems() -> None:
    assert charge_echo("470 ± 15 g", read_mass) == "understood as 470 ± 15 g = 16.6 ± 0.5 oz"
    assert charge_echo("470", read_mass) == ""
