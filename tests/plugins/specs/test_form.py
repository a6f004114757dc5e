"""From what was typed to drafts, and the sentences that tell what is wrong."""

from __future__ import annotations

from dataclasses import asdict, fields, replace
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import SourceKind, Vehicle
from knowngood_specs.core.fields import Field, with_shop_fields
from knowngood_specs.core.form import (
    VehicleForm,
    designation,
    form_of,
    read_charge,
    read_vehicle,
    same_vehicle,
    vehicle_form,
    volume_in,
)
from knowngood_specs.core.value_form import ValueForm, read_value, value_form
from knowngood_specs.reading import read_quantity

if TYPE_CHECKING:
    from knowngood_refdata.drafts import SpecDraft, VehicleDraft

FULL = VehicleForm(
    make=" Tarn ",
    model="Skerry",
    engine="1.6  petrol",
    year_from="2021",
    year_to="2023",
    evaporators="single evaporator",
    maker="Tarn Works",
    family="S2",
    refrigerant="r1234yf",
    charge="470 ± 15 g",
    compressor="externally controlled variable",
    metering="expansion valve",
    fan="two-stage fan",
    source_kind="under-hood label",
    citation="photographed at 21,000 km",
    revision="2",
)


def read_mass(text: str) -> tuple[float, float | None]:
    return read_quantity(text, Kind.MASS)


def draft_of(form: VehicleForm) -> VehicleDraft:
    checked = read_vehicle(form, read_mass)
    assert checked.problems == ()
    assert checked.draft is not None
    return checked.draft


def words(form: VehicleForm, entry: str) -> str:
    checked = read_vehicle(form, read_mass)
    assert checked.draft is None
    (found,) = [one.words for one in checked.problems if one.entry == entry]
    return found


def test_a_full_form_becomes_a_vehicle_with_all_its_values_from_one_source() -> None:
    draft = draft_of(FULL)
    assert (draft.make, draft.engine, draft.year_from, draft.year_to) == ("Tarn", "1.6 petrol", 2021, 2023)
    assert {one.field: one.as_printed for one in draft.specs} == {
        "refrigerant": "R-1234yf",
        "charge": "470 ± 15 g",
        "compressor": "externally controlled variable",
        "metering device": "expansion valve",
        "fan": "two-stage fan",
    }
    assert {(one.source_kind, one.citation, one.revision) for one in draft.specs} == {
        (SourceKind.UNDER_HOOD_LABEL, "photographed at 21,000 km", "2")
    }


# 1 lb = 0.45359237 kg exactly, 16 oz to the pound: NIST SP 811, appendix B (from memory).
@pytest.mark.parametrize(
    ("printed", "value_kg", "tolerance_kg"),
    [
        ("470 ± 15 g", 0.470, 0.015),
        ("17.6 oz", 17.6 * 0.45359237 / 16, None),
        ("0,50 kg", 0.5, None),
        ("1 lb 4 oz", 20 * 0.45359237 / 16, None),
        ("0.50 +/- 0.02 kg", 0.5, 0.02),
    ],
)
def test_a_charge_is_read_as_labels_print_it(
    printed: str, value_kg: float, tolerance_kg: float | None
) -> None:
    draft = draft_of(replace(FULL, charge=printed))
    (charge,) = [one for one in draft.specs if one.field == "charge"]
    assert charge.as_printed == printed
    assert charge.value == pytest.approx(value_kg)
    assert charge.tolerance == (None if tolerance_kg is None else pytest.approx(tolerance_kg))


@pytest.mark.parametrize(
    ("printed", "said"),
    [
        ("470", "with the unit"),
        ("470 ± 15", "with the unit"),
        ("1,200 g", "could mean 1200 or 1.200"),
        ("470 kg", "look at the unit again"),
        ("0.47 g", "look at the unit again"),
        ("15 ± 470 g", "look at the unit again"),
        ("470 ± 470 g", "tolerance is as large"),
        ("470 psi", "cannot be read"),
        ("full", "cannot be read"),
    ],
)
def test_a_charge_that_cannot_be_trusted_is_refused_in_words(printed: str, said: str) -> None:
    assert said in words(replace(FULL, charge=printed), "charge")


def test_a_charge_without_a_source_is_refused() -> None:
    form = replace(FULL, source_kind="", citation=" ")
    assert words(form, "source_kind").startswith("Choose the kind of source")
    assert words(form, "citation").startswith("Say where")


def test_a_vehicle_without_any_value_needs_no_source() -> None:
    bare = VehicleForm(make="Fen", model="Harrier", year_from="2015")
    draft = draft_of(bare)
    assert draft.specs == ()
    assert draft.year_to is None


@pytest.mark.parametrize("entry", ["make", "model", "year_from"])
def test_what_a_vehicle_cannot_do_without_is_named(entry: str) -> None:
    assert words(replace(FULL, **{entry: "  "}), entry)


