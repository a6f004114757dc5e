"""What hoses, cans and recovery cylinders hold, on the screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from PySide6.QtWidgets import QLabel

from knowngood.units import System
from knowngood_calculator.core.cylinders import CAUTIONS
from knowngood_calculator.panels.weights_section import WeightsSection

from .at_the_page import number, opened
from .weights_typed import cylinder, hose

if TYPE_CHECKING:
    from knowngood_calculator.panels.page import CalculatorPage

    from .conftest import SmallHost


@pytest.fixture
def section(page: CalculatorPage) -> WeightsSection:
    return opened(page, "weights", WeightsSection)


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
