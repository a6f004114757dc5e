"""The section of weights answers as one types, in both unit systems and without a mouse."""

from __future__ import annotations

import statistics
import time
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel

from knowngood.units import System
from knowngood.widgets.printing import sheet
from knowngood_calculator.core.cylinders import CAUTIONS
from knowngood_calculator.panels.weights_section import WeightsSection
from knowngood_refdata.records import SourceKind, SpecValue, Vehicle

from .test_page import copy_button, number, reached_by_tab

if TYPE_CHECKING:
    from knowngood_calculator.panels.page import CalculatorPage

    from .conftest import SmallHost

FOURTH, FIFTH = 1, 2
"""Places of the fourth and the fifth report in the choice."""


@pytest.fixture
def section(page: CalculatorPage) -> WeightsSection:
    page.show_section("weights")
    made = page.section("weights")
    assert isinstance(made, WeightsSection)
    return made


def vehicle(charge_kg: float, *, number: int = 1, kind: SourceKind = SourceKind.UNDER_HOOD_LABEL) -> Vehicle:
    gas = SpecValue(1, "refrigerant", None, None, "R-1234yf", SourceKind.UNDER_HOOD_LABEL, "label")
    printed = f"{1e3 * charge_kg:.0f} ± 15 g"
    charge = SpecValue(2, "charge", charge_kg, 0.015, printed, kind, "photograph of the label")
    specs = {"refrigerant": (gas,), "charge": (charge,)}
    return Vehicle(number, "Tarn", "Skerry", "1.6 petrol", 2021, 2023, specs=specs)


def label(section: WeightsSection, charge: str = "450 g", tolerance: str = "20 g") -> None:
    section.charge.charge.setText(charge)
    section.charge.tolerance.setText(tolerance)


def weigh(section: WeightsSection, before: str, after: str) -> None:
    section.charge.before.setText(before)
    section.charge.after.setText(after)


def hose(section: WeightsSection) -> None:
    section.hoses.length.setText("1.8 m")
    section.hoses.bore.setText("4.8 mm")


def cylinder(section: WeightsSection, now: str = "") -> None:
    for edit, text in (
        (section.cylinder.capacity, "47.6 lb"),
        (section.cylinder.tare, "28 lb"),
        (section.cylinder.now, now),
    ):
        edit.setText(text)


def test_a_machine_takes_most_of_a_narrow_tolerance(section: WeightsSection, host: SmallHost) -> None:
    host.units.set_system(System.SI)
    label(section)
    assert section.charge.verdict.text == "attainable with ease"
    section.charge.choice.machines.setCurrentIndex(1)
    assert section.charge.verdict.text == "attainable, with little room"
    # By hand: 2 √((15² + 2²)/3 + 1²/12) g = 17.5 g of 20 g; 450 g keeps 2.5 g to either side.
    assert section.charge.known.text == "± 17 g"
    assert "87 %" in section.charge.verdict.remark
    assert section.charge.within.text == "448 to 452 g"


def test_a_tolerance_that_the_scale_uses_up_leaves_nothing_to_aim_for(section: WeightsSection) -> None:
    label(section, tolerance="5 g")
    section.charge.choice.machines.setCurrentIndex(1)
    assert section.charge.verdict.text == "not attainable with these instruments"
    assert "whole tolerance" in section.charge.verdict.problem
    assert section.charge.within.text == ""


def test_two_weighings_give_the_charge_and_its_place_against_the_label(
    section: WeightsSection, host: SmallHost
) -> None:
    host.units.set_system(System.SI)
    label(section)
    weigh(section, "8.432 kg", "7.982 kg")
    # JCGM 100:2008, by hand: 1.96 √(2 · 2²/3 + 1/6) g.
    assert section.charge.weighed.text == "450.0 ± 3.3 g"
    assert section.charge.against.text == "within the label's tolerance"
    weigh(section, "8.432 kg", "8.032 kg")
    assert section.charge.against.text == "below the label's tolerance"
    assert "50 g from the label" in section.charge.against.problem
    assert "recover all of it" in section.charge.against.problem


def test_swapped_weighings_are_noticed(section: WeightsSection) -> None:
    weigh(section, "7.982 kg", "8.432 kg")
    assert section.charge.weighed.text == ""
    assert "swapped" in section.charge.weighed.problem


