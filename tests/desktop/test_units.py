"""The unit system of the window."""

from __future__ import annotations

from knowngood.units import System, Units
from knowngood_refdata.records import Quantity


def test_a_change_is_remembered_and_announced_once() -> None:
    remembered: list[System] = []
    units = Units(System.US, remember=remembered.append)
    heard: list[System] = []
    units.changed.connect(lambda: heard.append(units.system))
    units.set_system(System.SI)
    units.set_system(System.SI)
    assert remembered == heard == [System.SI]


def test_the_chosen_system_is_what_is_shown_and_read() -> None:
    units = Units(System.US)
    assert units.text(311_325.0, Quantity.LOW_SIDE) == "30.5 psig"
    assert units.parse("30.5", Quantity.LOW_SIDE) < 312_000.0
    units.set_system(System.SI)
    assert units.text(311_325.0, Quantity.LOW_SIDE) == "2.1 bar g"
    assert units.parse("2.1", Quantity.LOW_SIDE) == 311_325.0
    assert units.label(Quantity.SUPERHEAT) == "K"
