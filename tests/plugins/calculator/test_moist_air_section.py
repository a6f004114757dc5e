"""The section of moist air: any measure of humidity gives all others, and two states with a flow the load."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING

import numpy as np
import pytest
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QComboBox, QLabel, QWidget

from knowngood.units import System
from knowngood_calculator.core.air_measures import Measure
from knowngood_calculator.panels.moist_air_section import MoistAirSection
from knowngood_refdata.drafts import SessionDraft
from knowngood_refdata.queries import sessions
from knowngood_refdata.records import Conditions, Estimate, Findings, Quantity, Recording, SteadyWindow
from knowngood_refdata.store import Store

from .at_the_page import copy_button, median_keystroke_s, number, opened, visited_by_tab

if TYPE_CHECKING:
    from pathlib import Path

    from knowngood.widgets.answer_line import AnswerLine
    from knowngood_calculator.panels.moist_air_state_card import StateCard
    from knowngood_calculator.panels.page import CalculatorPage

    from .conftest import SmallHost


@pytest.fixture
def section(page: CalculatorPage) -> MoistAirSection:
    return opened(page, "moist_air", MoistAirSection)


def enter(card: StateCard, dry_bulb: str, measure: Measure, value: str) -> None:
    card.humidity.choose(measure)
    card.dry_bulb.setText(dry_bulb)
    card.humidity.edit.setText(value)


def value(line: AnswerLine) -> float:
    return number(line.text)


def test_wet_bulb_gives_the_handbooks_example_in_si(section: MoistAirSection, host: SmallHost) -> None:
    # ASHRAE Handbook, Fundamentals 2017, chapter 1, example 1 (SI), to the digits of its chart.
    host.units.set_system(System.SI)
    card = section.inlet
    enter(card, "40", Measure.WET_BULB, "20")
    assert value(card.measures[Measure.HUMIDITY_RATIO]) == pytest.approx(6.5, abs=0.12)
    assert value(card.measures[Measure.DEW_POINT]) == pytest.approx(7.0, abs=0.5)
    assert value(card.measures[Measure.RELATIVE_HUMIDITY]) == pytest.approx(14.0, abs=0.5)
    assert value(card.enthalpy) == pytest.approx(56.7, abs=0.3)
    assert value(card.volume) == pytest.approx(0.896, abs=0.001)
    assert card.enthalpy.text.endswith("kJ/kg")
    assert "dry air at 0\N{NO-BREAK SPACE}°C" in card.basis.text()


def test_wet_bulb_gives_the_handbooks_example_in_us_units(section: MoistAirSection) -> None:
    # The same example in its IP edition: 100 °F and 65 °F at 14.696 psia. Its enthalpy counts from 0 °F.
    card = section.inlet
    enter(card, "100", Measure.WET_BULB, "65")
    # 0.00523 lb/lb, 7000 grains to a pound.
    assert value(card.measures[Measure.HUMIDITY_RATIO]) == pytest.approx(36.6, abs=0.7)
    assert value(card.measures[Measure.DEW_POINT]) == pytest.approx(40.0, abs=0.5)
    assert value(card.measures[Measure.RELATIVE_HUMIDITY]) == pytest.approx(13.0, abs=0.5)
    assert value(card.enthalpy) == pytest.approx(29.80, abs=0.07)
    assert value(card.volume) == pytest.approx(14.22, abs=0.02)
    assert "dry air at 0\N{NO-BREAK SPACE}°F" in card.basis.text()


def test_relative_humidity_gives_the_textbooks_dew_point(section: MoistAirSection, host: SmallHost) -> None:
    # Cengel and Boles, Thermodynamics, 5th edition, example 14-2.
    host.units.set_system(System.SI)
    enter(section.inlet, "20", Measure.RELATIVE_HUMIDITY, "75")
    assert section.inlet.measures[Measure.DEW_POINT].text == "15.4 °C"
    # 0.75 times 2.339 kPa, its table A-4.
    assert value(section.inlet.vapour) == pytest.approx(1.754, abs=0.002)


def test_the_local_air_pressure_counts(section: MoistAirSection, page: CalculatorPage) -> None:
    # Cengel and Boles, example 14-1: 25 °C and 75 % at 100 kPa hold 0.0151 kg/kg.
    page.head.barometer.setText("100 kPa")
    enter(section.inlet, "25 C", Measure.RELATIVE_HUMIDITY, "75")
    assert value(section.inlet.measures[Measure.HUMIDITY_RATIO]) / 7.0 == pytest.approx(15.1, abs=0.1)
    page.head.barometer.setText("80 kPa")
    assert value(section.inlet.measures[Measure.HUMIDITY_RATIO]) / 7.0 > 18.0


def test_another_measure_takes_the_state_over(section: MoistAirSection) -> None:
    enter(section.inlet, "25 C", Measure.WET_BULB, "15 C")
    before = section.inlet.air
    for measure in (Measure.DEW_POINT, Measure.HUMIDITY_RATIO, Measure.RELATIVE_HUMIDITY):
        section.inlet.humidity.choose(measure)
        after = section.inlet.air
        assert before is not None
        assert after is not None
        assert after.humidity_ratio == pytest.approx(before.humidity_ratio, rel=1e-9)
    # Cengel and Boles, example 14-3: 33.2 %.
    assert section.inlet.measures[Measure.RELATIVE_HUMIDITY].text == "33.2 %"
    assert section.inlet.humidity.edit.text() == "33 %"


def test_the_unit_switch_writes_fields_and_answers_anew(section: MoistAirSection, host: SmallHost) -> None:
    enter(section.inlet, "86 F", Measure.DEW_POINT, "68 F")
    host.units.set_system(System.SI)
    assert section.inlet.dry_bulb.text() == "30.0 °C"
    assert section.inlet.humidity.edit.text() == "20.0 °C"
    assert section.inlet.measures[Measure.DEW_POINT].text == "20.0 °C"
    assert section.inlet.measures[Measure.HUMIDITY_RATIO].text.endswith("g/kg")


def load_example(section: MoistAirSection) -> None:
    """Cengel and Boles, example 14-6: 10 m³/min from 30 °C and 80 % to saturated 14 °C."""
    enter(section.inlet, "30 C", Measure.RELATIVE_HUMIDITY, "80")
    enter(section.outlet, "14 C", Measure.RELATIVE_HUMIDITY, "100")
    section.load.flow.setText("10 m3/min")


def test_two_states_and_a_flow_give_the_textbooks_load(section: MoistAirSection, host: SmallHost) -> None:
    host.units.set_system(System.SI)
    load_example(section)
    # Published: 511 kJ/min and 0.131 kg/min.
    assert value(section.load.total) == pytest.approx(511 / 60, abs=0.02)
    assert value(section.load.water) == pytest.approx(0.131 * 60, abs=0.06)
    parts = value(section.load.sensible) + value(section.load.latent)
    assert parts == pytest.approx(value(section.load.total), abs=0.011)
    share = value(section.load.sensible) / value(section.load.total)
    assert value(section.load.share) == pytest.approx(100.0 * share, abs=0.6)


def test_the_load_in_us_units_is_the_same(section: MoistAirSection) -> None:
    load_example(section)
    # 1 kJ/min is 56.87 Btu/h, 0.131 kg/min are 17.3 lb/h.
    assert value(section.load.total) == pytest.approx(511 * 56.87, rel=0.002)
    assert value(section.load.water) == pytest.approx(17.3, abs=0.1)
    # The difference of the enthalpies shown, less the water, times the dry air; whatever they count from.
    shown = (value(section.inlet.enthalpy) - value(section.outlet.enthalpy)) * value(section.load.dry_air)
    water = value(section.load.water) * (57.2 - 32.0)
    assert value(section.load.total) == pytest.approx(shown - water, rel=0.002)


def test_another_outlet_moves_the_load(section: MoistAirSection) -> None:
    load_example(section)
    before = value(section.load.total)
    section.outlet.dry_bulb.setText("10 C")
    assert value(section.load.total) > before


def test_swapped_states_are_told(section: MoistAirSection) -> None:
    load_example(section)
    enter(section.outlet, "35 C", Measure.RELATIVE_HUMIDITY, "80")
    assert section.load.total.text.startswith("\N{MINUS SIGN}")
    assert "swapped" in section.load.remarks.text()
    assert section.load.share.text == ""


@pytest.mark.parametrize(
    ("dry_bulb", "measure", "value", "words"),
    [
        ("30 C", Measure.WET_BULB, "35 C", "evaporating water only cools"),
        ("30 C", Measure.WET_BULB, "2 C", "even perfectly dry air"),
        ("30 C", Measure.DEW_POINT, "31 C", "fog"),
        ("30 C", Measure.RELATIVE_HUMIDITY, "120", "0 to 100 %"),
        ("30 C", Measure.HUMIDITY_RATIO, "40 g/kg", "cannot hold so much water"),
        ("300 C", Measure.RELATIVE_HUMIDITY, "5", "outside"),
        ("30 bar", Measure.RELATIVE_HUMIDITY, "5", "Dry bulb: "),
        ("30 C", Measure.WET_BULB, "wet", "Wet bulb: "),
    ],
)
def test_impossible_air_is_told_in_words_and_answers_nothing(
    section: MoistAirSection, dry_bulb: str, measure: Measure, value: str, words: str
) -> None:
    load_example(section)
    enter(section.inlet, dry_bulb, measure, value)
    assert words in section.inlet.told.text()
    assert section.inlet.invitation.isHidden()
    assert (
        section.inlet.enthalpy.text == section.inlet.measures[measure].text == section.load.total.text == ""
    )


def test_a_flow_that_is_none_is_told(section: MoistAirSection) -> None:
    load_example(section)
    section.load.flow.setText("0")
    assert "above zero" in section.load.told.text()
    section.load.flow.setText("5 bar")
    assert "bar" in section.load.told.text()
    assert section.load.total.text == ""


def test_perfectly_dry_air_has_no_dew_point(section: MoistAirSection) -> None:
    enter(section.inlet, "77 F", Measure.RELATIVE_HUMIDITY, "0")
    assert section.inlet.measures[Measure.DEW_POINT].text == ""
    assert section.inlet.measures[Measure.HUMIDITY_RATIO].text == "0.0 gr/lb"
    # Switched to a measure that it does not have, the state is not known any more, and nothing breaks.
    section.inlet.humidity.choose(Measure.DEW_POINT)
    assert section.inlet.air is None


def test_without_input_the_section_says_what_to_enter(section: MoistAirSection) -> None:
    assert section.inlet.invitation.text() == "Enter the dry bulb and one measure of humidity."
    section.inlet.dry_bulb.setText("80 F")
    assert section.inlet.invitation.text() == "Enter one measure of humidity."
    assert "flow of air" in section.load.invitation.text()
    assert section.load.told.isHidden()
    assert section.intake.isHidden()
    assert section.vent.isHidden()


def test_the_session_in_hand_offers_intake_and_vent(
    section: MoistAirSection, host: SmallHost, tmp_path: Path
) -> None:
    values = {Quantity.LOW_SIDE: Estimate(3e5, 1e3), Quantity.VENT: Estimate(280.15, 0.5)}
    windows = (
        SteadyWindow(0.0, 60.0, 800.0, None, "idle", values),
        SteadyWindow(90.0, 120.0, 2000.0, None, "2000 rpm", {Quantity.LOW_SIDE: values[Quantity.LOW_SIDE]}),
    )
    draft = SessionDraft(
        None,
        "as found",
        "R-134a",
        "log.csv",
        conditions=Conditions(intake_k=298.15, relative_humidity=0.5),
        findings=Findings(windows=windows),
    )
    with closing(Store.open(tmp_path / "library.sqlite", user="Ada Fell")) as store:
        recording = Recording(np.array([0.0, 1.0]), ())
        host.store = store
        host.bench.take_session(sessions.info(store, sessions.save(store, draft, recording, b"log")))
        assert section.intake.isVisible()
        section.intake.click()
        assert section.inlet.measures[Measure.RELATIVE_HUMIDITY].text == "50.0 %"
        assert section.inlet.dry_bulb.text() == "77.0 °F"
        choose(section.vent, 1)
        assert section.outlet.dry_bulb.text() == "44.6 °F"
        choose(section.vent, 2)
        assert section.outlet.dry_bulb.text() == "44.6 °F"
        assert "no vent temperature" in host.said[-1]
        host.bench.take_session(None)
        assert section.intake.isHidden()


def choose(box: QComboBox, place: int) -> None:
    box.setCurrentIndex(place)
    box.activated.emit(place)


def test_an_answer_is_copied_with_its_unit(section: MoistAirSection, host: SmallHost) -> None:
    load_example(section)
    copy_button(section.load.total).click()
    assert QGuiApplication.clipboard().text() == section.load.total.text
    assert host.said == [f"Copied {section.load.total.text}."]


def test_the_sheet_holds_states_load_and_what_the_enthalpy_counts_from(
    section: MoistAirSection, page: CalculatorPage
) -> None:
    load_example(section)
    html = page.sheet().html
    for text in (section.inlet.enthalpy.text, section.outlet.enthalpy.text, section.load.total.text):
        assert text in html
    assert html.count("enthalpy is zero for dry air") == 2


def test_every_letter_with_alt_leads_to_one_field(section: MoistAirSection, page: CalculatorPage) -> None:
    for measure in Measure:
        for card in (section.inlet, section.outlet):
            card.humidity.choose(measure)
        letters = [
            label.text()[label.text().index("&") + 1].lower()
            for label in page.findChildren(QLabel)
            if label.isVisible() and label.buddy() is not None
        ]
        assert len(letters) == len(set(letters)) == 10


def test_the_keyboard_visits_the_fields_in_the_order_seen(section: MoistAirSection) -> None:
    fields: list[QWidget] = []
    for card in (section.inlet, section.outlet):
        fields += [card.dry_bulb, card.humidity.choice, card.humidity.edit]
    fields.append(section.load.flow)
    assert visited_by_tab(fields) == fields


def test_a_keystroke_is_answered_within_twenty_milliseconds(section: MoistAirSection) -> None:
    load_example(section)
    edits = section.inlet.dry_bulb, section.outlet.humidity.edit, section.load.flow
    for edit in edits:
        edit.clear()
    assert median_keystroke_s(*zip(edits, (" 31.5 C", "9.5 %", "400 cfm"), strict=True)) < 0.020
