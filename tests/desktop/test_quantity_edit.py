"""A field keeps the value behind its rounded text."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from knowngood.units import System, Units
from knowngood.widgets import QuantityEdit
from knowngood_refdata.quantities import Kind, unit
from knowngood_refdata.records import Role

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

PSI = unit("psi", Kind.PRESSURE)
SEA_LEVEL_PA, MOUNTAIN_PA = 101_325.0, 84_556.0


@pytest.fixture
def units() -> Units:
    return Units(System.US)


@pytest.fixture
def low(qtbot: QtBot, units: Units) -> QuantityEdit:
    edit = QuantityEdit(Kind.PRESSURE, units)
    qtbot.addWidget(edit)
    return edit


def test_another_air_pressure_moves_a_gauge_reading_alone_not_its_digits(
    low: QuantityEdit, units: Units
) -> None:
    low.setText("30 psi")
    units.set_system(System.SI)
    assert low.text() == "2.1 bar g"
    low.set_barometer(MOUNTAIN_PA)
    assert low.si() == pytest.approx(PSI.to_si(30.0) + MOUNTAIN_PA, abs=1e-6)
    low.set_barometer(SEA_LEVEL_PA)
    assert low.si() == pytest.approx(PSI.to_si(30.0) + SEA_LEVEL_PA, abs=1e-6)


def test_those_who_listen_to_a_change_find_the_exact_value(low: QuantityEdit, units: Units) -> None:
    low.setText("30 psi")
    heard: list[float | None] = []
    low.changed.connect(lambda: heard.append(low.si()))
    units.set_system(System.SI)
    low.set_si(308_000.0)
    low.set_si(308_001.0)
    assert heard[-2:] == [308_000.0, 308_001.0]
    assert set(heard[:-2]) == {PSI.to_si(30.0) + SEA_LEVEL_PA}


def test_a_text_typed_over_a_written_one_counts_as_typed(low: QuantityEdit) -> None:
    low.set_si(308_168.0)
    low.setText("29 psi")
    assert low.si() == pytest.approx(PSI.to_si(29.0) + SEA_LEVEL_PA)


def test_a_written_absolute_pressure_and_a_barometer_do_not_follow_the_air(
    qtbot: QtBot, units: Units
) -> None:
    absolute, barometer = (
        QuantityEdit(Kind.PRESSURE, units, absolute=True),
        QuantityEdit(Role.BAROMETER, units),
    )
    for edit in (absolute, barometer):
        qtbot.addWidget(edit)
        edit.set_si(98_765.4)
        edit.set_barometer(MOUNTAIN_PA)
        assert edit.si() == 98_765.4


def test_a_written_gauge_pressure_stays_one_when_bare_numbers_become_absolute(low: QuantityEdit) -> None:
    low.set_si(308_168.4)
    low.set_absolute(True)
    assert low.si() == 308_168.4


def test_a_pressure_typed_as_absolute_stays_so_through_other_units_and_other_air(
    low: QuantityEdit, units: Units
) -> None:
    low.setText("20 psia")
    units.set_system(System.SI)
    assert low.text() == "1.4 bar abs"
    low.set_barometer(MOUNTAIN_PA)
    assert low.si() == PSI.to_si(20.0)
    units.set_system(System.US)
    assert low.text() == "20.0 psia"
