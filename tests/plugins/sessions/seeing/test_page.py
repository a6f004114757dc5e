"""The page as a technician uses it: notes, windows by hand, channels, overlay, two cursors, parts, files."""

from __future__ import annotations

import csv
from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetrics, QImage
from PySide6.QtTest import QTest

from knowngood.formatting import System
from knowngood_refdata.queries import session_marks, session_windows, sessions
from knowngood_refdata.queries.session_marks import NoteDraft
from knowngood_refdata.records import EventKind, Role
from knowngood_sessions.panels.marks_dialogs import CutDialog, NoteDialog, SplitDialog, WindowDialog
from knowngood_sessions.panels.plotter import PlotterPage
from knowngood_sessions.plugin import settings

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from ..conftest import QuietHost


@pytest.fixture
def page(quiet: QuietHost, put_log: Callable[..., int], two_plateau_csv: bytes, qtbot: QtBot) -> PlotterPage:
    number = put_log(quiet.store, two_plateau_csv, "Skerry idle.csv", quiet.vehicle.id)
    made = PlotterPage(quiet)
    # Widgets are closed before fixtures end; what still runs then would come back to nothing.
    qtbot.addWidget(
        made, before_close_func=lambda _: qtbot.waitUntil(lambda: not quiet.tasks.running, timeout=10_000)
    )
    made.resize(1080, 700)
    made.show()
    quiet.bench.take_session(sessions.info(quiet.store, number))
    settle(made, quiet, qtbot)
    return made


def settle(page: PlotterPage, host: QuietHost, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: page.view.session is not None and not host.tasks.running, timeout=10_000)


def number(page: PlotterPage) -> int:
    assert page.view.session is not None
    return page.view.session.info.id


def texts(page: PlotterPage) -> list[str]:
    listed = page.view.findings.list
    return [listed.item(row).text() for row in range(listed.count())]


def has(page: PlotterPage, words: str) -> bool:
    return any(words in one for one in texts(page))