def test_an_empty_charge_starts_with_that_of_the_vehicle_in_hand_and_names_its_source(
    section: WeightsSection, host: SmallHost
) -> None:
    assert section.charge.source.text().startswith("Enter the charge from the under-hood label")
    host.units.set_system(System.SI)
    host.bench.take_vehicle(vehicle(0.470))
    assert [edit.text() for edit in (section.charge.charge, section.charge.tolerance)] == ["470 g", "15 g"]
    told = section.charge.source.text()
    assert told == (
        "Of the vehicle in hand: 470 ± 15 g of R-1234yf (under-hood label, photograph of the label)."
    )
    assert section.charge.verdict.text


def test_the_charge_of_another_vehicle_never_stays_in_the_field(
    section: WeightsSection, host: SmallHost
) -> None:
    host.units.set_system(System.SI)
    host.bench.take_vehicle(vehicle(0.470))
    host.units.set_system(System.US)
    host.bench.take_vehicle(vehicle(0.520, number=2))
    assert section.charge.charge.si() == 0.520
    host.bench.take_vehicle(replace(vehicle(0.520, number=3), specs={}))
    assert section.charge.charge.text() == ""
    assert "No charge is on record" in section.charge.source.text()


def test_a_charge_that_was_typed_stays_beside_what_is_on_record(
    section: WeightsSection, host: SmallHost
) -> None:
    label(section)
    host.bench.take_vehicle(vehicle(0.470))
    assert section.charge.charge.text() == "450 g"
    assert "As typed; the vehicle in hand has 470 ± 15 g" in section.charge.source.text()


def test_a_charge_from_a_book_defers_to_the_label(section: WeightsSection, host: SmallHost) -> None:
    host.bench.take_vehicle(vehicle(0.470, kind=SourceKind.SERVICE_INFORMATION))
    assert section.charge.source.text().endswith("The under-hood label prevails.")


def test_a_missing_tolerance_is_asked_for(section: WeightsSection) -> None:
    section.charge.charge.setText("450 g")
    assert "Enter the tolerance" in section.charge.verdict.remark


def test_a_hose_is_answered_full_of_liquid_and_full_of_vapour(
    section: WeightsSection, host: SmallHost
) -> None:
    host.units.set_system(System.SI)
    assert "Enter length and bore" in section.hoses.remark.text()
    hose(section)
    # Tillner-Roth and Baehr 1994: 1206.7 and 32.35 kg/m³ at 25 °C; by hand 32.6 mL.
    assert section.hoses.liquid.text == "39.3 g"
    assert section.hoses.vapour.text == "1.1 g"
    assert section.hoses.remark.text() == "33 mL, counted at 25.0 °C."


def test_a_can_keeps_its_vapour(section: WeightsSection, host: SmallHost) -> None:
    host.units.set_system(System.SI)
    section.hoses.vessel.setText("0.33 L")
    section.hoses.temperature.setText("30 C")
    # 37.5 kg/m³ of R-134a vapour at 30 °C, by hand.
    assert section.hoses.can.text == "12.4 g"
    assert section.hoses.liquid.text == ""


def test_above_the_critical_temperature_no_hose_is_full_of_liquid(
    section: WeightsSection, page: CalculatorPage, host: SmallHost
) -> None:
    hose(section)
    page.head.refrigerant.setCurrentText("R-744")
    section.hoses.temperature.setText("40 C")
    assert section.hoses.liquid.text == ""
    assert "87.8 °F" in section.hoses.problem.text()
    host.units.set_system(System.SI)
    assert "31.0 °C" in section.hoses.problem.text()


def test_a_hose_of_no_bore_and_a_text_that_is_no_length_are_explained(section: WeightsSection) -> None:
    hose(section)
    section.hoses.bore.setText("0")
    assert section.hoses.problem.text().startswith("The bore is above zero")
    section.hoses.bore.setText("4.8 kg")
    assert "no unit of length" in section.hoses.problem.text()
    section.hoses.bore.setText("4.8 mm")
    assert not section.hoses.problem.isVisible()


