"""Superheat and subcooling on the screen: what they rest on changes what is said of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from knowngood.units import System
from knowngood_calculator.core.clamps import Seat
from knowngood_calculator.panels.side_inputs import OTHER_PROBE

from .at_the_page import number, sides

if TYPE_CHECKING:
    from knowngood_calculator.panels.page import CalculatorPage
    from knowngood_calculator.panels.side_card import SideCard
    from knowngood_calculator.panels.sides_section import SidesSection

    from .conftest import SmallHost


@pytest.fixture
def section(page: CalculatorPage, host: SmallHost) -> SidesSection:
    host.units.set_system(System.SI)
    made = sides(page)
    # Cengel and Boles, Thermodynamics, 5th ed., example 11-2: 0.14 MPa and -10 °C, 0.72 MPa and 26 °C, that
    # is 8.76 K and 1.67 K (the differences computed from the example's data).
    made.low.pressure.setText("140 kPa abs")
    made.low.line.setText("-10 C")
    made.high.pressure.setText("720 kPa abs")
    made.high.line.setText("26 C")
    return made


def value(card: SideCard) -> float:
    return number(card.difference.text)


def width(card: SideCard) -> float:
    return float(card.difference.text.split("±")[1].split()[0])


def ends(card: SideCard) -> tuple[float, float]:
    low, high = card.interval.text.removesuffix(" K").split(" to ")
    return number(low), number(high)


def test_the_textbooks_points_give_its_superheat_and_subcooling(section: SidesSection) -> None:
    section.low.gauge.kind.setCurrentText("dial gauge, class 0.1")
    section.low.probe.kind.setCurrentText("Pt100, class A")
    section.high.gauge.kind.setCurrentText("dial gauge, class 0.1")
    section.high.probe.kind.setCurrentText("Pt100, class A")
    assert value(section.low) == pytest.approx(8.76, abs=0.06)
    assert value(section.high) == pytest.approx(1.67, abs=0.06)


def test_a_bare_clamp_in_warm_air_lengthens_the_interval_on_one_side_alone(section: SidesSection) -> None:
    low, high = ends(section.low)
    section.low.places.seat.setCurrentText(Seat.BARE.label)
    section.low.places.air.setText("55 C")
    assert ends(section.low)[1] == high
    assert ends(section.low)[0] < low - 3.0
    assert "true superheat is lower by up to" in section.low.difference.remark
    section.high.places.seat.setCurrentText(Seat.BARE.label)
    section.high.places.air.setText("55 C")
    assert "true subcooling is higher by up to" in section.high.difference.remark


def test_a_port_before_the_condenser_takes_its_drop_off_the_subcooling(section: SidesSection) -> None:
    section.high.pressure.setText("13.2 bar abs")
    section.high.line.setText("44 C")
    without = value(section.high)
    section.high.places.port.setCurrentText("upstream of the clamp")
    assert "not given" in section.high.difference.remark
    section.high.places.drop.setText("1 bar")
    # 3.0 K per bar at 50 °C for R-134a, computed with CoolProp 8.0.
    assert without - value(section.high) == pytest.approx(3.0, abs=0.3)
    assert "lowered by" in section.high.difference.remark.lower()


@pytest.mark.parametrize(
    ("exchanger", "told"),
    [
        ("there is one", "normal behind an internal heat exchanger"),
        ("there is none", "high for a system without"),
        ("not known", "usual behind an internal heat exchanger"),
    ],
)
def test_a_high_superheat_is_judged_by_the_heat_exchanger(
    section: SidesSection, exchanger: str, told: str
) -> None:
    section.low.line.setText("5 C")
    section.exchanger.setCurrentText(exchanger)
    assert told in section.low.difference.remark.lower()


def test_the_input_that_dominates_is_named(section: SidesSection) -> None:
    section.low.gauge.kind.setCurrentText("dial gauge, class 4")
    assert "mostly from the gauge" in section.low.difference.remark
    section.low.gauge.kind.setCurrentText("dial gauge, class 0.1")
    assert "mostly from the clamp" in section.low.difference.remark


def test_an_unknown_altitude_counts_for_a_gauge_pressure_and_not_for_an_absolute_one(
    section: SidesSection, page: CalculatorPage
) -> None:
    section.low.probe.kind.setCurrentText(OTHER_PROBE)
    section.low.probe.limit.setText("0.1 K")
    section.low.gauge.kind.setCurrentText("dial gauge, class 0.1")
    as_absolute = width(section.low)
    section.low.pressure.setText("0.38675 bar")
    assert width(section.low) > 1.6 * as_absolute
    assert "barometer" in section.low.difference.remark
    # A barometer that is read leaves a sixth of what the weather may do.
    page.head.barometer.setText("101.325 kPa")
    assert width(section.low) < 1.2 * as_absolute


def test_a_probe_with_a_limit_of_its_own_needs_that_limit(section: SidesSection) -> None:
    assert not section.low.probe.limit.isEnabled()
    section.low.probe.kind.setCurrentText(OTHER_PROBE)
    assert section.low.probe.limit.isEnabled()
    assert section.low.difference.text == ""
    assert "limit of error of the probe is not given" in section.low.difference.problem.lower()
    section.low.probe.limit.setText("1 K")
    assert section.low.difference.text


def test_a_gauge_without_a_full_scale_is_asked_for_it(section: SidesSection) -> None:
    section.low.gauge.full_scale.setText("")
    assert "full scale of the gauge is not given" in section.low.difference.problem.lower()


def test_a_pressure_alone_has_its_saturation_temperature(section: SidesSection) -> None:
    section.low.line.setText("")
    assert section.low.saturation.text
    assert section.low.difference.text == ""


def test_a_reading_beyond_the_full_scale_is_noticed(section: SidesSection) -> None:
    section.low.gauge.full_scale.setText("1 bar")
    section.low.pressure.setText("2 bar")
    section.low.line.setText("10 C")
    assert "beyond the full scale" in section.low.difference.remark
