"""The calculator's page answers as one types, in both unit systems."""

from __future__ import annotations

import time
from types import SimpleNamespace
from typing import TYPE_CHECKING, cast

import pytest
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPushButton

from knowngood.bench import Bench
from knowngood.units import System, Units
from knowngood_calculator.panels.page import CalculatorPage
from knowngood_refdata.records import SourceKind, SpecValue, Vehicle

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from knowngood.api import Host


@pytest.fixture
def host() -> Host:
    return cast("Host", SimpleNamespace(units=Units(System.US), bench=Bench()))


@pytest.fixture
def page(host: Host, qtbot: QtBot) -> CalculatorPage:
    made = CalculatorPage(host)
    qtbot.addWidget(made)
    made.show()
    return made


def test_a_pressure_is_answered_with_its_temperature_and_the_slope(page: CalculatorPage) -> None:
    page.pressure.setText("30 psi")
    assert page.answers["Saturation temperature"].text.endswith("°F")
    assert page.answers["Slope there"].text.endswith("°F per psi")


def test_the_unit_switch_writes_fields_and_answers_anew(page: CalculatorPage, host: Host) -> None:
    page.low.setText("30 psi")
    page.suction.setText("42 F")
    host.units.set_system(System.SI)
    assert page.low.text() == "2.1 bar g"
    assert page.answers["Evaporating"].text.endswith("°C")
    assert page.answers["Superheat"].text.endswith("K")


def test_the_altitude_moves_the_zero_of_the_gauge(page: CalculatorPage) -> None:
    page.temperature.setText("0 C")
    at_sea_level = page.answers["Saturation pressure"].text
    page.surroundings.altitude.setText("1500 m")
    assert page.answers["Saturation pressure"].text != at_sea_level
    page.surroundings.barometer.setText("29.92 inHg")
    assert page.answers["Saturation pressure"].text == at_sea_level


def test_an_absolute_pressure_is_no_gauge_pressure(page: CalculatorPage) -> None:
    page.pressure.setText("1 bar")
    as_gauge = page.answers["Saturation temperature"].text
    page.pressure.setText("2.01325 bar abs")
    assert page.answers["Saturation temperature"].text == as_gauge


def test_a_text_that_is_no_value_is_explained_where_the_answer_would_stand(page: CalculatorPage) -> None:
    page.pressure.setText("30 °C")
    answer = page.answers["Saturation temperature"]
    assert answer.text == ""
    assert answer.remark


def test_above_the_critical_pressure_the_page_says_so(page: CalculatorPage) -> None:
    page.high.setText("50 bar")
    page.liquid.setText("40 C")
    assert "there is no saturation temperature" in page.answers["Condensing"].remark
    assert page.answers["Subcooling"].text == ""


def test_swapped_hoses_are_noticed(page: CalculatorPage) -> None:
    page.low.setText("150 psi")
    page.high.setText("30 psi")
    assert "swapped" in page.sides.text()


def test_better_instruments_narrow_the_uncertainty(page: CalculatorPage) -> None:
    page.low.setText("30 psi")
    page.suction.setText("42 F")
    coarse = page.answers["Superheat"].text
    page.gauges.setCurrentIndex(3)
    page.probe.setCurrentIndex(3)
    fine = page.answers["Superheat"].text

    def half(text: str) -> float:
        return float(text.split("±")[1].split()[0])

    assert half(fine) < half(coarse) / 2


def test_an_answer_is_copied_with_its_unit(page: CalculatorPage) -> None:
    page.temperature.setText("25 C")
    answer = page.answers["Saturation pressure"]
    answer.findChild(QPushButton).click()  # type: ignore[union-attr]
    assert QGuiApplication.clipboard().text() == answer.text
    assert "psig" in answer.text


def test_the_refrigerant_follows_the_vehicle_in_hand(page: CalculatorPage, host: Host) -> None:
    gas = SpecValue(1, "refrigerant", None, None, "R-1234yf", SourceKind.UNDER_HOOD_LABEL, "label")
    host.bench.take_vehicle(
        Vehicle(1, "Tarn", "Skerry", "1.6 petrol", 2021, 2023, specs={"refrigerant": (gas,)})
    )
    assert page.surroundings.refrigerant.currentText() == "R-1234yf"


def test_a_keystroke_is_answered_within_twenty_milliseconds(page: CalculatorPage) -> None:
    page.low.setText("30 psi")
    page.suction.setText("42 F")
    times = []
    for key in "150.25 psi":
        begun = time.perf_counter()
        QTest.keyClicks(page.high, key)
        times.append(time.perf_counter() - begun)
    assert sorted(times)[len(times) // 2] < 0.020
