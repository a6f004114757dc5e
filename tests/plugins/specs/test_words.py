"""The record in lines, in both unit systems."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from knowngood.formatting import System
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import SourceKind, SpecDecided, SpecValue, Vehicle
from knowngood_specs.core.fields import Field, Section, field_named, with_shop_fields
from knowngood_specs.gather import Evidence
from knowngood_specs.reading import read_quantity
from knowngood_specs.words import (
    FieldLines,
    amount_echo,
    build_line,
    cautions,
    charge_echo,
    counts_because,
    evidence_text,
    origin_line,
    record_sections,
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


def read_mass(text: str) -> tuple[float, float | None]:
    return read_quantity(text, Kind.MASS)


def fields_told(vehicle: Vehicle, system: System) -> dict[str, FieldLines]:
    return {one.title: one for part in record_sections(vehicle, system) for one in part.fields}


def test_the_charge_is_the_first_line_and_unusual_fields_the_last() -> None:
    titles = list(fields_told(SKERRY, System.SI))
    assert titles[0] == "Charge weight"
    assert titles[-1] == "Belt"


def test_usual_fields_are_told_even_when_empty_and_others_only_named() -> None:
    part = next(one for one in record_sections(SKERRY, System.SI) if one.title == "Compressor")
    assert [(one.title, one.values) for one in part.fields] == [("Compressor", ())]
    assert "Displacement" in part.others


def test_a_field_of_the_shop_stands_in_its_section_and_converts() -> None:
    own = Field("reheat oil", "Reheat oil", Kind.VOLUME, section=Section.OIL)
    held = SpecValue(9, "reheat oil", 20e-6, None, "20 mL", LABEL, "label")
    vehicle = Vehicle(2, "Fen", "Harrier", "", 2015, None, specs={"reheat oil": (held,)})
    oil = record_sections(vehicle, System.US, with_shop_fields([own]))[1]
    assert [one.title for one in oil.fields] == ["Oil", "Reheat oil"]
    # 20 mL are 0.68 US fluid ounces: NIST SP 811, appendix B (from memory).
    assert oil.fields[1].values[0].converted == "0.7 fl oz"


def test_a_pressure_says_that_it_was_taken_as_gauge() -> None:
    # 32 bar gauge is 33.01325 bar absolute over the standard atmosphere of 101,325 Pa, ISO 2533.
    cut_out = SpecValue(9, "high cut-out", 3_301_325.0, None, "32 bar", BOOK, "p. 3")
    assert value_line(cut_out, System.SI).converted == "32.0 bar g"


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
    conflicts = {title: one.conflict for title, one in fields_told(SKERRY, System.US).items()}
    assert "they differ" in conflicts.pop("Charge weight")
    assert set(conflicts.values()) == {""}


def test_evaporators_are_known_from_the_name_when_no_source_tells() -> None:
    line = fields_told(SKERRY, System.SI)["Evaporators"]
    assert [one.as_printed for one in line.values] == ["single evaporator"]


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


def test_a_typed_value_is_echoed_as_its_field_reads_it() -> None:
    echoed = {
        text: amount_echo(field_named(name), text, read_quantity)
        for name, text in (
            ("oil", "PAG 46"),
            ("displacement", "160 cc"),
            ("high cut-out", "464 psi"),
            ("fan", "two-stage fan"),
            ("relief valve", "38"),
        )
    }
    assert echoed == {
        "PAG 46": "kept as text: no single amount is read from it",
        "160 cc": "understood as 160 cm³",
        # 464 psi is 31.99 bar by the factor of NIST SP 811, appendix B (from memory).
        "464 psi": "understood as 32.0 bar g = 464.0 psig",
        "two-stage fan": "",
        "38": "",
    }


def test_a_decision_is_told_with_its_reason_where_the_values_stand() -> None:
    at = datetime(2026, 3, 4, 12, tzinfo=UTC)
    decided = SpecDecided("charge", 2, "bulletin 12 replaces the label", "Bo Moss", at)
    assert counts_because(BOOK_CHARGE, decided) == (
        "Counts: decided by Bo Moss on 2026-03-04: bulletin 12 replaces the label"
    )
    assert "most trusted" in counts_because(CHARGE, None)


def test_build_months_generation_and_body_are_told_under_the_name() -> None:
    split = replace(SKERRY, build_from="2022-06", generation="2", body="estate")
    assert build_line(split) == "Generation 2, estate, built from June 2022"
    assert build_line(SKERRY) == ""
