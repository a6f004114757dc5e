"""The check-up page in a window: what it shows for the session in hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import numpy as np
import pytest
from PySide6.QtWidgets import QLabel, QPushButton

from knowngood.bench import Bench
from knowngood.drafts import Drafts
from knowngood.host import WindowHost
from knowngood.loader import Plugins, find_sources
from knowngood.settings import SettingsFile
from knowngood.tasks import Tasks
from knowngood.units import System, Units
from knowngood_checkup.core.explain.faults import Fault
from knowngood_checkup.panels.offer_dialog import Offer, OfferDialog, keep, what_is_missing
from knowngood_checkup.panels.page import CheckupPage
from knowngood_refdata.drafts import ReadingDraft, SessionDraft, SpecDraft, VehicleDraft
from knowngood_refdata.queries import checkups, readings, sessions, vehicles
from knowngood_refdata.records import (
    Channel,
    CompressorKind,
    Estimate,
    Findings,
    Instruments,
    Recording,
    Response,
    Role,
    SourceKind,
    Standing,
    Verdict,
    Weighed,
)
from knowngood_refdata.store import Store

from .healthy_cars import SUMMER, car, window
from .healthy_cars import readings as known_good

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood_checkup.panels.ranges_section import RangesSection

IDLE = window()
FAN_FORCED = window(1560.0, stage=2, label="1560 rpm", start_s=120.0)
RESPONSE = Response(
    780.0, 1560.0, Estimate(-5e4, 4e3), Estimate(2e5, 1e4), Verdict.FALLS, Verdict.RISES, same_fan_stage=True
)


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
    vehicle = vehicles.add_vehicle(
        store,
        VehicleDraft(
            "Tarn", "Skerry", "1.6 petrol", 2021, 2023, family="A",
            specs=(
                spec("compressor", CompressorKind.FIXED.value),
                spec("refrigerant", "R-134a"),
                SpecDraft("charge", 0.47, "470 ± 15 g", SourceKind.UNDER_HOOD_LABEL, "label", 0.015),
            ),
        ),
    )  # fmt: skip
    units = [vehicles.add_unit(store, vehicle, fleet_number=f"car {number}") for number in range(8)]
    drafts = [
        ReadingDraft(
            vehicle, units[(one.unit_id or 1) - 1], None, one.taken_at, one.conditions, one.engine_rpm,
            one.fan_stage, one.values, Standing.KNOWN_GOOD, "weighed in",
        )
        for one in known_good(car())
    ]  # fmt: skip
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
    draft = SessionDraft(vehicle, "Season check", "R-134a", "log.csv", SUMMER, findings=findings)
    return sessions.save(store, draft, recording, b"log")


def spec(field: str, text: str) -> SpecDraft:
    return SpecDraft(field, None, text, SourceKind.UNDER_HOOD_LABEL, "label")


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


def ranges(page: CheckupPage) -> RangesSection:
    section: RangesSection = page.sections.section("ranges")
    return section


def test_the_strips_of_the_first_window_are_shown_with_their_words(
    qtbot: QtBot, host: WindowHost, session_id: int
) -> None:
    page = shown(qtbot, host, session_id)
    assert {row.word for row in ranges(page)._strips.rows} == {"inside"}
    assert len(ranges(page)._strips.rows) == 7
    assert "ranges stand on 16 readings of 8 cars of its configuration" in texts(page)
    assert "All 7 compared values lie where those of healthy cars do" in texts(page)


def test_another_window_is_chosen_by_its_name_and_refused_with_how_to_repeat_it(
    qtbot: QtBot, host: WindowHost, session_id: int
) -> None:
    page = shown(qtbot, host, session_id)
    button = next(one for one in page.findChildren(QPushButton) if one.text() == "1560 rpm")
    button.click()
    assert {row.word for row in ranges(page)._strips.rows} == {"not comparable"}
    assert "fan stage 2 here, 1 there" in texts(page)
    assert "repeat the test with fan stage at 1" in texts(page)


def test_the_unit_system_changes_what_is_shown(qtbot: QtBot, host: WindowHost, session_id: int) -> None:
    page = shown(qtbot, host, session_id)

    def subcooling() -> str:
        return next(row for row in ranges(page)._strips.rows if row.name == "subcooling").value_text

    assert subcooling() == "9.0 K"
    host.units.set_system(System.US)
    assert subcooling() == "16.2 °F"


def test_the_plane_shows_this_cars_response_amid_the_known_good_ones(
    qtbot: QtBot, host: WindowHost, session_id: int
) -> None:
    page = shown(qtbot, host, session_id)
    view = ranges(page)._plane.view
    assert view is not None
    assert view.this is not None
    assert np.allclose(view.this, (-0.5, 2.0))
    assert "low side falls" in texts(page)
    # Only cars that were read on a day like this one: within 4 K of 304 K.
    assert len(view.cloud) == 4


def test_the_match_sheet_can_be_looked_at_line_by_line(
    qtbot: QtBot, host: WindowHost, session_id: int
) -> None:
    page = shown(qtbot, host, session_id)
    section = ranges(page)
    assert section.grid.isHidden()
    section.sheet_link.click()
    assert not section.grid.isHidden()
    lines = {section.grid.text(row, 0): section.grid.text(row, 3) for row in range(section.grid.rowCount())}
    assert lines["fan stage"] == "equal"
    assert lines["ambient"] in ("equal", "corrected for")


def test_the_readings_behind_a_range_are_listed_with_their_weights(
    qtbot: QtBot, host: WindowHost, session_id: int
) -> None:
    section = ranges(shown(qtbot, host, session_id))
    section.behind_link.click()
    assert not section.behind.isHidden()
    rows = range(section.behind.rowCount())
    weights = [int(section.behind.text(row, 2).removesuffix(" %")) for row in rows]
    assert len(weights) == 16
    assert weights == sorted(weights, reverse=True)
    assert sum(weights) == pytest.approx(100, abs=8)
    assert "car 0" in " ".join(section.behind.text(row, 0) for row in rows)


def test_the_plane_is_empty_without_a_response(qtbot: QtBot, host: WindowHost, session_id: int) -> None:
    sessions.save_findings(host.store, session_id, Findings(windows=(IDLE,)))
    page = shown(qtbot, host, session_id)
    assert ranges(page)._plane.view is None
    assert "two engine speeds" in texts(page)


def test_an_answer_goes_into_the_library_and_the_ranking(
    qtbot: QtBot, host: WindowHost, session_id: int
) -> None:
    page = shown(qtbot, host, session_id)
    page.sections.show_section("explanations")
    section = page.sections.section("explanations")
    before = page.check
    section.next.which.setCurrentIndex(section.next.which.findData("identifier"))
    section.next.answer.setCurrentText("much air")
    section.next.keep.click()
    qtbot.waitUntil(lambda: page.check is not before)
    assert checkups.found_out(host.store, session_id).answers == {"identifier": "much air"}
    assert "Answered: identifier: much air." in texts(page)
    assert page.check is not None
    assert page.check.checkup.explained is not None
    assert before is not None
    assert before.checkup.explained is not None
    air = Fault.AIR
    assert page.check.checkup.explained.probability(air) > before.checkup.explained.probability(air)


def test_masses_are_kept_in_si_and_answer_the_way_into_the_book(
    qtbot: QtBot, host: WindowHost, session_id: int
) -> None:
    page = shown(qtbot, host, session_id)
    page.sections.show_section("explanations")
    card = page.sections.section("explanations").weighing
    card.masses[Weighed.CHARGED].setText("472 g")
    before = page.check
    card.keep.click()
    qtbot.waitUntil(lambda: page.check is not before)
    assert checkups.found_out(host.store, session_id).weighings[Weighed.CHARGED].value == pytest.approx(0.472)
    page.sections.show_section("book")
    qtbot.waitUntil(lambda: "met: as the under-hood label says: 470 ± 15 g" in texts(page))
    assert "missing: let the car stand" in texts(page)


def test_what_cannot_be_a_mass_is_said_and_nothing_is_stored(
    qtbot: QtBot, host: WindowHost, session_id: int
) -> None:
    page = shown(qtbot, host, session_id)
    page.sections.show_section("explanations")
    card = page.sections.section("explanations").weighing
    card.masses[Weighed.CHARGED].setText("a lot")
    card.keep.click()
    assert checkups.found_out(host.store, session_id).weighings == {}


def test_a_case_needs_to_say_how_it_was_found(qtbot: QtBot, host: WindowHost, session_id: int) -> None:
    page = shown(qtbot, host, session_id)
    page.sections.show_section("explanations")
    card = page.sections.section("explanations").case
    card.explanation.setCurrentText("undercharge")
    card.keep.click()
    assert checkups.cases(host.store) == ()
    card.how.setText("160 g missing on the scale")
    card.keep.click()
    assert [one.explanation for one in checkups.cases(host.store)] == ["undercharge"]


def test_two_sessions_of_one_car_are_compared(qtbot: QtBot, host: WindowHost, session_id: int) -> None:
    info = sessions.info(host.store, session_id)
    later = SessionDraft(
        info.vehicle_id, "as left", "R-134a", "b.csv", SUMMER, findings=Findings((window(),)),
        started_at=datetime(2025, 8, 2, tzinfo=UTC),
    )  # fmt: skip
    time = np.arange(5.0)
    other = sessions.save(
        host.store, later, Recording(time, (Channel("P1", Role.LOW_SIDE, "psi", True, time),)), b"b"
    )
    page = shown(qtbot, host, session_id)
    page.sections.show_section("left")
    section = page.sections.section("left")
    qtbot.waitUntil(lambda: section.both is not None)
    assert section.other.currentData() == other
    assert "As left: as left" in texts(page)
    assert "Nothing differs by more than its uncertainty" in texts(page)


@pytest.mark.parametrize("key", ["ranges", "explanations", "book"])
def test_every_section_can_be_put_on_paper(qtbot: QtBot, host: WindowHost, session_id: int, key: str) -> None:
    page = shown(qtbot, host, session_id)
    page.sections.show_section(key)
    assert "Season check" in page.sections.sheet().html


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
    assert page.check.known_good_count == 16


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
    section = ranges(page)
    assert section._response_card.x() > section._range_card.x()
    page.resize(700, 740)
    qtbot.waitUntil(lambda: section._response_card.y() > section._range_card.y())


def test_what_the_checks_of_plugins_found_stands_beside_the_outcome(
    qtbot: QtBot, host: WindowHost, session_id: int
) -> None:
    host.plugins = Plugins(one for one in find_sources() if one.name == "sessions")
    sessions.update_conditions(
        host.store, session_id, 1, replace(SUMMER, relative_humidity=None), Instruments()
    )
    page = shown(qtbot, host, session_id)
    caution, remark = ranges(page).notes.shown
    assert caution.startswith("Caution: Not recorded: humidity.")
    assert "dial gauge class 1.6" in remark
    host.plugins.close()


def chance(page: CheckupPage, name: str) -> float:
    assert page.check is not None
    assert page.check.checkup.explained is not None
    return page.check.checkup.explained.probability(name)


BROUGHT = """
from knowngood.api import Explanation, Load, Measurement, Pattern, Signal, hookimpl

