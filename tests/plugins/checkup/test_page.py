"""The check-up page in a window: what it shows for the session in hand."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
from PySide6.QtWidgets import QLabel, QPushButton

from knowngood.bench import Bench
from knowngood.drafts import Drafts
from knowngood.host import WindowHost
from knowngood.loader import Plugins
from knowngood.settings import SettingsFile
from knowngood.tasks import Tasks
from knowngood.units import System, Units
from knowngood_checkup.panels.offer_dialog import Offer, OfferDialog, keep, what_is_missing
from knowngood_checkup.panels.page import CheckupPage
from knowngood_refdata.drafts import ReadingDraft, SessionDraft, VehicleDraft
from knowngood_refdata.queries import readings, sessions, vehicles
from knowngood_refdata.records import (
    Channel,
    Estimate,
    Findings,
    Quantity,
    Recording,
    Role,
    Standing,
)
from knowngood_refdata.store import Store

from .test_plane import DAY, HEALTHY, IDLE, RESPONSE, SUMMER, pressures

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from pytestqt.qtbot import QtBot

FAN_FORCED = replace(IDLE, start_s=120.0, end_s=200.0, engine_rpm=2000.0, fan_stage=2, label="2000 rpm")


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    opened = Store.open(tmp_path / "library.sqlite", user="Ada Fell")
    yield opened
    opened.close()


@pytest.fixture
def host(store: Store, tmp_path: Path, qtbot: QtBot) -> Iterator[WindowHost]:
    said: list[str] = []
    tasks = Tasks()
    drafts = Drafts(tmp_path / "drafts.json")
    yield WindowHost(
        store=store,
        bench=Bench(find_vehicle=lambda number: vehicles.vehicle(store, number)),
        units=Units(System.SI),
        tasks=tasks,
        drafts=drafts,
        plugins=Plugins(()),
        settings=SettingsFile(tmp_path / "settings.json"),
        show=said.append,
        tell=said.append,
    )
    drafts.close()
    assert tasks.close()


@pytest.fixture
def session_id(store: Store) -> int:
    vehicle = vehicles.add_vehicle(store, VehicleDraft("Tarn", "Skerry", "1.6 petrol", 2021, 2023))
    drafts = []
    for number, value in enumerate(HEALTHY):
        unit = vehicles.add_unit(store, vehicle, fleet_number=f"car {number}")
        drafts.append(
            ReadingDraft(
                vehicle, unit, None, DAY, SUMMER, 750.0, 1,
                {Quantity.SUBCOOLING: Estimate(value, 0.5)}, Standing.KNOWN_GOOD, "weighed in",
            )
        )  # fmt: skip
    readings.add_many(store, drafts)
    findings = Findings(windows=(IDLE, FAN_FORCED), responses=(RESPONSE,))
    time = np.arange(240.0)
    recording = Recording(
        time,
        (
            Channel("P1", Role.LOW_SIDE, "psi", True, np.full(240, 30.0)),
            Channel("P2", Role.HIGH_SIDE, "psi", True, np.full(240, 150.0)),
        ),
    )
    draft = SessionDraft(vehicle, "Season check", "R-1234yf", "log.csv", SUMMER, findings=findings)
    return sessions.save(store, draft, recording, b"log")


def shown(qtbot: QtBot, host: WindowHost, session_id: int) -> CheckupPage:
    page = CheckupPage(host)
    qtbot.addWidget(page)
    page.resize(1080, 740)
    page.show()
    host.bench.take_session(sessions.info(host.store, session_id))
    qtbot.waitUntil(lambda: page.check is not None)
    return page


def texts(page: CheckupPage) -> str:
    return "\n".join(label.text() for label in page.findChildren(QLabel) if label.isVisibleTo(page))


def test_without_a_session_the_page_says_what_to_do_first(qtbot: QtBot, host: WindowHost) -> None:
    page = CheckupPage(host)
    qtbot.addWidget(page)
    page.show()
    assert "import a log" in texts(page)


def test_the_strips_of_the_first_window_are_shown_with_their_words(
    qtbot: QtBot, host: WindowHost, session_id: int
) -> None:
    page = shown(qtbot, host, session_id)
    words = {row.name: row.word for row in page._strips.rows}
    assert words == {"subcooling": "inside", "high side": "not comparable"}
    assert "5 known-good readings of 5 cars match" in texts(page)


def test_another_window_is_chosen_by_its_name_and_refused_with_its_reason(
    qtbot: QtBot, host: WindowHost, session_id: int
) -> None:
    page = shown(qtbot, host, session_id)
    button = next(one for one in page.findChildren(QPushButton) if one.text() == "2000 rpm")
    button.click()
    assert {row.word for row in page._strips.rows} == {"not comparable"}
    assert "fan stage 2 here, stage 1 there" in texts(page)


def test_the_unit_system_changes_what_is_shown(qtbot: QtBot, host: WindowHost, session_id: int) -> None:
    page = shown(qtbot, host, session_id)
    assert next(row for row in page._strips.rows if row.name == "subcooling").value_text == "10.0 K"
    host.units.set_system(System.US)
    assert next(row for row in page._strips.rows if row.name == "subcooling").value_text == "18.0 °F"


def test_the_plane_shows_this_cars_response(qtbot: QtBot, host: WindowHost, session_id: int) -> None:
    page = shown(qtbot, host, session_id)
    view = page._plane.view
    assert view is not None
    assert view.this is not None
    assert np.allclose(view.this, (-0.5, 2.0))
    assert "low side falls" in texts(page)


def test_known_good_responses_of_other_cars_form_the_cloud(
    qtbot: QtBot, host: WindowHost, session_id: int
) -> None:
    vehicle = sessions.info(host.store, session_id).vehicle_id
    assert vehicle is not None
    units = vehicles.units(host.store, vehicle)
    for car, unit in enumerate(units):
        for rpm, low, high in ((750.0, 3e5, 10e5), (2000.0, 2.6e5 + 2e3 * car, 12e5 - 1e3 * car**2)):
            one = pressures(rpm, low, high, unit.id, day=car)
            readings.add(
                host.store,
                ReadingDraft(
                    vehicle, unit.id, None, one.taken_at, SUMMER, rpm, 1, one.values,
                    Standing.KNOWN_GOOD, "weighed in",
                ),
            )  # fmt: skip
    page = shown(qtbot, host, session_id)
    view = page._plane.view
    assert view is not None
    assert len(view.cloud) == 5
    assert view.outer is not None


def test_the_plane_is_empty_without_a_response(qtbot: QtBot, host: WindowHost, session_id: int) -> None:
    sessions.save_findings(host.store, session_id, Findings(windows=(IDLE,)))
    page = shown(qtbot, host, session_id)
    assert page._plane.view is None
    assert "two engine speeds" in texts(page)


def test_putting_the_session_down_empties_the_page(qtbot: QtBot, host: WindowHost, session_id: int) -> None:
    page = shown(qtbot, host, session_id)
    host.bench.take_session(None)
    assert "import a log" in texts(page)


def test_offered_windows_become_known_good_readings_of_a_named_car(store: Store, session_id: int) -> None:
    info = sessions.info(store, session_id)
    assert info.vehicle_id is not None
    offer = Offer((IDLE,), None, "van 7", Standing.KNOWN_GOOD, "weighed in, no complaint")
    assert keep(store, info, offer) == 1
    found = next(one for one in readings.readings(store, info.vehicle_id) if one.session_id == session_id)
    assert (found.unit_name, found.standing, found.decided_by) == ("van 7", Standing.KNOWN_GOOD, "Ada Fell")
    assert found.values == IDLE.values


def test_a_session_is_no_evidence_for_itself(qtbot: QtBot, host: WindowHost, session_id: int) -> None:
    info = sessions.info(host.store, session_id)
    keep(host.store, info, Offer((IDLE,), None, "van 7", Standing.KNOWN_GOOD, "weighed in"))
    page = shown(qtbot, host, session_id)
    assert page.check is not None
    assert page.check.known_good_count == len(HEALTHY)


@pytest.mark.parametrize(
    ("offer", "words"),
    [
        (Offer((), 1, "", Standing.CANDIDATE, ""), "at least one steady window"),
        (Offer((IDLE,), None, "", Standing.CANDIDATE, ""), "Name the car"),
        (Offer((IDLE,), 1, "", Standing.KNOWN_GOOD, ""), "Say why"),
    ],
)
def test_an_incomplete_offer_says_what_is_missing(offer: Offer, words: str) -> None:
    assert words in what_is_missing(offer)


def test_the_dialog_stays_open_until_the_offer_is_complete(qtbot: QtBot) -> None:
    dialog = OfferDialog((IDLE,), ())
    qtbot.addWidget(dialog)
    dialog.accept()
    assert dialog.result() == 0
    dialog._new_car.setText("van 7")
    dialog.accept()
    assert dialog.result() == 1
    assert dialog.offer.standing is Standing.CANDIDATE


def test_a_narrow_page_puts_its_columns_below_one_another(
    qtbot: QtBot, host: WindowHost, session_id: int
) -> None:
    page = shown(qtbot, host, session_id)
    assert page._response_card.x() > page._range_card.x()
    page.resize(700, 740)
    qtbot.waitUntil(lambda: page._response_card.y() > page._range_card.y())
    assert page.horizontalScrollBar().maximum() == 0
