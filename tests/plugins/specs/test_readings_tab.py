"""The tab of readings on a real library: what they let expect, by standing, and the sessions."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, cast

import pytest
from PySide6.QtWidgets import QApplication, QLabel

from knowngood.units import System
from knowngood_refdata.drafts import ReadingDraft
from knowngood_refdata.expected.prediction import prediction_interval
from knowngood_refdata.queries import readings, vehicles
from knowngood_refdata.records import AirSource, Conditions, Estimate, Quantity, Standing
from knowngood_specs.panels.readings_tab import ReadingsTab

from .test_tables_tab import BAROMETER_PA, session_of

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from knowngood.api import Host
    from knowngood_refdata.records import Vehicle

    from .conftest import ShopHost

HIGH_PA = (11e5, 12e5, 13e5, 11.5e5, 12.5e5)
SUMMER = Conditions(
    ambient_k=305.15, relative_humidity=0.5, air_source=AirSource.RECIRCULATION, barometer_pa=BAROMETER_PA
)


@pytest.fixture
def vehicle(host: ShopHost, skerry: int) -> Vehicle:
    return vehicles.vehicle(host.store, skerry)


@pytest.fixture
def tab(qtbot: QtBot, host: ShopHost) -> ReadingsTab:
    made = ReadingsTab(cast("Host", host))
    qtbot.addWidget(made)
    made.resize(700, 900)
    made.show()
    return made


def add(host: ShopHost, vehicle: Vehicle, standing: Standing = Standing.KNOWN_GOOD) -> None:
    """Five readings of five cars at idle."""
    for number, high in enumerate(HIGH_PA):
        unit = vehicles.add_unit(host.store, vehicle.id, fleet_number=f"{standing} {number}")
        draft = ReadingDraft(
            vehicle_id=vehicle.id,
            unit_id=unit,
            session_id=None,
            taken_at=datetime(2025, 6, 2, tzinfo=UTC) + timedelta(days=number),
            conditions=SUMMER,
            engine_rpm=780.0,
            fan_stage=1,
            values={Quantity.HIGH_SIDE: Estimate(high, 5e3)},
            standing=standing,
            decided_why="weighed in, no complaint",
        )
        readings.add(host.store, draft)


def texts(tab: ReadingsTab) -> str:
    QApplication.processEvents()
    return "\n".join(one.text() for one in tab.findChildren(QLabel) if one.isVisible())


def test_without_readings_it_is_said_plainly_that_nothing_is_known(
    tab: ReadingsTab, vehicle: Vehicle
) -> None:
    tab.show_vehicle(vehicle)
    said = texts(tab)
    assert "Nothing known yet" in said
    assert "No session of this configuration" in said
    assert tab.expected.strips.rows == ()


def test_candidates_alone_let_nothing_be_expected(tab: ReadingsTab, host: ShopHost, vehicle: Vehicle) -> None:
    add(host, vehicle, Standing.CANDIDATE)
    tab.show_vehicle(vehicle)
    assert "Nothing known yet" in texts(tab)
    assert tab.book.buttons[Standing.CANDIDATE].text() == "Candidate (5)"
    tab.book.choose(Standing.CANDIDATE)
    assert tab.book.grid.rowCount() == 5


def test_readings_of_another_shop_give_a_range_of_their_own(
    tab: ReadingsTab, host: ShopHost, vehicle: Vehicle
) -> None:
    add(host, vehicle, Standing.IMPORTED)
    tab.show_vehicle(vehicle)
    assert "Nothing known yet" in texts(tab)
    assert tab.expected.strips.rows == ()
    assert len(tab.imported.strips.rows) == 1
    assert tab.book.buttons[Standing.IMPORTED].text() == "Imported (5)"


def test_without_readings_of_other_shops_nothing_is_said_of_them(
    tab: ReadingsTab, host: ShopHost, vehicle: Vehicle
) -> None:
    add(host, vehicle)
    tab.show_vehicle(vehicle)
    assert "other shops" not in texts(tab)


def test_the_expected_range_names_its_readings_cars_and_conditions(
    tab: ReadingsTab, host: ShopHost, vehicle: Vehicle
) -> None:
    add(host, vehicle)
    add(host, vehicle, Standing.CANDIDATE)
    tab.show_vehicle(vehicle)
    assert "5 known-good readings of 5 cars match these conditions" in texts(tab)
    assert "780 rpm, fan stage 1, recirculation, 32.0 °C, 50 % RH" in tab.expected.under.currentText()
    (row,) = tab.expected.strips.rows
    # Hahn and Meeker, Statistical Intervals, chapter 3: the interval for one further reading.
    band = prediction_interval(HIGH_PA, 0.90)
    gauge = tuple((edge - BAROMETER_PA) / 1e5 for edge in (band.low, band.high))
    assert row.outer == pytest.approx(gauge)
    assert len(row.ticks) == 5
    host.units.set_system(System.US)
    assert "psig" in tab.expected.strips.rows[0].value_text
    assert "89.6 °F" in tab.expected.under.currentText()


def test_a_session_in_hand_is_shown_against_the_book_and_says_what_it_lacks(
    tab: ReadingsTab, host: ShopHost, vehicle: Vehicle
) -> None:
    add(host, vehicle)
    host.bench.take_vehicle(vehicle)
    host.bench.take_session(session_of(host, vehicle))
    tab.show_vehicle(vehicle)
    assert tab.expected.under.currentText() == "Season check, idle"
    assert "Not comparable: humidity of this session not recorded" in texts(tab)


def test_a_session_opens_in_the_plotter(tab: ReadingsTab, host: ShopHost, vehicle: Vehicle) -> None:
    host.bench.take_vehicle(vehicle)
    session = session_of(host, vehicle)
    tab.show_vehicle(vehicle)
    tab.sessions.open_button.click()
    assert host.bench.session == session
    assert host.pages == ["sessions"]
