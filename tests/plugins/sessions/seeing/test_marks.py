"""Notes and windows by hand: set, changed, taken back, and told apart from what the program found."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_refdata.queries import session_marks, session_windows
from knowngood_refdata.queries.session_marks import NoteDraft
from knowngood_refdata.records import EventKind
from knowngood_sessions.panels.marks_dialogs import NoteDialog, WindowDialog

from .the_page import has, settle, shown_number

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from knowngood_sessions.panels.plotter import PlotterPage

    from ..conftest import QuietHost


def test_a_note_at_the_cursor_is_stored_shown_changed_and_taken_back(
    page: PlotterPage, quiet: QuietHost, qtbot: QtBot
) -> None:
    page.view.plot.set_cursor(120.0)
    page.view.tools.note_wanted.emit(EventKind.DOORS)
    dialog = page.marks.dialog
    assert isinstance(dialog, NoteDialog)
    assert (dialog.at.text(), dialog.kind.currentText()) == ("2:00", "doors")
    dialog.accept()
    assert "needs words" in dialog.problem.text()
    dialog.text.setText("driver's door open")
    dialog.until.setText("2:30")
    dialog.accept()
    qtbot.waitUntil(lambda: has(page, "2:00 to 2:30  driver's door open (doors, by hand)"), timeout=10_000)
    (note,) = session_marks.notes(quiet.store, shown_number(page))
    assert (note.said.at_s, note.said.until_s, note.who) == (120.0, 150.0, "R. Moss")
    events = page.view.session.findings.events if page.view.session else ()
    page.view.findings.list.choose_event([one.by_hand for one in events].index(True))
    page.view.findings.change.click()
    changing = page.marks.dialog
    assert isinstance(changing, NoteDialog)
    changing.text.setText("both doors open")
    changing.accept()
    qtbot.waitUntil(lambda: has(page, "both doors open"), timeout=10_000)
    page.view.findings.undo.click()
    qtbot.waitUntil(lambda: has(page, "driver's door open"), timeout=10_000)
    page.view.findings.remove.click()
    qtbot.waitUntil(lambda: not has(page, "door open"), timeout=10_000)
    assert page.view.findings.undo.toolTip().startswith("note deleted")


def test_a_note_that_may_explain_a_fan_step_is_minded_at_once_and_forgotten_with_it(
    page: PlotterPage, quiet: QuietHost, qtbot: QtBot
) -> None:
    assert page.view.session is not None
    (step,) = (one for one in page.view.session.findings.events if one.kind is EventKind.FAN_STAGE_UP)
    page.view.plot.set_cursor(step.at_s)
    page.view.tools.note_wanted.emit(EventKind.BLOWER)
    dialog = page.marks.dialog
    assert isinstance(dialog, NoteDialog)
    dialog.text.setText("to full speed")
    dialog.accept()
    qtbot.waitUntil(lambda: has(page, "erhaps another fan stage"), timeout=10_000)
    assert has(page, ", perhaps another")
    page.view.findings.undo.click()
    qtbot.waitUntil(lambda: not has(page, "erhaps"), timeout=10_000)


def test_a_window_of_the_program_that_is_dragged_stays_and_the_hands_stands_beside_it(
    page: PlotterPage, quiet: QuietHost, qtbot: QtBot
) -> None:
    assert page.view.session is not None
    first = page.view.session.findings.windows[0]
    page.view.plot.window_moved.emit(0, first.start_s, 130.0)
    qtbot.waitUntil(lambda: has(page, "idle, by hand: 0:00 to 2:10"), timeout=10_000)
    settle(page, quiet, qtbot)
    assert page.view.session is not None
    windows = page.view.session.findings.windows
    assert [(one.start_s, one.end_s) for one in windows if one.label == first.label and not one.by_hand] == [
        (first.start_s, first.end_s)
    ]
    (hand,) = (one for one in windows if one.by_hand)
    assert hand.values
    # Dragged again, it is the hand's own that moves.
    page.view.plot.window_moved.emit(windows.index(hand), first.start_s, 140.0)
    qtbot.waitUntil(lambda: has(page, "idle, by hand: 0:00 to 2:20"), timeout=10_000)
    settle(page, quiet, qtbot)
    assert len(session_windows.windows(quiet.store, shown_number(page))) == 1
    page.view.findings.undo.click()
    qtbot.waitUntil(lambda: has(page, "idle, by hand: 0:00 to 2:10"), timeout=10_000)


def test_a_new_window_is_drawn_out_or_set_by_its_times(
    page: PlotterPage, quiet: QuietHost, qtbot: QtBot
) -> None:
    page.view.plot.window_drawn.emit(350.0, 420.0)
    qtbot.waitUntil(lambda: has(page, "2500 rpm, by hand: 5:50 to 7:00"), timeout=10_000)
    settle(page, quiet, qtbot)
    page.view.tools.window_wanted.emit()
    dialog = page.marks.dialog
    assert isinstance(dialog, WindowDialog)
    dialog.start.setText("9:40")
    dialog.end.setText("9:10")
    dialog.label.setText("cool-down")
    dialog.accept()
    assert "ends before it begins" in dialog.problem.text()
    dialog.end.setText("11:00")
    dialog.accept()
    qtbot.waitUntil(lambda: has(page, "cool-down, by hand: 9:40 to 11:00"), timeout=10_000)


def test_the_history_tells_who_set_what_and_takes_any_of_it_back(
    page: PlotterPage, quiet: QuietHost, qtbot: QtBot
) -> None:
    page.view.plot.window_drawn.emit(350.0, 420.0)
    qtbot.waitUntil(lambda: has(page, "2500 rpm, by hand: 5:50 to 7:00"), timeout=10_000)
    settle(page, quiet, qtbot)
    session_marks.add(quiet.store, shown_number(page), NoteDraft(EventKind.NOTE, 5.0, "oil at the port"))
    page.bar.history_wanted.emit()
    qtbot.waitUntil(lambda: page.history.dialog is not None, timeout=10_000)
    dialog = page.history.dialog
    assert dialog is not None
    table = dialog.table
    assert [table.text(row, 2) for row in range(3)] == [
        "note added (oil at the port)",
        "window set by hand added (2500 rpm)",
        "session added (Skerry idle)",
    ]
    assert table.text(1, 1) == "R. Moss"
    assert "start (s): 350" in table.text(1, 3)
    table.setCurrentCell(2, 0)
    assert not dialog.take_back.isEnabled()
    table.setCurrentCell(1, 0)
    dialog.take_back.click()
    qtbot.waitUntil(lambda: not has(page, "2500 rpm, by hand"), timeout=10_000)
    settle(page, quiet, qtbot)
    assert has(page, "oil at the port")


def test_only_what_a_person_set_can_be_removed(page: PlotterPage) -> None:
    page.view.findings.list.choose_window(0)
    assert page.view.findings.remove.isHidden()
    assert page.view.findings.change.text() == "Other ends by hand..."
    page.view.findings.list.choose_event(0)
    assert page.view.findings.change.isHidden()
