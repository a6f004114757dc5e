"""The calculator's page answers as one types, in both unit systems and without a mouse."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog

from knowngood.units import System
from knowngood_calculator.panels.head import CAUTION
from knowngood_refdata.records import Conditions, Instruments, SessionInfo, SourceKind, SpecValue, Vehicle

from .at_the_page import copy_button, median_keystroke_s, number, press, reached_by_tab, saturation, sides

if TYPE_CHECKING:
    from pathlib import Path

    from knowngood_calculator.panels.page import CalculatorPage

    from .conftest import SmallHost


def holding(refrigerant: str) -> Vehicle:
    gas = SpecValue(1, "refrigerant", None, None, refrigerant, SourceKind.UNDER_HOOD_LABEL, "label")
    return Vehicle(1, "Tarn", "Skerry", "1.6 petrol", 2021, 2023, specs={"refrigerant": (gas,)})


def session(conditions: Conditions) -> SessionInfo:
    return SessionInfo(
        1, None, None, "as found", None, "R-134a", conditions, Instruments(), 60.0, 60, "log.csv", "0" * 64
    )


def test_the_unit_switch_writes_fields_answers_and_instruments_anew(
    page: CalculatorPage, host: SmallHost
) -> None:
    sides(page).low.pressure.setText("30 psi")
    sides(page).low.line.setText("42 F")
    assert sides(page).low.gauge.full_scale.text().endswith("psi")
    host.units.set_system(System.SI)
    assert sides(page).low.pressure.text() == "2.1 bar g"
    assert sides(page).low.saturation.text.endswith("°C")
    assert sides(page).low.difference.text.endswith("K")
    assert sides(page).low.gauge.full_scale.text() == "10.0 bar"


def test_switching_the_units_to_and_fro_changes_no_value(page: CalculatorPage, host: SmallHost) -> None:
    sides(page).low.pressure.setText("30 psi")
    saturation(page).pressure.setText("30 psi")
    before = sides(page).low.saturation.text
    for system in (System.SI, System.US):
        host.units.set_system(system)
    assert sides(page).low.pressure.text() == "30.0 psig"
    assert saturation(page).pressure.text() == "30.0 psig"
    assert sides(page).low.saturation.text == before


def test_the_altitude_moves_the_zero_of_the_gauge(page: CalculatorPage) -> None:
    saturation(page).temperature.setText("0 C")
    at_sea_level = saturation(page).found_pressure.text
    page.head.altitude.setText("1500 m")
    # Table 1 of the ASHRAE Handbook, Fundamentals 2017, chapter 1: 84,556 Pa, 2.43 psi below sea level.
    assert number(saturation(page).found_pressure.text) - number(at_sea_level) == pytest.approx(
        2.43, abs=0.02
    )
    page.head.barometer.setText("29.92 inHg")
    assert saturation(page).found_pressure.text == at_sea_level


def test_a_gauge_pressure_means_another_temperature_at_altitude(page: CalculatorPage) -> None:
    sides(page).low.pressure.setText("2 bar")
    warm = number(sides(page).low.saturation.text)
    page.head.altitude.setText("1500 m")
    # 0.168 bar at 9.3 K/bar, by hand: 1.6 K or 2.8 °F.
    assert warm - number(sides(page).low.saturation.text) == pytest.approx(2.8, abs=0.2)


def test_an_altitude_that_is_not_used_is_explained(page: CalculatorPage) -> None:
    page.head.altitude.setText("90000 ft")
    assert "not used" in page.head.problem.text()
    assert "sea level" in page.head.used.text()


def test_above_the_critical_pressure_the_page_says_so_in_the_units_shown(
    page: CalculatorPage, host: SmallHost
) -> None:
    sides(page).high.pressure.setText("50 bar")
    sides(page).high.line.setText("40 C")
    assert "psia, there is no saturation temperature" in sides(page).high.saturation.problem
    assert sides(page).high.difference.text == ""
    host.units.set_system(System.SI)
    assert "40.6 bar abs, there is no saturation temperature" in sides(page).high.saturation.problem


def test_a_number_not_to_believe_is_shown_with_its_problem(page: CalculatorPage) -> None:
    sides(page).high.pressure.setText("150 psi")
    sides(page).high.line.setText("150 F")
    assert sides(page).high.difference.text.startswith("\N{MINUS SIGN}")
    assert "wrong clamp" in sides(page).high.difference.problem


def test_swapped_hoses_are_noticed(page: CalculatorPage) -> None:
    sides(page).low.pressure.setText("150 psi")
    sides(page).high.pressure.setText("30 psi")
    assert "swapped" in sides(page).sides.text()
    sides(page).high.pressure.setText("300 psi")
    assert not sides(page).sides.isVisible()


def test_better_instruments_narrow_the_uncertainty(page: CalculatorPage) -> None:
    sides(page).low.pressure.setText("30 psi")
    sides(page).low.line.setText("42 F")
    coarse = sides(page).low.difference.text
    sides(page).low.gauge.kind.setCurrentText("dial gauge, class 0.25")
    sides(page).low.probe.kind.setCurrentText("Pt100, class A")
    fine = sides(page).low.difference.text
    widths = [float(text.split("±")[1].split()[0]) for text in (coarse, fine)]
    assert widths[1] < widths[0] / 2


def test_an_answer_is_copied_with_its_unit(page: CalculatorPage, host: SmallHost) -> None:
    saturation(page).temperature.setText("25 C")
    line = saturation(page).found_pressure
    copy_button(line).click()
    assert QGuiApplication.clipboard().text() == line.text
    assert line.text.endswith(" psig")
    assert host.said == [f"Copied {line.text}."]


def test_there_is_nothing_to_copy_without_an_answer(page: CalculatorPage) -> None:
    assert not copy_button(sides(page).low.difference).isVisible()


def test_the_refrigerant_follows_the_vehicle_in_hand(page: CalculatorPage, host: SmallHost) -> None:
    sides(page).low.pressure.setText("30 psi")
    before = sides(page).low.saturation.text
    host.bench.take_vehicle(holding("R-1234yf"))
    assert page.head.refrigerant.currentText() == "R-1234yf"
    assert sides(page).low.saturation.text != before
    page.head.refrigerant.setCurrentText("R-134a")
    assert "holds R-1234yf" in page.head.following.text()


def test_a_refrigerant_without_a_curve_is_not_taken_for_another(
    page: CalculatorPage, host: SmallHost
) -> None:
    host.bench.take_vehicle(holding("R-22"))
    assert "holds R-22" in page.head.following.text()


def test_the_page_says_that_charge_is_weighed(page: CalculatorPage) -> None:
    shown = [label.text() for label in page.findChildren(type(page.head.following))]
    assert CAUTION in shown
    assert "Charge by weight" in CAUTION


def test_every_field_of_both_sides_is_reached_with_the_tab_key(page: CalculatorPage) -> None:
    card = sides(page)
    wanted = [
        card.exchanger,
        card.low.pressure,
        card.low.line,
        card.low.gauge.kind,
        card.low.gauge.full_scale,
        card.low.probe.kind,
        card.low.places.seat,
        card.low.places.air,
        card.low.places.place,
        card.low.places.port,
        card.low.places.drop,
        card.high.pressure,
        card.high.line,
    ]
    assert [widget for widget in reached_by_tab(page) if widget in wanted] == wanted


def test_a_letter_with_alt_leads_to_its_field(page: CalculatorPage) -> None:
    QTest.keyClick(page, Qt.Key.Key_P, Qt.KeyboardModifier.AltModifier)
    assert QApplication.focusWidget() is saturation(page).pressure
    for key, field in (
        (Qt.Key.Key_L, sides(page).low.pressure),
        (Qt.Key.Key_I, sides(page).high.line),
        (Qt.Key.Key_B, page.head.barometer),
    ):
        QTest.keyClick(page, key, Qt.KeyboardModifier.AltModifier)
        assert QApplication.focusWidget() is field


def test_ctrl_and_a_number_leads_to_a_section(page: CalculatorPage) -> None:
    QTest.keyClick(page, Qt.Key.Key_2, Qt.KeyboardModifier.ControlModifier)
    assert page.front == "sides"
    QTest.keyClick(page, Qt.Key.Key_1, Qt.KeyboardModifier.ControlModifier)
    assert page.front == "saturation"


def test_a_keystroke_is_answered_within_twenty_milliseconds(page: CalculatorPage) -> None:
    sides(page).low.pressure.setText("30 psi")
    sides(page).low.line.setText("42 F")
    sides(page).high.line.setText("80 F")
    assert median_keystroke_s((sides(page).high.pressure, "150.25 psi")) < 0.020
    assert sides(page).high.difference.text


def test_the_air_pressure_of_the_session_in_hand_counts_until_another_is_typed(
    page: CalculatorPage, host: SmallHost
) -> None:
    saturation(page).temperature.setText("0 C")
    at_sea_level = number(saturation(page).found_pressure.text)
    host.bench.take_session(session(Conditions(altitude_m=1500.0)))
    assert "from the session in hand" in page.head.used.text()
    moved = number(saturation(page).found_pressure.text) - at_sea_level
    assert moved == pytest.approx(2.43, abs=0.02)
    page.head.altitude.setText("0 m")
    assert number(saturation(page).found_pressure.text) == pytest.approx(at_sea_level)


def test_the_sheet_holds_what_was_typed_and_answered(page: CalculatorPage) -> None:
    sides(page).low.pressure.setText("30 psi")
    sides(page).low.line.setText("42 F")
    sheet = page.sheet()
    assert "superheat" in sheet.title
    for text in ("30 psi", "42 F", sides(page).low.difference.text, "R-134a", CAUTION):
        assert text in sheet.html + sheet.foot
    assert "<script" not in sheet.html


def test_what_is_printed_is_escaped(page: CalculatorPage) -> None:
    sides(page).low.pressure.setText("<b>30</b>")
    assert "&lt;b&gt;30" in page.sheet().html


def test_a_page_is_saved_where_the_user_says(
    page: CalculatorPage, host: SmallHost, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "saturation.pdf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(place), ""))
    press(page, "Save as PDF...")
    assert place.exists()
    assert host.said == [f"Saved {place}."]


def test_a_page_that_cannot_be_saved_is_told(
    page: CalculatorPage, host: SmallHost, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "no" / "x.pdf"), ""))
    press(page, "Save as PDF...")
    assert len(host.said) == 1
    assert "No such file" in host.said[0]


def test_printing_hands_the_sheet_in_front_to_the_program(page: CalculatorPage, host: SmallHost) -> None:
    press(page, "Print...")
    assert [sheet.title for sheet in host.sheets] == ["Refrigerant calculator: saturation"]


def test_on_a_narrow_screen_the_sides_stand_below_one_another(page: CalculatorPage) -> None:
    section = sides(page)
    QApplication.processEvents()
    assert section.low.y() == section.high.y()
    page.resize(720, 480)
    QApplication.processEvents()
    assert section.high.y() > section.low.y() + section.low.height() // 2
    assert section.low.x() == section.high.x()
