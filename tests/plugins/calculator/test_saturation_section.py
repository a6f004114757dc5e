"""Saturation on the screen: a pressure has its temperature, a temperature its pressures, and both a table."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from knowngood.units import System
from knowngood_calculator.panels.saturation_section import SaturationSection

from .at_the_page import copy_button, number, reached_by_tab, saturation

if TYPE_CHECKING:
    from knowngood_calculator.panels.page import CalculatorPage

    from .conftest import SmallHost


def test_a_pressure_is_answered_with_its_temperature_and_the_slope(page: CalculatorPage) -> None:
    # R-134a at 27.8 psi gauge boils at 0 °C: 292.8 kPa, saturation table of the package proptables 0.0.7.
    saturation(page).pressure.setText("27.77 psi")
    assert saturation(page).found_temperature.text == "32.0 °F"
    # 9.4 K/bar there, by hand 1.8 x 9.4 / 14.504.
    assert saturation(page).found_slope.text.endswith("°F per psi")
    assert number(saturation(page).found_slope.text) == pytest.approx(1.17, abs=0.02)


def test_a_temperature_is_answered_with_gauge_and_absolute_pressure(page: CalculatorPage) -> None:
    # Tillner-Roth and Baehr 1994, table 8: 300 K, 0.70282 MPa, that is 101.935 psi absolute.
    saturation(page).temperature.setText("300 K")
    assert number(saturation(page).found_pressure.text) == pytest.approx(101.935 - 14.696, abs=0.01)
    assert saturation(page).found_pressure.text.endswith("psig")
    assert "101.94 psia" in saturation(page).found_pressure.remark


def test_an_absolute_pressure_is_no_gauge_pressure(page: CalculatorPage) -> None:
    pressure, found = saturation(page).pressure, saturation(page).found_temperature
    pressure.setText("1 bar")
    as_gauge = found.text
    pressure.setText("2.01325 bar abs")
    assert found.text == as_gauge
    pressure.setText("2.01325 bar")
    saturation(page).reference.setCurrentText("absolute")
    assert found.text == as_gauge


def test_a_text_that_is_no_value_is_explained_where_the_answer_would_stand(page: CalculatorPage) -> None:
    saturation(page).pressure.setText("30 °C")
    assert saturation(page).found_temperature.text == ""
    assert "no unit of pressure" in saturation(page).found_temperature.problem
    saturation(page).pressure.setText("-2 bar abs")
    assert "perfect vacuum" in saturation(page).found_temperature.problem


def test_every_field_and_answer_of_saturation_is_reached_with_the_tab_key(page: CalculatorPage) -> None:
    card = saturation(page)
    card.temperature.setText("25 C")
    wanted = [
        page.head.refrigerant,
        page.head.altitude,
        page.head.barometer,
        card.pressure,
        card.reference,
        card.temperature,
        copy_button(card.found_pressure),
    ]
    assert [widget for widget in reached_by_tab(page) if widget in wanted] == wanted


def test_the_table_is_the_one_of_the_chosen_refrigerant_and_air(
    page: CalculatorPage, host: SmallHost
) -> None:
    section = page.section("saturation")
    assert isinstance(section, SaturationSection)
    host.units.set_system(System.SI)
    grid = section.table.grid
    rows = {grid.text(row, 0): row for row in range(grid.rowCount())}
    # Table of the package proptables 0.0.7: at 20 °C 571.7 kPa, 36.0 L/kg as vapour, 182.28 kJ/kg.
    at_20 = [float(grid.text(rows["20"], column)) for column in range(1, 6)]
    assert at_20[1] == pytest.approx(5.717, abs=0.01)
    assert at_20[0] == pytest.approx(5.717 - 1.01325, abs=0.01)
    assert at_20[2:] == pytest.approx([1 / 0.0008161, 1 / 0.0360, 182.28], rel=2e-3)
    page.head.altitude.setText("1500 m")
    assert float(grid.text(rows["20"], 1)) == pytest.approx(5.717 - 0.84556, abs=0.01)
    page.head.refrigerant.setCurrentText("R-1234yf")
    # Richter and others 2011: 591.72 kPa at 20 °C.
    assert float(grid.text(rows["20"], 2)) == pytest.approx(5.917, abs=0.01)
