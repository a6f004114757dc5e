"""The section of weights answers as one types, in both unit systems and without a mouse."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from knowngood.units import System
from knowngood.widgets.printing import sheet
from knowngood_calculator.panels.weights_section import WeightsSection

from .at_the_page import copy_button, median_keystroke_s, opened, reached_by_tab
from .weights_typed import cylinder, hose, label, weigh

if TYPE_CHECKING:
    from knowngood_calculator.panels.page import CalculatorPage

    from .conftest import SmallHost

FOURTH, FIFTH = 1, 2
"""Places of the fourth and the fifth report in the choice."""


@pytest.fixture
def section(page: CalculatorPage) -> WeightsSection:
    return opened(page, "weights", WeightsSection)


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
    typed = median_keystroke_s((section.cylinder.now, "60.25 lb"), (section.charge.charge, "450.5 g"))
    assert section.cylinder.full.text
    assert typed < 0.020
