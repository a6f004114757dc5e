"""The check-up page in a window: what it shows for the session in hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import numpy as np
import pytest
from PySide6.QtWidgets import QPushButton

from knowngood.api import CheckNote, NoteLevel
from knowngood.loader import Plugins, find_sources
from knowngood.units import System
from knowngood_checkup.panels.page import CheckupPage
from knowngood_refdata.drafts import SessionDraft
from knowngood_refdata.queries import sessions
from knowngood_refdata.records import Channel, Findings, Instruments, Recording, Role

from .conftest import IDLE
from .healthy_cars import SUMMER, window
from .shown_page import shown, texts

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from knowngood.host import WindowHost
    from knowngood_checkup.panels.ranges_section import RangesSection


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


def test_an_open_note_of_a_check_stands_in_the_way_into_the_book_and_on_its_sheet(
    qtbot: QtBot, host: WindowHost, session_id: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    note = CheckNote(NoteLevel.CAUTION, "The hood was shut.", "hood watch")
    monkeypatch.setattr(host.plugins, "session_checks", lambda _store, _session: (note,))
    page = shown(qtbot, host, session_id)
    page.sections.show_section("book")
    qtbot.waitUntil(lambda: "speaks against it: The hood was shut. (plugin hood watch)" in texts(page))
    assert "Not proposed as known-good" in texts(page)
    assert "The hood was shut. (plugin hood watch)" in page.sections.sheet().html


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