@hookimpl
def explanations():
    return [Explanation("heater return left open", 0.01, {Load.FULL_STROKE: Pattern({Signal.VENT: 9.0})})]

@hookimpl
def measurements():
    answers = {"heater return left open": (0.05, 0.95)}
    return [Measurement("feel the return", "Feel it.", ("cold", "warm"), (0.97, 0.03), answers, effort=0.1)]
"""


def test_what_a_plugin_brings_can_be_answered_and_found_and_stays_when_it_is_gone(
    qtbot: QtBot, host: WindowHost, session_id: int, tmp_path: Path
) -> None:
    (tmp_path / "shop").mkdir()
    (tmp_path / "shop" / "fleet.py").write_text(BROUGHT, "utf-8")
    host.plugins = Plugins(one for one in find_sources(tmp_path / "shop") if one.name in ("fleet", "checkup"))
    page = shown(qtbot, host, session_id)
    page.sections.show_section("explanations")
    section = page.sections.section("explanations")
    before = chance(page, "heater return left open")
    card = section.next
    card.which.setCurrentIndex(card.which.findData("feel the return"))
    card.answer.setCurrentText("warm")
    card.keep.click()
    qtbot.waitUntil(lambda: "feel the return: warm" in texts(page))
    # By Bayes' rule the answer multiplies its odds by 0.95 / 0.03 against what answers as usual.
    assert chance(page, "heater return left open") > 20.0 * before > 0.0
    section.case.explanation.setCurrentText("heater return left open")
    section.case.how.setText("closed it, and the vents are cold")
    section.case.keep.click()
    found = checkups.found_out(host.store, session_id)
    assert found.case is not None
    assert found.case.explanation == "heater return left open"
    host.plugins.close()

    host.plugins = Plugins(())
    again = shown(qtbot, host, session_id)
    again.sections.show_section("explanations")
    section = again.sections.section("explanations")
    assert section.case.explanation.currentText() == "heater return left open"
    assert "feel the return: warm" in texts(again)