def test_a_cylinder_is_answered_with_its_limit_on_the_scale_and_the_room_left(
    section: WeightsSection,
) -> None:
    assert "Enter water capacity (WC)" in section.cylinder.hint.text()
    cylinder(section, "60 lb")
    # AHRI Guideline K, by hand: 0.80 · 47.6 lb · 1206.7/997.05 = 46.09 lb, with the tare 74.09 lb.
    assert section.cylinder.net.text == "46.09 lb"
    assert section.cylinder.gross.text == "74.09 lb"
    assert section.cylinder.contents.text == "32.00 lb"
    assert section.cylinder.room.text == "14.09 lb"
    assert not section.cylinder.hint.isVisible()
    assert not section.cylinder.problem.isVisible()


def test_an_overfilled_cylinder_is_told_to_be_kept_cool(section: WeightsSection) -> None:
    cylinder(section, "80 lb")
    assert section.cylinder.room.text.startswith("\N{MINUS SIGN}5.91")
    assert section.cylinder.problem.text().startswith("Over the fill limit: put nothing more in")


def test_a_cylinder_filled_to_its_limit_is_full_of_liquid_when_hot(
    section: WeightsSection, host: SmallHost
) -> None:
    host.units.set_system(System.SI)
    cylinder(section)
    # 74.8 °C: computed with CoolProp 8.0.
    assert section.cylinder.full.text == "74.8 °C"
    assert "filled to the limit" in section.cylinder.full.remark
    cylinder(section, "80 lb")
    assert number(section.cylinder.full.text) < 74.8
    assert "inside now" in section.cylinder.full.remark


def test_a_cylinder_lighter_than_its_tare_is_explained(section: WeightsSection) -> None:
    cylinder(section, "20 lb")
    assert "The tare is more than the cylinder weighs now" in section.cylinder.problem.text()
    assert section.cylinder.gross.text == "74.09 lb"


def test_no_fill_limit_is_given_for_carbon_dioxide(section: WeightsSection, page: CalculatorPage) -> None:
    cylinder(section)
    page.head.refrigerant.setCurrentText("R-744")
    assert section.cylinder.gross.text == ""
    assert "high-pressure cylinders" in section.cylinder.problem.text()


def test_the_cautions_for_cylinders_are_always_shown(section: WeightsSection) -> None:
    shown = " ".join(one.text() for one in section.cylinder.findChildren(QLabel) if one.isVisible())
    assert all(caution in shown for caution in CAUTIONS)


def test_the_charge_is_counted_as_carbon_dioxide_with_the_report_written_out(
    section: WeightsSection, host: SmallHost
) -> None:
    host.units.set_system(System.SI)
    assert section.warming.equivalent.remark == "Enter a mass, or a charge."
    label(section, charge="700 g")
    section.warming.report.setCurrentIndex(FOURTH)
    # By hand with 1430 of the fourth report.
    assert section.warming.equivalent.text == "1001 kg CO2"
    assert "The charge, 700 g of R-134a" in section.warming.equivalent.remark
    assert "IPCC fourth assessment report, 2007" in section.warming.equivalent.remark
    section.warming.mass.setText("100 g")
    assert section.warming.equivalent.text == "143 kg CO2"
    assert "The mass typed, 100 g" in section.warming.equivalent.remark


def test_another_report_counts_otherwise_and_other_laws_use_it(
    section: WeightsSection, page: CalculatorPage, host: SmallHost
) -> None:
    host.units.set_system(System.SI)
    section.warming.mass.setText("500 g")
    assert "2024/573" in section.warming.source.text()
    page.head.refrigerant.setCurrentText("R-1234yf")
    section.warming.report.setCurrentIndex(FIFTH)
    # The fifth report says less than 1 and gives no number.
    assert section.warming.potential.text == "less than 1"
    assert section.warming.equivalent.text == "less than 0.50 kg CO2"
    assert "IPCC fifth assessment report, 2013" in section.warming.equivalent.remark
    assert "No law on record counts R-1234yf with this report" in section.warming.source.text()


def test_a_report_without_a_value_is_explained(section: WeightsSection, page: CalculatorPage) -> None:
    page.head.refrigerant.setCurrentText("R-1234yf")
    section.warming.report.setCurrentIndex(0)
    assert "choose another one" in section.warming.equivalent.problem
    assert section.warming.potential.text == ""


def test_five_tonnes_of_carbon_dioxide_are_shown_as_refrigerant(
    section: WeightsSection, host: SmallHost
) -> None:
    host.units.set_system(System.SI)
    # By hand: 5000/1430 kg.
    assert section.warming.records.text == "3.50 kg"