@pytest.mark.parametrize("typed", ["21", "20221", "1899", "20x1", "٢٠٢١", "-2021"])
def test_a_year_is_four_digits(typed: str) -> None:
    assert "four digits" in words(replace(FULL, year_from=typed), "year_from")
    assert "four digits" in words(replace(FULL, year_to=typed), "year_to")


def test_years_that_run_backwards_are_refused() -> None:
    assert "before the first" in words(replace(FULL, year_to="2019"), "year_to")


def test_all_problems_are_told_at_once() -> None:
    checked = read_vehicle(VehicleForm(charge="470"), read_mass)
    assert {one.entry for one in checked.problems} == {
        "make", "model", "year_from", "charge", "source_kind", "citation",
    }  # fmt: skip


def test_a_further_value_carries_its_own_source() -> None:
    form = ValueForm("charge", "500 g", "service information", "section 82", "B")
    draft = read_value(form, read_quantity).draft
    assert draft is not None
    assert (draft.field, draft.value, draft.source_kind) == ("charge", 0.5, SourceKind.SERVICE_INFORMATION)
    assert draft.revision == "B"


def test_a_further_value_without_text_or_source_is_refused() -> None:
    checked = read_value(ValueForm("fan"), read_quantity)
    assert checked.draft is None
    assert [one.entry for one in checked.problems] == ["as_printed", "source_kind", "citation"]


def test_oil_keeps_its_text_and_gains_its_volume() -> None:
    draft = read_value(ValueForm("oil", "PAG 46, 120 mL", "bulletin", "82-3"), read_quantity).draft
    assert draft is not None
    assert draft.as_printed == "PAG 46, 120 mL"
    assert draft.value == pytest.approx(120e-6)


# The US fluid ounce is 29.5735 mL: NIST SP 811, appendix B (from memory).
@pytest.mark.parametrize(
    ("text", "volume_ml"),
    [("PAG 46, 4 oz", 4 * 29.5735), ("4.1 fl oz ND-oil", 4.1 * 29.5735), ("120 cm³ PAG", 120.0)],
)
def test_ounces_of_oil_are_fluid_ounces(text: str, volume_ml: float) -> None:
    volume = volume_in(text)
    assert volume is not None
    assert 1e6 * volume == pytest.approx(volume_ml, rel=1e-5)


@pytest.mark.parametrize("text", ["PAG 46", "PAG 46, 100 mL and 20 mL", "POE"])
def test_an_oil_text_without_one_clear_volume_gives_none(text: str) -> None:
    assert volume_in(text) is None


@pytest.mark.parametrize("text", ["R-134a", "r134a", "R 134A", "HFC-134a", "134a"])
def test_spellings_of_a_refrigerant_become_its_designation(text: str) -> None:
    assert designation(text) == "R-134a"


@pytest.mark.parametrize("text", ["R-12", "R-134a blend", "R-1234ze", "CO2"])
def test_another_refrigerant_stays_as_typed(text: str) -> None:
    assert designation(text) == text


def test_a_form_comes_back_as_it_was_kept() -> None:
    assert vehicle_form(asdict(FULL)) == FULL
    value = ValueForm("oil", "PAG", "bulletin", "3")
    assert value_form(asdict(value)) == value


def test_what_no_longer_fits_in_a_kept_form_is_left_out() -> None:
    assert vehicle_form({"make": "Fen", "gone": "x", "model": 3}) == VehicleForm(make="Fen")


def test_a_vehicle_on_record_is_recognised_whatever_its_capitals() -> None:
    held = Vehicle(7, "TARN", "skerry", "1.6 Petrol", 2021, 2023, evaporators="Single evaporator")
    assert same_vehicle(draft_of(FULL), [held]) is held
    assert same_vehicle(replace(draft_of(FULL), engine="2.0 diesel"), [held]) is None
    assert same_vehicle(replace(draft_of(FULL), year_to=None), [held]) is None


@given(st.text(max_size=30))
def test_no_text_typed_as_a_charge_ends_in_anything_but_a_weight_or_a_sentence(text: str) -> None:
    form = ValueForm("charge", text, "measured", "scale 2")
    checked = read_value(form, read_quantity)
    if checked.draft is None:
        assert all(one.words.strip() for one in checked.problems)
        assert checked.problems
    else:
        assert checked.draft.value is not None
        assert 0.05 <= checked.draft.value <= 50.0
        assert checked.draft.tolerance is None or 0.0 <= checked.draft.tolerance < checked.draft.value


@given(st.integers(51, 49_999), st.integers(0, 50))
def test_every_weight_in_grams_is_read_back_as_written(grams: int, width: int) -> None:
    value_kg, tolerance_kg = read_charge(f"{grams} ± {width} g", read_mass)
    assert value_kg == pytest.approx(grams / 1000)
    assert tolerance_kg == pytest.approx(width / 1000)


def value_of(field: str, text: str) -> SpecDraft:
    draft = read_value(ValueForm(field, text, "bulletin", "82-3"), read_quantity).draft
    assert draft is not None
    return draft


