"""The calculator's page answers as one types, in both unit systems and without a mouse."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, cast

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton

from knowngood.bench import Bench
from knowngood.units import System, Units
from knowngood_calculator.panels.page import CAUTION, CalculatorPage
from knowngood_calculator.plugin import pages
from knowngood_refdata.records import SourceKind, SpecValue, Vehicle

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget
    from pytestqt.qtbot import QtBot

    from knowngood.api import Host
    from knowngood_calculator.panels.answer_line import AnswerLine


class SmallHost:
    """As much of the program as the page asks for."""

    def __init__(self) -> None:
        self.units, self.bench = Units(System.US), Bench()
        self.said: list[str] = []

    def say(self, text: str) -> None:
        self.said.append(text)


@pytest.fixture
def host() -> SmallHost:
    return SmallHost()


@pytest.fixture
def page(host: SmallHost, qtbot: QtBot) -> CalculatorPage:
    (announced,) = pages()
    made = announced.factory(cast("Host", host))
    assert isinstance(made, CalculatorPage)
    qtbot.addWidget(made)
    made.resize(1280, 800)
    made.show()
    return made


def holding(refrigerant: str) -> Vehicle:
    gas = SpecValue(1, "refrigerant", None, None, refrigerant, SourceKind.UNDER_HOOD_LABEL, "label")
    return Vehicle(1, "Tarn", "Skerry", "1.6 petrol", 2021, 2023, specs={"refrigerant": (gas,)})


def copy_button(line: AnswerLine) -> QPushButton:
    button = line.findChild(QPushButton)
    assert button is not None
    return button


def number(text: str) -> float:
    return float(text.split()[0].replace("\N{MINUS SIGN}", "-"))


def test_a_pressure_is_answered_with_its_temperature_and_the_slope(page: CalculatorPage) -> None:
    # R-134a at 27.8 psi gauge boils at 0 °C: 292.8 kPa, saturation table of the package proptables 0.0.7.
    page.saturation.pressure.setText("27.77 psi")
    assert page.saturation.found_temperature.text == "32.0 °F"
    # 9.4 K/bar there, by hand 1.8 x 9.4 / 14.504.
    assert page.saturation.found_slope.text.endswith("°F per psi")
    assert number(page.saturation.found_slope.text) == pytest.approx(1.17, abs=0.02)


def test_a_temperature_is_answered_with_gauge_and_absolute_pressure(page: CalculatorPage) -> None:
    # Tillner-Roth and Baehr 1994, table 8: 300 K, 0.70282 MPa, that is 101.935 psi absolute.
    page.saturation.temperature.setText("300 K")
    assert number(page.saturation.found_pressure.text) == pytest.approx(101.935 - 14.696, abs=0.01)
    assert page.saturation.found_pressure.text.endswith("psig")
    assert "101.94 psia" in page.saturation.found_pressure.remark


def test_the_unit_switch_writes_fields_answers_and_instruments_anew(
    page: CalculatorPage, host: SmallHost
) -> None:
    page.sides.low.setText("30 psi")
    page.sides.suction.setText("42 F")
    assert "psi" in page.sides.gauges.currentText()
    host.units.set_system(System.SI)
    assert page.sides.low.text() == "2.1 bar g"
    assert page.sides.evaporating.text.endswith("°C")
    assert page.sides.superheat.text.endswith("K")
    assert page.sides.gauges.currentText().endswith("10 and 35 bar")
    assert page.sides.probe.currentText().endswith("± 2.5 K")


def test_switching_the_units_to_and_fro_changes_no_value(page: CalculatorPage, host: SmallHost) -> None:
    page.sides.low.setText("30 psi")
    page.saturation.pressure.setText("30 psi")
    before = page.sides.evaporating.text
    for system in (System.SI, System.US):
        host.units.set_system(system)
    assert page.sides.low.text() == "30.0 psig"
    assert page.saturation.pressure.text() == "30.0 psig"
    assert page.sides.evaporating.text == before


def test_the_altitude_moves_the_zero_of_the_gauge(page: CalculatorPage) -> None:
    page.saturation.temperature.setText("0 C")
    at_sea_level = page.saturation.found_pressure.text
    page.air.altitude.setText("1500 m")
    # Table 1 of the ASHRAE Handbook, Fundamentals 2017, chapter 1: 84,556 Pa, 2.43 psi below sea level.
    assert number(page.saturation.found_pressure.text) - number(at_sea_level) == pytest.approx(2.43, abs=0.02)
    page.air.barometer.setText("29.92 inHg")
    assert page.saturation.found_pressure.text == at_sea_level


def test_a_gauge_pressure_means_another_temperature_at_altitude(page: CalculatorPage) -> None:
    page.sides.low.setText("2 bar")
    warm = number(page.sides.evaporating.text)
    page.air.altitude.setText("1500 m")
    # 0.168 bar at 9.3 K/bar, by hand: 1.6 K or 2.8 °F.
    assert warm - number(page.sides.evaporating.text) == pytest.approx(2.8, abs=0.2)


def test_an_altitude_that_is_not_used_is_explained(page: CalculatorPage) -> None:
    page.air.altitude.setText("90000 ft")
    assert "not used" in page.air.problem.text()
    assert "sea level" in page.air.used.text()


def test_an_absolute_pressure_is_no_gauge_pressure(page: CalculatorPage) -> None:
    pressure, found = page.saturation.pressure, page.saturation.found_temperature
    pressure.setText("1 bar")
    as_gauge = found.text
    pressure.setText("2.01325 bar abs")
    assert found.text == as_gauge
    pressure.setText("2.01325 bar")
    page.saturation.reference.setCurrentText("absolute")
    assert found.text == as_gauge


def test_a_text_that_is_no_value_is_explained_where_the_answer_would_stand(page: CalculatorPage) -> None:
    page.saturation.pressure.setText("30 °C")
    assert page.saturation.found_temperature.text == ""
    assert "no unit of pressure" in page.saturation.found_temperature.problem
    page.saturation.pressure.setText("-2 bar abs")
    assert "perfect vacuum" in page.saturation.found_temperature.problem


def test_above_the_critical_pressure_the_page_says_so_in_the_units_shown(
    page: CalculatorPage, host: SmallHost
) -> None:
    page.sides.high.setText("50 bar")
    page.sides.liquid.setText("40 C")
    assert "psia, there is no saturation temperature" in page.sides.condensing.problem
    assert page.sides.subcooling.text == ""
    host.units.set_system(System.SI)
    assert "40.6 bar abs, there is no saturation temperature" in page.sides.condensing.problem


def test_a_number_not_to_believe_is_shown_with_its_problem(page: CalculatorPage) -> None:
    page.sides.high.setText("150 psi")
    page.sides.liquid.setText("150 F")
    assert page.sides.subcooling.text.startswith("\N{MINUS SIGN}")
    assert "wrong clamp" in page.sides.subcooling.problem


def test_swapped_hoses_are_noticed(page: CalculatorPage) -> None:
    page.sides.low.setText("150 psi")
    page.sides.high.setText("30 psi")
    assert "swapped" in page.sides.sides.text()
    page.sides.high.setText("300 psi")
    assert not page.sides.sides.isVisible()


def test_better_instruments_narrow_the_uncertainty(page: CalculatorPage) -> None:
    page.sides.low.setText("30 psi")
    page.sides.suction.setText("42 F")
    coarse = page.sides.superheat.text
    page.sides.gauges.setCurrentIndex(page.sides.gauges.count() - 1)
    page.sides.probe.setCurrentIndex(page.sides.probe.count() - 1)
    fine = page.sides.superheat.text
    widths = [float(text.split("±")[1].split()[0]) for text in (coarse, fine)]
    assert widths[1] < widths[0] / 2


def test_an_answer_is_copied_with_its_unit(page: CalculatorPage, host: SmallHost) -> None:
    page.saturation.temperature.setText("25 C")
    line = page.saturation.found_pressure
    copy_button(line).click()
    assert QGuiApplication.clipboard().text() == line.text
    assert line.text.endswith(" psig")
    assert host.said == [f"Copied {line.text}."]


def test_there_is_nothing_to_copy_without_an_answer(page: CalculatorPage) -> None:
    assert not copy_button(page.sides.superheat).isVisible()


def test_the_refrigerant_follows_the_vehicle_in_hand(page: CalculatorPage, host: SmallHost) -> None:
    page.sides.low.setText("30 psi")
    before = page.sides.evaporating.text
    host.bench.take_vehicle(holding("R-1234yf"))
    assert page.refrigerant.currentText() == "R-1234yf"
    assert page.sides.evaporating.text != before
    page.refrigerant.setCurrentText("R-134a")
    assert "holds R-1234yf" in page.following.text()


def test_a_refrigerant_without_a_curve_is_not_taken_for_another(
    page: CalculatorPage, host: SmallHost
) -> None:
    host.bench.take_vehicle(holding("R-152a"))
    assert "holds R-152a" in page.following.text()


def test_the_page_says_that_charge_is_weighed(page: CalculatorPage) -> None:
    shown = [label.text() for label in page.findChildren(type(page.following))]
    assert CAUTION in shown
    assert "Charge by weight" in CAUTION


def test_every_field_and_answer_is_reached_with_the_tab_key(page: CalculatorPage) -> None:
    page.saturation.temperature.setText("25 C")
    page.refrigerant.setFocus()
    reached: list[QWidget | None] = []
    while QApplication.focusWidget() not in reached:
        reached.append(QApplication.focusWidget())
        assert page.focusNextPrevChild(True)
    wanted = [
        page.refrigerant,
        page.air.altitude,
        page.air.barometer,
        page.saturation.pressure,
        page.saturation.reference,
        page.saturation.temperature,
        copy_button(page.saturation.found_pressure),
        page.sides.low,
        page.sides.suction,
        page.sides.high,
        page.sides.liquid,
        page.sides.gauges,
        page.sides.probe,
    ]
    assert [widget for widget in reached if widget in wanted] == wanted


def test_a_letter_with_alt_leads_to_its_field(page: CalculatorPage) -> None:
    for key, field in (
        (Qt.Key.Key_L, page.sides.low),
        (Qt.Key.Key_I, page.sides.liquid),
        (Qt.Key.Key_P, page.saturation.pressure),
        (Qt.Key.Key_B, page.air.barometer),
    ):
        QTest.keyClick(page, key, Qt.KeyboardModifier.AltModifier)
        assert QApplication.focusWidget() is field


def test_a_keystroke_is_answered_within_twenty_milliseconds(page: CalculatorPage) -> None:
    page.sides.low.setText("30 psi")
    page.sides.suction.setText("42 F")
    page.sides.liquid.setText("80 F")
    times = []
    for key in "150.25 psi":
        begun = time.perf_counter()
        QTest.keyClicks(page.sides.high, key)
        times.append(time.perf_counter() - begun)
    assert page.sides.subcooling.text
    assert sorted(times)[len(times) // 2] < 0.020