def test_a_text_that_is_no_mass_is_explained_where_the_answer_would_stand(section: WeightsSection) -> None:
    label(section, charge="450 bar")
    assert "no unit of mass" in section.charge.verdict.problem
    section.warming.mass.setText("-3 g")
    assert "negative" in section.warming.equivalent.problem
    section.cylinder.capacity.setText("big")
    assert "'big'" in section.cylinder.problem.text()
    weigh(section, "full", "8 kg")
    assert "'full'" in section.charge.weighed.problem


def test_the_unit_switch_writes_weights_anew_and_changes_none(
    section: WeightsSection, host: SmallHost
) -> None:
    label(section, "16 oz", "0.5 oz")
    cylinder(section)
    hose(section)
    before = section.cylinder.gross.text, section.hoses.liquid.text
    assert section.charge.choice.scales.itemText(2) == "± 0.49 oz"
    host.units.set_system(System.SI)
    assert section.charge.charge.text() == "454 g"
    assert section.cylinder.gross.text == "33.61 kg"
    assert section.hoses.length.text() == "1.80 m"
    assert section.charge.choice.scales.itemText(2) == "± 14 g"
    host.units.set_system(System.US)
    assert section.charge.charge.text() == "16.0 oz"
    assert (section.cylinder.gross.text, section.hoses.liquid.text) == before


def test_weights_are_printed_with_fields_and_answers(section: WeightsSection) -> None:
    label(section)
    cylinder(section)
    printed = sheet(section)
    assert "Label charge" in printed
    assert "450 g" in printed
    assert section.cylinder.gross.text in printed
    assert "Never heat a cylinder" in printed


def test_a_weight_is_copied_with_its_unit(section: WeightsSection, host: SmallHost) -> None:
    cylinder(section)
    copy_button(section.cylinder.gross).click()
    assert QGuiApplication.clipboard().text() == "74.09 lb"
    assert host.said == ["Copied 74.09 lb."]


def test_every_field_of_weights_is_reached_with_the_tab_key(
    section: WeightsSection, page: CalculatorPage
) -> None:
    charge, hoses, filled, warming = section.charge, section.hoses, section.cylinder, section.warming
    wanted = [
        charge.charge,
        charge.tolerance,
        charge.choice.scales,
        charge.choice.machines,
        charge.before,
        charge.after,
        hoses.length,
        hoses.bore,
        hoses.vessel,
        hoses.temperature,
        filled.capacity,
        filled.tare,
        filled.now,
        warming.mass,
        warming.report,
    ]
    assert [widget for widget in reached_by_tab(page) if widget in wanted] == wanted


def test_a_letter_with_alt_leads_to_each_field_of_weights(
    section: WeightsSection, page: CalculatorPage
) -> None:
    charge, hoses, filled, warming = section.charge, section.hoses, section.cylinder, section.warming
    for key, field in (
        (Qt.Key.Key_L, charge.charge),
        (Qt.Key.Key_T, charge.tolerance),
        (Qt.Key.Key_S, charge.choice.scales),
        (Qt.Key.Key_M, charge.choice.machines),
        (Qt.Key.Key_F, charge.before),
        (Qt.Key.Key_E, charge.after),
        (Qt.Key.Key_N, hoses.length),
        (Qt.Key.Key_O, hoses.bore),
        (Qt.Key.Key_V, hoses.vessel),
        (Qt.Key.Key_P, hoses.temperature),
        (Qt.Key.Key_W, filled.capacity),
        (Qt.Key.Key_G, filled.tare),
        (Qt.Key.Key_H, filled.now),
        (Qt.Key.Key_C, warming.mass),
        (Qt.Key.Key_I, warming.report),
        (Qt.Key.Key_A, page.head.altitude),
    ):
        QTest.keyClick(page, key, Qt.KeyboardModifier.AltModifier)
        assert QApplication.focusWidget() is field


def test_a_keystroke_of_weights_is_answered_within_twenty_milliseconds(section: WeightsSection) -> None:
    cylinder(section)
    times = []
    for edit, keys in ((section.cylinder.now, "60.25 lb"), (section.charge.charge, "450.5 g")):
        for key in keys:
            begun = time.perf_counter()
            QTest.keyClicks(edit, key)
            times.append(time.perf_counter() - begun)
    assert section.cylinder.full.text
    assert statistics.median(times) < 0.020