# 1 psi is 6,894.757 Pa, 1 in³ 16.387064 mL and 1 lb 0.45359237 kg: NIST SP 811, appendix B (from memory). A
# printed switching pressure is one of a gauge: common practice, no source.
@pytest.mark.parametrize(
    ("field", "text", "value", "tolerance"),
    [
        ("high cut-out", "32 ± 2 bar", 33.01325e5, 2e5),
        ("low cut-out", "29 psi", 29 * 6894.757 + 101_325, None),
        ("relief valve", "3.8 MPa abs", 3.8e6, None),
        ("displacement", "10 in³", 163.87064e-6, None),
        ("displacement", "0.16 L", 160e-6, None),
        ("oil", "120 ± 20 mL", 120e-6, 20e-6),
        ("charge with rear unit", "3 lb", 3 * 0.45359237, None),
    ],
)
def test_an_amount_is_read_in_any_unit_of_its_kind(
    field: str, text: str, value: float, tolerance: float | None
) -> None:
    draft = value_of(field, text)
    assert draft.as_printed == text
    assert draft.value == pytest.approx(value, rel=1e-6)
    assert draft.tolerance == (None if tolerance is None else pytest.approx(tolerance))


@pytest.mark.parametrize(
    ("field", "text"),
    [("oil", "PAG 46"), ("low cut-out", "off at 2.0 bar, on at 2.4 bar"), ("fan thresholds", "15 bar")],
)
def test_a_text_that_is_no_single_amount_is_kept_as_printed(field: str, text: str) -> None:
    draft = value_of(field, text)
    assert (draft.as_printed, draft.value, draft.tolerance) == (text, None, None)


@pytest.mark.parametrize(
    ("field", "text", "said"),
    [
        ("high cut-out", "32", "unit that is printed"),
        ("high cut-out", "32 baar", "is no unit of pressure"),
        ("displacement", "160 g", "is no unit of volume"),
        ("charge with rear unit", "5 g", "look at the unit again"),
    ],
)
def test_an_amount_without_a_unit_of_its_kind_is_refused_in_words(field: str, text: str, said: str) -> None:
    checked = read_value(ValueForm(field, text, "bulletin", "82-3"), read_quantity)
    assert [one.entry for one in checked.problems] == ["as_printed"]
    assert said in checked.problems[0].words


def test_a_page_is_kept_and_a_correction_needs_its_reason() -> None:
    form = ValueForm("fan", "two-stage fan", "bulletin", "82-3", "B", "14")
    draft = read_value(form, read_quantity).draft
    assert draft is not None
    assert draft.page == "14"
    refused = read_value(form, read_quantity, correcting=True)
    assert [one.entry for one in refused.problems] == ["why"]
    assert read_value(replace(form, why="misread"), read_quantity, correcting=True).draft == draft


def test_a_field_of_the_shop_is_read_by_its_own_kind() -> None:
    known = with_shop_fields([Field("Vent drop", "Vent drop", Kind.TEMPERATURE_DIFFERENCE)])
    form = ValueForm("Vent drop", "18 °F", "measured", "bay 2")
    draft = read_value(form, read_quantity, known).draft
    assert draft is not None
    assert draft.field == "Vent drop"
    assert draft.value == pytest.approx(10.0)


def test_build_months_are_read_as_the_door_label_prints_them() -> None:
    draft = draft_of(replace(FULL, build_from="06/21", build_to="2022-05"))
    assert (draft.build_from, draft.build_to) == ("2021-06", "2022-05")
    assert "no build month" in words(replace(FULL, build_from="13/21"), "build_from")
    assert "before the first" in words(replace(FULL, build_from="06/22", build_to="05/22"), "build_to")


def test_a_vin_pattern_with_letters_no_vin_holds_is_refused() -> None:
    assert draft_of(replace(FULL, vin_pattern=" zz1?b  zz2 ")).vin_pattern == "ZZ1?B ZZ2"
    assert "'ZI*'" in words(replace(FULL, vin_pattern="ZZ1?B ZI*"), "vin_pattern")


def test_a_build_split_is_another_vehicle() -> None:
    held = Vehicle(7, "Tarn", "Skerry", "1.6 petrol", 2021, 2023, evaporators="single evaporator")
    assert same_vehicle(draft_of(replace(FULL, build_from="06/21")), [held]) is None


def test_a_vehicle_on_record_comes_back_from_its_form_as_it_was() -> None:
    held = Vehicle(
        7, "Tarn", "Skerry", "1.6 petrol", 2021, None, market="north", maker="Tarn Works", family="S2",
        notes="first line\nsecond line", build_from="2021-06", generation="2", body="estate",
        vin_pattern="ZZ1?B",
    )  # fmt: skip
    draft = draft_of(form_of(held))
    names = [one.name for one in fields(draft) if one.name != "specs"]
    assert {name: getattr(draft, name) for name in names} == {name: getattr(held, name) for name in names}
