"""The charge by weight: what scales leave of its tolerance, two weighings, and the charge on record."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from knowngood.units import System
from knowngood_calculator.panels.weights_section import WeightsSection
from knowngood_refdata.records import SourceKind

from .at_the_page import opened
from .weights_typed import label, vehicle, weigh

if TYPE_CHECKING:
    from knowngood_calculator.panels.page import CalculatorPage

    from .conftest import SmallHost


@pytest.fixture
def section(page: CalculatorPage) -> WeightsSection:
    return opened(page, "weights", WeightsSection)


def test_a_machine_takes_most_of_a_narrow_tolerance(section: WeightsSection, host: SmallHost) -> None:
    host.units.set_system(System.SI)
    label(section)
    assert section.charge.verdict.text == "attainable with ease"
    section.charge.choice.machines.setCurrentIndex(1)
    assert section.charge.verdict.text == "attainable, with little room"
    # By hand: 2 √((15² + 2²)/3 + 1²/12) g = 17.5 g of 20 g; 450 g keeps 2.5 g to either side.
    assert section.charge.known.text == "± 17 g"
    assert "87 %" in section.charge.verdict.remark
    assert section.charge.within.text == "448 to 452 g"


def test_a_tolerance_that_the_scale_uses_up_leaves_nothing_to_aim_for(section: WeightsSection) -> None:
    label(section, tolerance="5 g")
    section.charge.choice.machines.setCurrentIndex(1)
    assert section.charge.verdict.text == "not attainable with these instruments"
    assert "whole tolerance" in section.charge.verdict.problem
    assert section.charge.within.text == ""


def test_two_weighings_give_the_charge_and_its_place_against_the_label(
    section: WeightsSection, host: SmallHost
) -> None:
    host.units.set_system(System.SI)
    label(section)
    weigh(section, "8.432 kg", "7.982 kg")
    # JCGM 100:2008, by hand: 1.96 √(2 · 2²/3 + 1/6) g.
    assert section.charge.weighed.text == "450.0 ± 3.3 g"
    assert section.charge.against.text == "within the label's tolerance"
    weigh(section, "8.432 kg", "8.032 kg")
    assert section.charge.against.text == "below the label's tolerance"
    assert "50 g from the label" in section.charge.against.problem
    assert "recover all of it" in section.charge.against.problem


def test_swapped_weighings_are_noticed(section: WeightsSection) -> None:
    weigh(section, "7.982 kg", "8.432 kg")
    assert section.charge.weighed.text == ""
    assert "swapped" in section.charge.weighed.problem


def test_an_empty_charge_starts_with_that_of_the_vehicle_in_hand_and_names_its_source(
    section: WeightsSection, host: SmallHost
) -> None:
    assert section.charge.source.text().startswith("Enter the charge from the under-hood label")
    host.units.set_system(System.SI)
    host.bench.take_vehicle(vehicle(0.470))
    assert [edit.text() for edit in (section.charge.charge, section.charge.tolerance)] == ["470 g", "15 g"]
    told = section.charge.source.text()
    assert told == (
        "Of the vehicle in hand: 470 ± 15 g of R-1234yf (under-hood label, photograph of the label)."
    )
    assert section.charge.verdict.text


def test_the_charge_of_another_vehicle_never_stays_in_the_field(
    section: WeightsSection, host: SmallHost
) -> None:
    host.units.set_system(System.SI)
    host.bench.take_vehicle(vehicle(0.470))
    host.units.set_system(System.US)
    host.bench.take_vehicle(vehicle(0.520, number=2))
    assert section.charge.charge.si() == 0.520
    host.bench.take_vehicle(replace(vehicle(0.520, number=3), specs={}))
    assert section.charge.charge.text() == ""
    assert "No charge is on record" in section.charge.source.text()


def test_a_charge_that_was_typed_stays_beside_what_is_on_record(
    section: WeightsSection, host: SmallHost
) -> None:
    label(section)
    host.bench.take_vehicle(vehicle(0.470))
    assert section.charge.charge.text() == "450 g"
    assert "As typed; the vehicle in hand has 470 ± 15 g" in section.charge.source.text()


def test_a_charge_from_a_book_defers_to_the_label(section: WeightsSection, host: SmallHost) -> None:
    host.bench.take_vehicle(vehicle(0.470, kind=SourceKind.SERVICE_INFORMATION))
    assert section.charge.source.text().endswith("The under-hood label prevails.")


def test_a_missing_tolerance_is_asked_for(section: WeightsSection) -> None:
    section.charge.charge.setText("450 g")
    assert "Enter the tolerance" in section.charge.verdict.remark
