"""The section of the engine-off check answers as one types, in both unit systems and without a mouse."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from knowngood.units import System
from knowngood.widgets.printing import sheet
from knowngood_calculator.core.engine_off import CANNOT_TELL
from knowngood_calculator.panels.engine_off_section import EngineOffSection

from .at_the_page import copy_button, median_keystroke_s, number, opened, reached_by_tab

if TYPE_CHECKING:
    from knowngood_calculator.panels.page import CalculatorPage

    from .conftest import SmallHost

SATURATED_KPA = 702.82
"""R-134a at 300 K: Tillner-Roth and Baehr 1994, table 8."""


@pytest.fixture
def section(page: CalculatorPage) -> EngineOffSection:
    return opened(page, "engine_off", EngineOffSection)


def rest(section: EngineOffSection, off_kpa: float = 0.0, *, soak: str = "3", cabin: str = "300 K") -> None:
    """Type a circuit at 300 K whose pressure is off saturation, read with the finest instruments."""
    card = section.card
    for choice in (card.choice.gauges, card.choice.probe):
        choice.setCurrentIndex(choice.count() - 1)
    pressure = f"{SATURATED_KPA + off_kpa} kPa abs"
    for edit, text in (
        (card.low, pressure),
        (card.high, pressure),
        (card.ambient, "300 K"),
        (card.cabin, cabin),
        (card.soak, soak),
    ):
        edit.setText(text)


def states(section: EngineOffSection) -> list[str]:
    return [section.preconditions.grid.text(row, 1) for row in range(3)]


def test_a_pressure_on_the_curve_is_answered_with_liquid_and_the_saturation_pressure(
    section: EngineOffSection,
) -> None:
    rest(section)
    card = section.card
    assert card.outcome.text == "liquid present"
    assert "how much cannot be told" in card.outcome.remark
    # 702.82 kPa is 101.935 psi absolute, less 14.696 of air.
    assert number(card.saturation.text) == pytest.approx(101.935 - 14.696, abs=0.06)
    assert card.saturation.text.endswith("psig")
    assert number(card.difference.text) == pytest.approx(0.0, abs=0.06)
    assert card.air.text == ""


def test_a_pressure_above_saturation_is_answered_with_the_partial_pressure_of_air(
    section: EngineOffSection, host: SmallHost
) -> None:
    host.units.set_system(System.SI)
    rest(section, 100.0)
    card = section.card
    assert card.outcome.text == "pressure above saturation"
    assert "Identify the gas" in card.outcome.problem
    # Dalton: 100 kPa of 802.8 kPa.
    assert number(card.air.text) == pytest.approx(1.0, abs=0.005)
    assert card.air.text.endswith(" bar")
    assert "12\N{NO-BREAK SPACE}% of the molecules" in card.air.remark


def test_a_pressure_below_saturation_is_answered_with_no_liquid_left(section: EngineOffSection) -> None:
    rest(section, -300.0)
    assert section.card.outcome.text == "no liquid left"
    assert "find the leak" in section.card.outcome.problem
    assert section.card.air.text == ""


def test_each_precondition_is_shown_met_with_what_was_found_and_its_limit(section: EngineOffSection) -> None:
    rest(section)
    assert states(section) == ["met"] * 3
    grid = section.preconditions.grid
    assert [grid.text(0, column) for column in (2, 3)] == ["3.0 h", "\N{GREATER-THAN OR EQUAL TO} 2.0 h"]
    # 3 K are 5.4 °F.
    assert grid.text(1, 3) == "\N{LESS-THAN OR EQUAL TO} 5.4 °F"
    assert not section.preconditions.unmet.isVisible()
    assert not section.preconditions.unknown.isVisible()


def test_a_precondition_that_is_not_met_leaves_numbers_without_a_verdict(section: EngineOffSection) -> None:
    rest(section, soak="20 min")
    assert states(section) == ["not met", "met", "met"]
    assert section.card.outcome.text == "cannot tell"
    assert "No verdict" in section.card.outcome.problem
    assert section.card.difference.text
    assert "still warm" in section.preconditions.unmet.text()


def test_what_is_not_known_is_shown_beside_the_verdict(section: EngineOffSection) -> None:
    rest(section, soak="", cabin="")
    section.card.high.clear()
    assert states(section) == ["not known"] * 3
    assert section.card.outcome.text == "liquid present"
    assert "Not known" in section.card.outcome.remark
    assert "not both sides were read" in section.preconditions.unknown.text()


def test_before_anything_is_typed_the_section_says_what_to_enter(section: EngineOffSection) -> None:
    assert section.card.outcome.remark == (
        "Enter a pressure with the engine off, and the temperature of the air at the condenser."
    )
    section.card.low.setText("80 psi")
    assert section.card.outcome.remark == "Enter the temperature of the air at the condenser."
    section.card.low.clear()
    section.card.ambient.setText("77 F")
    assert section.card.outcome.remark == "Enter the pressure of at least one side."


def test_a_field_that_holds_no_value_is_named_where_the_finding_would_stand(
    section: EngineOffSection,
) -> None:
    rest(section)
    section.card.cabin.setText("warm")
    assert section.card.outcome.text == ""
    assert section.card.outcome.problem.startswith("Cabin: 'warm'")
    section.card.cabin.clear()
    section.card.low.setText("-20 psi")
    assert "perfect vacuum" in section.card.outcome.problem
    assert section.card.saturation.text == ""


def test_above_the_critical_temperature_the_limit_is_named_in_the_units_shown(
    section: EngineOffSection, page: CalculatorPage, host: SmallHost
) -> None:
    rest(section)
    page.head.refrigerant.setCurrentText("R-744")
    section.card.ambient.setText("310 K")
    section.card.cabin.clear()
    assert "no liquid at any pressure" in section.card.outcome.problem
    # Span and Wagner 1996: 304.1282 K, that is 87.76 °F or 30.98 °C.
    assert "critical at 87.8 °F" in section.card.outcome.remark
    host.units.set_system(System.SI)
    assert "critical at 31.0 °C" in section.card.outcome.remark


def test_the_altitude_moves_what_the_gauge_means(section: EngineOffSection, page: CalculatorPage) -> None:
    rest(section)
    for side in (section.card.low, section.card.high):
        side.setText("87.239 psi")
    before, crossing = number(section.card.difference.text), section.alike.same.text
    page.head.altitude.setText("1500 m")
    # Table 1 of the ASHRAE Handbook, Fundamentals 2017, chapter 1: 84,556 Pa, 2.43 psi below sea level.
    assert before - number(section.card.difference.text) == pytest.approx(2.43, abs=0.06)
    psig = [number(text.split(", ")[1]) for text in (section.alike.same.text, crossing)]
    assert psig[0] - psig[1] == pytest.approx(2.43, abs=0.11)


def test_the_unit_switch_writes_fields_answers_and_preconditions_anew(
    section: EngineOffSection, host: SmallHost
) -> None:
    rest(section)
    card = section.card
    card.low.setText("87 psi")
    before = card.difference.text
    host.units.set_system(System.SI)
    assert card.low.text() == "6.0 bar g"
    assert card.soak.text() == "3.0 h"
    assert card.saturation.text.endswith("bar g")
    assert section.preconditions.grid.text(1, 3).endswith("3.0 K")
    assert section.alike.same.text.endswith("bar g")
    host.units.set_system(System.US)
    assert card.difference.text == before


def test_where_two_refrigerants_have_the_same_pressure_is_told(section: EngineOffSection) -> None:
    # R-134a and R-1234yf meet near 41 °C, 106 °F, by interpolation between 40 and 45 °C (CoolProp 8.0).
    assert section.alike.other.currentText() == "R-1234yf"
    assert number(section.alike.same.text) == pytest.approx(106.0, abs=1.0)
    section.alike.other.setCurrentText("R-744")
    assert section.alike.same.text == "no temperature"


def test_near_their_crossing_the_two_are_not_told_apart_and_fit_alike(section: EngineOffSection) -> None:
    rest(section)
    assert "R-1234yf" not in section.card.fits.text
    card = section.card
    # 314.15 K, 41 °C: both near 1.04 MPa.
    for edit in (card.ambient, card.cabin):
        edit.setText("41 C")
    for edit in (card.low, card.high):
        edit.setText("1043 kPa abs")
    assert card.outcome.text == "liquid present"
    assert "R-1234yf" in card.fits.text
    assert "cannot tell them apart" in section.alike.told.text()
    for edit in (card.ambient, card.cabin):
        edit.setText("0 C")
    assert "differ by more than the uncertainty" in section.alike.told.text()
    assert "only an identifier tells" in section.alike.told.text()


def test_the_other_refrigerants_are_those_that_the_page_does_not_show(
    section: EngineOffSection, page: CalculatorPage
) -> None:
    page.head.refrigerant.setCurrentText("R-1234yf")
    shown = [section.alike.other.itemText(place) for place in range(section.alike.other.count())]
    assert "R-1234yf" not in shown
    assert "R-134a" in shown


def test_what_a_pressure_at_rest_cannot_tell_is_printed_with_fields_and_answers(
    section: EngineOffSection,
) -> None:
    rest(section)
    printed = sheet(section)
    for one in CANNOT_TELL:
        assert one[1:] in printed
    assert "Engine off for" in printed
    assert section.card.saturation.text in printed
    assert "Engine off long enough" in printed


def test_an_answer_of_the_check_is_copied_with_its_unit(section: EngineOffSection, host: SmallHost) -> None:
    rest(section)
    copy_button(section.card.saturation).click()
    assert QGuiApplication.clipboard().text() == section.card.saturation.text
    assert host.said == [f"Copied {section.card.saturation.text}."]


def test_every_field_of_the_check_is_reached_with_the_tab_key(
    section: EngineOffSection, page: CalculatorPage
) -> None:
    card = section.card
    wanted = [
        card.low,
        card.high,
        card.ambient,
        card.cabin,
        card.bay,
        card.soak,
        card.choice.gauges,
        card.choice.probe,
        section.preconditions.grid,
        section.alike.other,
    ]
    assert [widget for widget in reached_by_tab(page) if widget in wanted] == wanted


def test_a_letter_with_alt_leads_to_each_field_of_the_check(
    section: EngineOffSection, page: CalculatorPage
) -> None:
    card = section.card
    for key, field in (
        (Qt.Key.Key_L, card.low),
        (Qt.Key.Key_H, card.high),
        (Qt.Key.Key_C, card.ambient),
        (Qt.Key.Key_I, card.cabin),
        (Qt.Key.Key_E, card.bay),
        (Qt.Key.Key_O, card.soak),
        (Qt.Key.Key_G, card.choice.gauges),
        (Qt.Key.Key_P, card.choice.probe),
        (Qt.Key.Key_T, section.alike.other),
        (Qt.Key.Key_B, page.head.barometer),
    ):
        QTest.keyClick(page, key, Qt.KeyboardModifier.AltModifier)
        assert QApplication.focusWidget() is field


def test_a_keystroke_of_the_check_is_answered_within_twenty_milliseconds(section: EngineOffSection) -> None:
    rest(section)
    section.card.low.clear()
    assert median_keystroke_s((section.card.low, "87.25 psi")) < 0.020
    assert section.card.outcome.text
