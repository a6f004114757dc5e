"""The section of the cycle: figures, states and diagram follow what is typed, in both unit systems."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from knowngood.units import System
from knowngood_calculator.core.cycles import Figure
from knowngood_calculator.panels.cycle_section import CycleSection

from .at_the_page import median_keystroke_s, opened

if TYPE_CHECKING:
    from knowngood_calculator.panels.page import CalculatorPage

    from .conftest import SmallHost


@pytest.fixture
def section(page: CalculatorPage) -> CycleSection:
    return opened(page, "cycle", CycleSection)


def assume(section: CycleSection) -> None:
    form = section.inputs.assumed
    # Cengel and Boles, example 11-1: saturated at 0.14 and 0.8 MPa, that is -18.77 and 31.31 °C.
    for edit, text in (
        (form.evaporating, "-18.77 C"),
        (form.condensing, "31.31 C"),
        (form.superheat, "0"),
        (form.subcooling, "0"),
        (form.efficiency, "100"),
    ):
        edit.setText(text)


def measure(section: CycleSection) -> None:
    section.inputs.origin.setCurrentIndex(1)
    form = section.inputs.measured
    for edit, text in (
        (form.low, "30 psi"),
        (form.suction, "50 F"),
        (form.high, "180 psi"),
        (form.discharge, "155 F"),
        (form.liquid, "105 F"),
    ):
        edit.setText(text)


def test_assumed_conditions_show_the_textbooks_figures(section: CycleSection, host: SmallHost) -> None:
    host.units.set_system(System.SI)
    assume(section)
    lines = section.figures.lines
    assert lines[Figure.COP].text == "3.97"
    assert lines[Figure.CAPACITY].text.startswith("143.")
    assert lines[Figure.CAPACITY].text.endswith("kJ/kg")
    assert lines[Figure.DISCHARGE].text == "39.0 °C"


def test_the_unit_switch_writes_figures_states_and_axes_anew(section: CycleSection, host: SmallHost) -> None:
    assume(section)
    assert section.figures.lines[Figure.CAPACITY].text.endswith("Btu/lb")
    in_us = section.drawing.diagram.plot.view
    host.units.set_system(System.SI)
    assert section.figures.lines[Figure.CAPACITY].text.endswith("kJ/kg")
    assert section.drawing.states.text(2, 1) == "8.00"
    # 1 Btu/lb is 2.326 kJ/kg.
    assert section.drawing.diagram.plot.view[1] / in_us[1] == pytest.approx(2.326, rel=0.2)


def test_measured_points_come_with_their_uncertainty(section: CycleSection) -> None:
    measure(section)
    lines = section.figures.lines
    assert "±" in lines[Figure.COP].text
    assert "±" in lines[Figure.EFFICIENCY].text
    # Points 1 and 2, and 4 and 5, are one without an internal heat exchanger.
    assert section.drawing.states.text(0, 2) == section.drawing.states.text(1, 2) == "50.0"


def test_displacement_and_speed_give_flow_and_power(section: CycleSection) -> None:
    measure(section)
    form = section.inputs.compressor
    assert section.figures.flow.isHidden()
    for edit, text in ((form.displacement, "160 cc"), (form.pulley, "1.25"), (form.speed, "1500")):
        edit.setText(text)
    assert section.figures.flow.text.endswith("lb/h")
    assert section.figures.cooling.text.endswith("Btu/h")
    assert "full stroke" in section.figures.basis.text()


def test_without_conditions_the_section_says_what_to_enter(section: CycleSection) -> None:
    assert section.drawing.invitation.isVisible()
    assert section.drawing.states.isHidden()
    assert section.figures.lines[Figure.COP].text == ""


def test_a_text_that_is_no_value_is_named_with_its_field(section: CycleSection) -> None:
    section.inputs.assumed.evaporating.setText("5 bar")
    assert section.figures.words.text().startswith("Evaporating: ")


def test_impossible_conditions_leave_words_and_no_cycle(section: CycleSection) -> None:
    assume(section)
    section.inputs.assumed.condensing.setText("-30 C")
    assert "not warmer than evaporating" in section.figures.words.text()
    assert section.drawing.states.isHidden()
    assert section.figures.lines[Figure.COP].text == ""


def test_a_gas_cooler_is_offered_for_carbon_dioxide_alone(
    section: CycleSection, page: CalculatorPage
) -> None:
    assert not section.inputs.assumed.cooler.isVisible()
    page.head.refrigerant.setCurrentText("R-744")
    assert section.inputs.assumed.cooler.isVisible()
    for edit, text in (
        (section.inputs.assumed.evaporating, "3 C"),
        (section.inputs.assumed.cooler, "100 bar"),
        (section.inputs.assumed.cooler_outlet, "38 C"),
    ):
        edit.setText(text)
    assert section.figures.lines[Figure.COP].text


def test_another_refrigerant_has_another_diagram(section: CycleSection, page: CalculatorPage) -> None:
    first = section.drawing.diagram.plot.view
    page.head.refrigerant.setCurrentText("R-744")
    assert section.drawing.diagram.plot.view[3] > 2.0 * first[3]


def test_the_altitude_moves_the_measured_points(section: CycleSection, page: CalculatorPage) -> None:
    measure(section)
    before = section.figures.lines[Figure.RATIO].text
    page.head.altitude.setText("2000 m")
    assert section.figures.lines[Figure.RATIO].text != before


def test_the_sheet_holds_figures_states_and_the_diagram(section: CycleSection, page: CalculatorPage) -> None:
    assume(section)
    html = page.sheet().html
    assert "data:image/png;base64," in html
    assert "condenser outlet" in html
    assert section.figures.lines[Figure.COP].text in html


def test_a_keystroke_is_answered_within_twenty_milliseconds(section: CycleSection) -> None:
    measure(section)
    assert median_keystroke_s((section.inputs.measured.liquid, "43.25 C")) < 0.020
