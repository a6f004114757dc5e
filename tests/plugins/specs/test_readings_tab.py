"""The tab of readings on a real library: what they let expect, by standing, and the sessions."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, cast

import numpy as np
import pytest
from PySide6.QtWidgets import QApplication, QLabel
from scipy.stats import t

from knowngood.units import System
from knowngood_refdata.drafts import ReadingDraft
from knowngood_refdata.queries import readings, vehicles
from knowngood_refdata.records import AirSource, Conditions, Estimate, Quantity, Standing
from knowngood_specs.panels.decide_dialog import DecideDialog
from knowngood_specs.panels.readings_tab import ReadingsTab

from .test_tables_tab import BAROMETER_PA, session_of

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from knowngood.api import Host
    from knowngood_refdata.records import Vehicle

    from ..open_host import OpenHost

HIGH_PA = (11e5, 12e5, 13e5, 11.5e5, 12.5e5)
SUMMER = Conditions(
    ambient_k=305.15, relative_humidity=0.5, air_source=AirSource.RECIRCULATION, barometer_pa=BAROMETER_PA
)


@pytest.fixture
def vehicle(host: OpenHost, skerry: int) -> Vehicle:
    return vehicles.vehicle(host.store, skerry)


@pytest.fixture
def tab(qtbot: QtBot, host: OpenHost) -> ReadingsTab:
    made = ReadingsTab(cast("Host", host))
    qtbot.addWidget(made)
    made.resize(700, 900)
    made.show()
    return made


def add(host: OpenHost, vehicle: Vehicle, standing: Standing = Standing.KNOWN_GOOD) -> None:
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
            values={
                Quantity.HIGH_SIDE: Estimate(high, 5e3),
                Quantity.SUBCOOLING: Estimate(9.0 + high / 1e6, 0.5),
                Quantity.EVAPORATING: Estimate(274.0 + high / 1e6, 0.5),
            },
            standing=standing,
            decided_why="weighed in, no complaint",
        )
        readings.add(host.store, draft)


def shown(qtbot: QtBot, tab: ReadingsTab, vehicle: Vehicle) -> None:
    """Show a vehicle and wait until the book was asked."""
    tab.show_vehicle(vehicle)
    qtbot.waitUntil(lambda: not tab._host.tasks.running)


def texts(tab: ReadingsTab) -> str:
    QApplication.processEvents()
    return "\n".join(one.text() for one in tab.findChildren(QLabel) if one.isVisible())


def test_without_readings_it_is_said_plainly_that_nothing_is_known(
    qtbot: QtBot, tab: ReadingsTab, vehicle: Vehicle
) -> None:
    shown(qtbot, tab, vehicle)
    said = texts(tab)
    assert "Nothing known yet" in said
    assert "No session of this configuration" in said
    assert tab.expected.strips.rows == ()


def test_candidates_alone_let_nothing_be_expected(
    qtbot: QtBot, tab: ReadingsTab, host: OpenHost, vehicle: Vehicle
) -> None:
    add(host, vehicle, Standing.CANDIDATE)
    shown(qtbot, tab, vehicle)
    assert "Nothing known yet" in texts(tab)
    assert tab.book.buttons[Standing.CANDIDATE].text() == "Candidate (5)"
    tab.book.choose(Standing.CANDIDATE)
    assert tab.book.grid.rowCount() == 5


def test_readings_of_another_shop_give_a_range_of_their_own(
    qtbot: QtBot, tab: ReadingsTab, host: OpenHost, vehicle: Vehicle
) -> None:
    add(host, vehicle, Standing.IMPORTED)
    shown(qtbot, tab, vehicle)
    assert "Nothing known yet" in texts(tab)
    assert tab.expected.strips.rows == ()
    assert [one.word for one in tab.imported.strips.rows].count("no range") < len(tab.imported.strips.rows)
    assert tab.book.buttons[Standing.IMPORTED].text() == "Imported (5)"


def test_without_readings_of_other_shops_nothing_is_said_of_them(
    qtbot: QtBot, tab: ReadingsTab, host: OpenHost, vehicle: Vehicle
) -> None:
    add(host, vehicle)
    shown(qtbot, tab, vehicle)
    assert "other shops" not in texts(tab)


def test_the_expected_range_names_its_readings_cars_and_conditions(
    qtbot: QtBot, tab: ReadingsTab, host: OpenHost, vehicle: Vehicle
) -> None:
    add(host, vehicle)
    add(host, vehicle, Standing.CANDIDATE)
    shown(qtbot, tab, vehicle)
    assert "ranges stand on 5 readings of 5 cars of its configuration" in texts(tab)
    assert "780 rpm, fan stage 1, recirculation, 32.0 °C, 50 % RH" in tab.expected.under.currentText()
    row = next(one for one in tab.expected.strips.rows if one.name == "high side")
    # Few readings lend the range something of how cars differ usually: near the interval for one further
    # reading (Hahn and Meeker, Statistical Intervals, chapter 3), not on it.
    half = float(t.ppf(0.95, 4)) * float(np.std(HIGH_PA, ddof=1)) * 1.2**0.5
    gauge = tuple((float(np.mean(HIGH_PA)) + side * half - BAROMETER_PA) / 1e5 for side in (-1, 1))
    assert row.outer == pytest.approx(gauge, rel=0.12)
    assert len(row.ticks) == 5
    host.units.set_system(System.US)
    assert any("psig" in one.value_text for one in tab.expected.strips.rows)
    assert "89.6 °F" in tab.expected.under.currentText()


def test_a_session_in_hand_is_shown_against_the_book_and_says_what_it_lacks(
    qtbot: QtBot, tab: ReadingsTab, host: OpenHost, vehicle: Vehicle
) -> None:
    add(host, vehicle)
    host.bench.take_vehicle(vehicle)
    host.bench.take_session(session_of(host, vehicle))
    shown(qtbot, tab, vehicle)
    assert tab.expected.under.currentText() == "Season check, idle"
    assert "wet bulb not recorded" in texts(tab)


def test_a_session_opens_in_the_plotter(
    qtbot: QtBot, tab: ReadingsTab, host: OpenHost, vehicle: Vehicle
) -> None:
    host.bench.take_vehicle(vehicle)
    session = session_of(host, vehicle)
    shown(qtbot, tab, vehicle)
    tab.sessions.open_button.click()
    assert host.bench.session == session
    assert host.pages == ["sessions"]


def test_a_reading_is_retired_with_a_reason_and_the_ranges_say_that_they_moved(
    qtbot: QtBot, tab: ReadingsTab, host: OpenHost, vehicle: Vehicle
) -> None:
    add(host, vehicle)
    shown(qtbot, tab, vehicle)
    worst = next(
        one
        for one in readings.readings(host.store, vehicle.id)
        if one.values[Quantity.HIGH_SIDE].value == 13e5
    )
    tab.book.decide(worst, Standing.RETIRED, "the fan did not run")
    qtbot.waitUntil(lambda: bool(host.said))
    assert host.said[-1].startswith("The reading is retired now. Ranges moved: ")
    assert "high side was" in host.said[-1]
    kept = {one.id: one for one in readings.readings(host.store, vehicle.id)}
    assert (kept[worst.id].standing, kept[worst.id].decided_why) == (Standing.RETIRED, "the fan did not run")
    qtbot.waitUntil(lambda: tab.book.buttons[Standing.RETIRED].text() == "Retired (1)")
    qtbot.waitUntil(lambda: not host.tasks.running)


def test_someone_elses_decision_is_kept_and_said(
    qtbot: QtBot, tab: ReadingsTab, host: OpenHost, vehicle: Vehicle
) -> None:
    add(host, vehicle)
    shown(qtbot, tab, vehicle)
    (first, *_) = readings.readings(host.store, vehicle.id)
    readings.decide(host.store, first.id, first.version, Standing.CANDIDATE, "not weighed")
    tab.book.decide(first, Standing.RETIRED, "the fan did not run")
    qtbot.waitUntil(lambda: bool(host.said))
    assert "Someone else decided" in host.said[-1]
    (now, *_) = readings.readings(host.store, vehicle.id)
    assert now.standing is Standing.CANDIDATE


def test_without_a_reason_nothing_is_decided(
    qtbot: QtBot, tab: ReadingsTab, host: OpenHost, vehicle: Vehicle
) -> None:
    add(host, vehicle)
    (first, *_) = readings.readings(host.store, vehicle.id)
    dialog = DecideDialog(first, tab)
    qtbot.addWidget(dialog)
    assert dialog.standing is Standing.RETIRED
    dialog.accept()
    assert dialog.result() == 0
    dialog._why.setPlainText("the fan did not run")
    dialog.accept()
    assert (dialog.result(), dialog.why) == (1, "the fan did not run")
