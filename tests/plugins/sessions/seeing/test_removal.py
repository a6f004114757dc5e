"""Removing a session from the page, and bringing it back; what the question says before."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from knowngood_refdata.drafts import ReadingDraft
from knowngood_refdata.queries import readings, session_cuts, session_removal, sessions
from knowngood_refdata.queries.session_cuts import CutDraft
from knowngood_refdata.queries.session_removal import Belongings, Removal
from knowngood_refdata.records import Conditions, Estimate, Findings, Quantity
from knowngood_sessions.panels.removal_dialogs import RemovedDialog, RemoveDialog
from knowngood_sessions.removal_words import parts_words, what_goes

from .the_page import take

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from knowngood_sessions.panels.plotter import PlotterPage

    from ..conftest import QuietHost


def cut_two(host: QuietHost, number: int) -> tuple[int, ...]:
    drafts = [CutDraft(at, at + 90.0, f"part at {at:.0f}", Conditions(), Findings()) for at in (0.0, 300.0)]
    return session_cuts.cut(host.store, number, drafts)


def asked(page: PlotterPage, qtbot: QtBot) -> RemoveDialog:
    page.bar.remove_wanted.emit()
    qtbot.waitUntil(lambda: page.removal.dialog is not None, timeout=10_000)
    dialog = page.removal.dialog
    assert isinstance(dialog, RemoveDialog)
    return dialog


def listed(page: PlotterPage, qtbot: QtBot) -> RemovedDialog:
    page.bar.removed_wanted.emit()
    qtbot.waitUntil(lambda: page.removal.dialog is not None, timeout=10_000)
    dialog = page.removal.dialog
    assert isinstance(dialog, RemovedDialog)
    return dialog


def ids(host: QuietHost) -> set[int]:
    return {one.id for one in sessions.list_sessions(host.store, host.vehicle.id)}


def test_a_session_and_its_parts_are_removed_after_a_question_and_brought_back_from_the_list(
    page: PlotterPage, quiet: QuietHost, number: int, qtbot: QtBot
) -> None:
    parts = cut_two(quiet, number)
    dialog = asked(page, qtbot)
    assert "2 sessions cut out of it stay." in dialog.told.text()
    dialog.parts.setChecked(True)
    assert "'Skerry idle' and 2 sessions cut out of it leave every list" in dialog.told.text()
    dialog.accept()
    assert "Say why" in dialog.problem.text()
    assert ids(quiet) == {number, *parts}
    dialog.why.setText("sensors were swapped")
    dialog.accept()
    qtbot.waitUntil(lambda: "were removed" in page._message.text(), timeout=10_000)
    assert ids(quiet) == set()
    assert quiet.bench.session is None
    assert page.bar.infos == ()
    again = listed(page, qtbot)
    assert again.table.rowCount() == 3
    again.bring_back.click()
    qtbot.waitUntil(lambda: "was brought back" in page._message.text(), timeout=10_000)
    assert ids(quiet) == {number, *parts}
    assert quiet.bench.session is not None
    assert {one.id for one in page.bar.infos} == {number, *parts}


def test_a_part_is_removed_alone(page: PlotterPage, quiet: QuietHost, number: int, qtbot: QtBot) -> None:
    first, second = cut_two(quiet, number)
    take(page, quiet, first, qtbot)
    dialog = asked(page, qtbot)
    assert not dialog.parts.isVisibleTo(dialog)
    dialog.why.setText("cut at the wrong place")
    dialog.accept()
    qtbot.waitUntil(lambda: "'part at 0' was removed" in page._message.text(), timeout=10_000)
    assert ids(quiet) == {number, second}


def test_cancelling_the_question_removes_nothing(
    page: PlotterPage, quiet: QuietHost, number: int, qtbot: QtBot
) -> None:
    dialog = asked(page, qtbot)
    dialog.why.setText("wrong car")
    dialog.reject()
    assert ids(quiet) == {number}
    assert listed(page, qtbot).table.rowCount() == 0


def test_a_session_that_somebody_changed_meanwhile_is_kept_and_the_page_says_so(
    page: PlotterPage, quiet: QuietHost, number: int, qtbot: QtBot
) -> None:
    dialog = asked(page, qtbot)
    info = sessions.info(quiet.store, number)
    sessions.update_conditions(quiet.store, number, info.version, Conditions(fan_stage=2), info.instruments)
    dialog.why.setText("wrong car")
    dialog.accept()
    qtbot.waitUntil(lambda: "Nothing was removed" in page._message.text(), timeout=10_000)
    assert ids(quiet) == {number}


def test_the_question_tells_what_stays_of_readings_notes_and_cases(quiet: QuietHost, number: int) -> None:
    values = {Quantity.LOW_SIDE: Estimate(3e5, 5e3)}
    drafts = [
        ReadingDraft(
            quiet.vehicle.id, None, number, datetime(2026, 5, day, tzinfo=UTC), Conditions(), 750.0, 1, values
        )
        for day in (4, 5)
    ]
    readings.add_many(quiet.store, drafts)
    whole = session_removal.what_belongs(quiet.store, number).whole
    words = what_goes(Removal(whole), [whole])
    assert "leaves every list with what was found in it." in words
    assert "2 readings in the book taken from it stay and count as before" in words
    full = Belongings(whole.session, by_hand=1, service=2, cases=1, readings=0)
    assert what_goes(Removal(full), [full]).startswith(
        "'Skerry idle' leaves every list with 1 note or window set by hand and 2 weighings and measurements. "
        "Check-ups no longer learn from 1 confirmed case of it."
    )
    assert parts_words(Removal(full, (full,) * 5)).endswith("'Skerry idle', 'Skerry idle' and 2 more")