def press(page: PlotterPage, key: Qt.Key, held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    page.activateWindow()
    page.view.plot.setFocus()
    QTest.keyClick(page.view.plot.focusWidget() or page.view.plot, key, held)


def test_every_finding_that_is_chosen_is_shown_on_the_plot_and_tells_its_samples(
    page: PlotterPage,
) -> None:
    listed, plot = page.view.findings.list, page.view.plot
    shown = 0
    for row in range(listed.count()):
        if not listed.item(row).flags() & Qt.ItemFlag.ItemIsSelectable:
            continue
        listed.setCurrentRow(row)
        line, span = listed.line, plot.visible_range()
        assert line is not None
        assert line.span_s is not None
        assert span is not None
        assert span[0] <= max(line.span_s[0], 0.0) + 1.0
        assert line.span_s[1] - 1.0 <= span[1] or span[1] == pytest.approx(779.0, abs=1.0)
        if line.details:
            assert "samples" in listed.item(row).text(), listed.item(row).text()
        shown += 1
    assert shown >= 8


def test_no_line_of_the_findings_is_cut_off(page: PlotterPage) -> None:
    listed = page.view.findings.list
    metrics = QFontMetrics(listed.font())
    for row in range(listed.count()):
        listed.setCurrentRow(row)
        item = listed.item(row)
        room = listed.visualItemRect(item)
        needed = metrics.boundingRect(
            0, 0, room.width(), 10_000, int(Qt.TextFlag.TextWordWrap), item.text()
        ).height()
        assert room.height() >= needed - metrics.leading() - 2, item.text()


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
    (note,) = session_marks.notes(quiet.store, number(page))
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
    assert len(session_windows.windows(quiet.store, number(page))) == 1
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
    session_marks.add(quiet.store, number(page), NoteDraft(EventKind.NOTE, 5.0, "oil at the port"))
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


def test_keys_note_measure_and_show_the_whole(page: PlotterPage, qtbot: QtBot) -> None:
    qtbot.waitActive(page)
    press(page, Qt.Key.Key_B, Qt.KeyboardModifier.ShiftModifier)
    assert isinstance(page.marks.dialog, NoteDialog)
    assert page.marks.dialog.kind.currentText() == "blower"
    page.marks.dialog.reject()
    press(page, Qt.Key.Key_M)
    assert page.view.tools.measure.isChecked()
    page.view.plot.show_range(100.0, 120.0)
    press(page, Qt.Key.Key_W)
    span = page.view.plot.visible_range()
    assert span is not None
    assert span[1] - span[0] > 700.0


def test_all_channels_are_read_at_the_cursor_and_between_two_lines(page: PlotterPage) -> None:
    table = page.view.values.table
    page.view.plot.set_cursor(120.0)
    assert page.view.session is not None
    assert table.rowCount() == len(page.view.session.traces)
    names = [table.text(row, 0) for row in range(table.rowCount())]
    low = names.index("low side, psig")
    assert float(table.text(low, 1)) == pytest.approx(30.0, abs=1.0)
    assert {"superheat, °F", "subcooling, °F", "condensing temperature, °F", "pressure ratio"} <= set(names)
    page.view.tools.measure.click()
    page.view.plot.set_measuring_lines(100.0, 400.0)
    assert table.columnCount() == 6
    # Idle to the forced fan: 30 to 43 and 150 to 101 psig.
    high = names.index("high side, psig")
    assert float(table.text(low, 3)) == pytest.approx(13.0, abs=1.5)
    assert float(table.text(high, 3).replace("−", "-")) == pytest.approx(-49.0, abs=3.0)


@pytest.mark.parametrize("width", [560, 1080, 1700])
def test_names_keep_their_room_beside_the_numbers(page: PlotterPage, width: int) -> None:
    page.resize(width, 700)
    page.view.tools.measure.click()
    page.view.plot.set_measuring_lines(100.0, 400.0)
    assert page.view.values.table.columnWidth(0) >= 100


def test_a_channel_is_put_on_another_plot_and_the_layout_is_kept(
    page: PlotterPage, quiet: QuietHost, qtbot: QtBot
) -> None:
    chooser = page.view.channels
    assert page.view.session is not None
    row = [one.key for one in page.view.session.traces].index(Role.ENGINE_SPEED.value)
    box = chooser.table.item(row, 1)
    assert box is not None
    box.setCheckState(Qt.CheckState.Checked)
    assert Role.ENGINE_SPEED.value in page.view.layout_now[0]
    keys = [curve.key for curve in page.view._ready.panels[0].curves] if page.view._ready else []
    assert Role.ENGINE_SPEED.value in keys
    again = PlotterPage(quiet)
    qtbot.addWidget(again)
    assert again.view.layout_now == page.view.layout_now
    chooser.usual.click()
    assert Role.ENGINE_SPEED.value not in page.view.layout_now[0]
    settle(again, quiet, qtbot)


def test_another_session_is_laid_over_aligned_at_an_engine_speed_step_and_read_at_the_cursor(
    page: PlotterPage,
    quiet: QuietHost,
    put_log: Callable[..., int],
    two_plateau_csv: bytes,
    qtbot: QtBot,
) -> None:
    lines = two_plateau_csv.decode().splitlines()
    later = "\n".join([lines[0], *lines[61:]]).encode()
    put_log(quiet.store, later, "later start.csv", quiet.vehicle.id)
    quiet.bench.findings_changed.emit(number(page))
    settle(page, quiet, qtbot)
    box = page.view.overlays.sessions
    assert box.count() == 2
    box.setCurrentIndex(1)
    box.activated.emit(1)
    qtbot.waitUntil(lambda: page.view.overlay is not None, timeout=10_000)
    aligned = page.view.overlays.aligned
    steps = [at for at in range(aligned.count()) if aligned.itemText(at).startswith("engine speed step")]
    aligned.setCurrentIndex(steps[0])
    assert page.view.overlay is not None
    assert page.view.overlay.shift_s == pytest.approx(60.0, abs=1.5)
    page.view.plot.set_cursor(120.0)
    table = page.view.values.table
    head = table.horizontalHeaderItem(table.columnCount() - 1)
    assert head is not None
    assert head.text() == "other"
    assert float(table.text(0, table.columnCount() - 1)) == pytest.approx(float(table.text(0, 1)), abs=2.0)
    assert "other: later start" in page.view.values.where.text()
    box.setCurrentIndex(0)
    box.activated.emit(0)
    assert page.view.overlay is None


def test_a_part_is_kept_and_the_original_stays(page: PlotterPage, quiet: QuietHost, qtbot: QtBot) -> None:
    whole = number(page)
    page.view.plot.show_range(260.0, 510.0)
    page.view.tools.cut_wanted.emit()
    dialog = page.cuts.dialog
    assert isinstance(dialog, CutDialog)
    dialog.title.setText("forced fan")
    dialog.accept()
    qtbot.waitUntil(lambda: number(page) != whole, timeout=10_000)
    settle(page, quiet, qtbot)
    assert page.view.session is not None
    assert page.view.session.info.title == "forced fan"
    assert page.view.session.info.duration_s == pytest.approx(250.0, abs=2.0)
    assert sessions.info(quiet.store, whole).sample_count == 780
    assert page.bar.sessions_box.currentText().startswith("forced fan (part)")


def test_a_session_is_split_at_the_cursor(page: PlotterPage, quiet: QuietHost, qtbot: QtBot) -> None:
    whole = number(page)
    page.view.plot.set_cursor(500.0)
    page.view.tools.split_wanted.emit()
    dialog = page.cuts.dialog
    assert isinstance(dialog, SplitDialog)
    dialog.titles[0].setText(" ")
    dialog.accept()
    assert "needs a title" in dialog.problem.text()
    dialog.titles[0].setText("before")
    dialog.accept()
    qtbot.waitUntil(lambda: number(page) != whole, timeout=10_000)
    settle(page, quiet, qtbot)
    assert len(sessions.list_sessions(quiet.store)) == 3


def test_what_is_shown_is_written_as_a_picture_and_as_a_table(
    page: PlotterPage, quiet: QuietHost, tmp_path: Path, qtbot: QtBot
) -> None:
    page.view.plot.show_range(100.0, 160.0)
    page.export.write_picture(tmp_path / "plots.png")
    picture = QImage(str(tmp_path / "plots.png"))
    assert picture.width() >= page.view.plot.width()
    page.export.write_picture(tmp_path / "plots.svg")
    assert b"<svg" in (tmp_path / "plots.svg").read_bytes()
    span = page.view.shown_span()
    page.export.write_table(tmp_path / "part.csv")
    qtbot.waitUntil(lambda: any("part.csv" in one for one in quiet.said), timeout=10_000)
    with (tmp_path / "part.csv").open(encoding="utf-8-sig", newline="") as file:
        head, *rows = csv.reader(file)
    assert "low side (psig)" in head
    assert span[0] <= float(rows[0][0]) <= float(rows[-1][0]) <= span[1]
    page.export.write_table(tmp_path / "gone" / "part.csv")
    qtbot.waitUntil(lambda: "cannot be written" in page._message.text(), timeout=10_000)


def test_numbers_in_a_table_are_written_as_the_settings_say(
    page: PlotterPage, quiet: QuietHost, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (setting,) = settings()
    monkeypatch.setattr(quiet, "setting", lambda _plugin, _key: setting.choices[1])
    page.export.write_table(tmp_path / "part.csv")
    qtbot.waitUntil(lambda: any("part.csv" in one for one in quiet.said), timeout=10_000)
    head = (tmp_path / "part.csv").read_text(encoding="utf-8-sig").partition("\n")[0]
    assert head.startswith("Time (s);")


@pytest.mark.parametrize("system", System)
def test_without_known_good_readings_the_head_says_why_no_range_is_shown(
    page: PlotterPage, quiet: QuietHost, system: System
) -> None:
    quiet.units.set_system(system)
    assert "no known-good range: the book holds no known-good reading" in page.view._subtitle.full_text
    page.view.tools.bands.click()
    assert "known-good" not in page.view._subtitle.full_text


@pytest.mark.parametrize(("width", "height"), [(732, 432), (1052, 690), (1692, 970)])
def test_the_page_fits_the_windows_it_is_made_for(page: PlotterPage, width: int, height: int) -> None:
    assert page.minimumSizeHint().width() <= width
    assert page.minimumSizeHint().height() <= height
