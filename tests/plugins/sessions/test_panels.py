"""The session plotter and its dialogs, used as a technician would."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QComboBox, QPushButton

from knowngood.drafts import Drafts
from knowngood.units import System
from knowngood_refdata.errors import LibraryLocked
from knowngood_refdata.queries import sessions
from knowngood_refdata.records import Role
from knowngood_sessions.panels.plotter import PlotterPage

if TYPE_CHECKING:
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood_sessions.panels.mapping_dialog import MappingDialog

    from ..open_host import OpenHost


@pytest.fixture
def page(host: OpenHost, qtbot: QtBot) -> PlotterPage:
    host.bench.take_vehicle(host.add_vehicle())
    made = PlotterPage(host)
    # Widgets are closed before fixtures end; what still runs then would come back to nothing.
    qtbot.addWidget(
        made, before_close_func=lambda _: qtbot.waitUntil(lambda: not host.tasks.running, timeout=10_000)
    )
    made.resize(1080, 720)
    made.show()
    return made


def opened(page: PlotterPage, two_plateau_log: Path, qtbot: QtBot) -> MappingDialog:
    page.dialogs.importer.start(two_plateau_log)
    qtbot.waitUntil(lambda: page.dialogs.importer.dialog is not None, timeout=10_000)
    dialog = page.dialogs.importer.dialog
    assert dialog is not None
    return dialog


def imported(page: PlotterPage, two_plateau_log: Path, qtbot: QtBot) -> None:
    dialog = opened(page, two_plateau_log, qtbot)
    assert dialog.import_button.isEnabled()
    QTest.mouseClick(dialog.import_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: page.view.findings.list.count() > 3, timeout=10_000)


def message(page: PlotterPage) -> str:
    return page._message.text()


def texts(page: PlotterPage) -> str:
    return "\n".join(
        page.view.findings.list.item(row).text() for row in range(page.view.findings.list.count())
    )


def test_an_empty_bench_says_what_to_do_first(host: OpenHost, qtbot: QtBot) -> None:
    page = PlotterPage(host)
    qtbot.addWidget(page)
    page._empty.clicked.emit()
    assert host.pages == ["specs"]
    assert not page.bar.import_button.isEnabled()


def test_a_vehicle_without_session_is_offered_an_import_by_name(page: PlotterPage) -> None:
    assert "Import a log recorded on Tarn Skerry 1.6 petrol" in page._empty._text.text()


def test_a_log_imported_through_the_dialog_shows_windows_events_and_values(
    page: PlotterPage, host: OpenHost, two_plateau_log: Path, qtbot: QtBot
) -> None:
    imported(page, two_plateau_log, qtbot)
    assert host.bench.session is not None
    assert sessions.source(host.store, host.bench.session.id) == two_plateau_log.read_bytes()
    assert len(page.view.plot.plots) == 4
    assert "idle: 0:00" in texts(page)
    assert "psig" in texts(page)
    assert "fan switched" in texts(page)
    assert "low side rises" in texts(page)


def test_values_follow_the_unit_system(
    page: PlotterPage, host: OpenHost, two_plateau_log: Path, qtbot: QtBot
) -> None:
    imported(page, two_plateau_log, qtbot)
    host.units.set_system(System.SI)
    assert "bar g" in texts(page)
    assert "psig" not in texts(page)


def test_choosing_a_window_shows_its_stretch_of_time(
    page: PlotterPage, two_plateau_log: Path, qtbot: QtBot
) -> None:
    imported(page, two_plateau_log, qtbot)
    whole = page.view.plot.time_range()
    page.view.findings.list.choose_window(0)
    shown = page.view.plot.time_range()
    assert whole is not None
    assert shown is not None
    assert shown[1] - shown[0] < 0.6 * (whole[1] - whole[0])
    page.view.tools.whole.click()
    assert page.view.plot.time_range() == pytest.approx(whole)


def test_open_questions_keep_the_import_shut_until_they_are_answered(
    page: PlotterPage, tmp_path: Path, qtbot: QtBot
) -> None:
    path = tmp_path / "bare.csv"
    path.write_text("Time (s),P low,P high\n" + "".join(f"{i},30.1,150\n" for i in range(120)))
    dialog = opened(page, path, qtbot)
    assert not dialog.import_button.isEnabled()
    assert dialog.what_is_missing() == "2 questions are open."
    dialog.accept()
    assert page.dialogs.importer.dialog is dialog
    box = next(
        one for one in dialog.columns.question_list.findChildren(QComboBox) if "P low" in one.accessibleName()
    )
    assert box.itemText(1) == "psi, gauge"
    box.activated.emit(1)
    assert dialog.mapping["P low"].words == "low side, psi, gauge"
    assert dialog.what_is_missing() == "One question is open."
    unit = next(one for one in dialog.findChildren(QComboBox) if one.accessibleName() == "P high, unit")
    unit.setFocus()
    QTest.keyClicks(unit, "psi")
    unit.activated.emit(unit.findText("psi"))
    gauge = next(one for one in dialog.findChildren(QComboBox) if one.accessibleName() == "P high, counts as")
    gauge.activated.emit(1)
    assert dialog.import_button.isEnabled()
    dialog.reject()


def test_swapped_sides_are_swapped_with_one_click(page: PlotterPage, tmp_path: Path, qtbot: QtBot) -> None:
    path = tmp_path / "swapped.csv"
    path.write_text("Time (s),P low (psig),P high (psig)\n" + "".join(f"{i},150,30\n" for i in range(120)))
    dialog = opened(page, path, qtbot)
    yes = next(one for one in dialog.findChildren(QPushButton) if one.text() == "Yes, swap them")
    QTest.mouseClick(yes, Qt.MouseButton.LeftButton)
    assert dialog.mapping["P low"].use is Role.HIGH_SIDE
    assert dialog.import_button.isEnabled()
    dialog.reject()


def test_a_mapping_confirmed_once_is_proposed_for_the_same_header(
    page: PlotterPage, host: OpenHost, two_plateau_log: Path, qtbot: QtBot, tmp_path: Path
) -> None:
    dialog = opened(page, two_plateau_log, qtbot)
    use = next(one for one in dialog.findChildren(QComboBox) if one.accessibleName() == "T_suction, used as")
    use.activated.emit(use.findText("vent"))
    QTest.mouseClick(dialog.import_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: host.bench.session is not None, timeout=10_000)
    again = tmp_path / "next.csv"
    again.write_bytes(two_plateau_log.read_bytes()[:-30])
    dialog = opened(page, again, qtbot)
    assert dialog.mapping["T_suction"].use is Role.VENT
    dialog.reject()


def test_conditions_and_instruments_entered_at_the_import_are_stored(
    page: PlotterPage, host: OpenHost, two_plateau_log: Path, qtbot: QtBot
) -> None:
    dialog = opened(page, two_plateau_log, qtbot)
    dialog.conditions_form._edits["ambient_k"].setText("88 F")
    dialog.conditions_form._edits["altitude_m"].setText("240 m")
    dialog.conditions_form._combos["fan_stage"].setCurrentIndex(2)
    QTest.mouseClick(dialog.import_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: page.view.findings.list.count() > 3, timeout=10_000)
    assert host.bench.session is not None
    stored = host.bench.session.conditions
    assert stored.ambient_k == pytest.approx(304.26, abs=0.01)
    assert (stored.altitude_m, stored.fan_stage) == (240.0, 1)
    assert "fan stage 1" in texts(page)


def test_a_condition_that_cannot_be_read_keeps_the_import_shut_and_says_why(
    page: PlotterPage, two_plateau_log: Path, qtbot: QtBot
) -> None:
    dialog = opened(page, two_plateau_log, qtbot)
    dialog.conditions_form._edits["ambient_k"].setText("warm")
    assert not dialog.import_button.isEnabled()
    assert "Ambient, at condenser" in dialog.what_is_missing()
    dialog.reject()


def test_a_file_known_to_the_library_is_opened_and_not_stored_again(
    page: PlotterPage, host: OpenHost, two_plateau_log: Path, qtbot: QtBot
) -> None:
    imported(page, two_plateau_log, qtbot)
    host.bench.take_session(None)
    page.dialogs.importer.start(two_plateau_log)
    qtbot.waitUntil(lambda: host.bench.session is not None, timeout=10_000)
    assert "in the library already" in message(page)
    assert len(sessions.list_sessions(host.store)) == 1


def test_a_broken_file_is_refused_in_words_on_the_page(
    page: PlotterPage, host: OpenHost, tmp_path: Path, qtbot: QtBot
) -> None:
    path = tmp_path / "broken.csv"
    path.write_bytes(b"\x00\x01\x02" * 400)
    page.dialogs.importer.start(path)
    qtbot.waitUntil(lambda: "binary" in message(page), timeout=10_000)
    assert "Nothing was imported" in message(page)
    assert sessions.list_sessions(host.store) == ()


def test_what_was_entered_in_an_unfinished_import_comes_back(
    page: PlotterPage, host: OpenHost, two_plateau_log: Path, qtbot: QtBot, tmp_path: Path
) -> None:
    dialog = opened(page, two_plateau_log, qtbot)
    dialog.conditions_form._edits["ambient_k"].setText("88 F")
    host.drafts.close()
    host.drafts = Drafts(tmp_path / "drafts.json")
    again = PlotterPage(host)
    qtbot.addWidget(again)
    assert "was not finished" in message(again)
    QTest.mouseClick(again._go_on, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: again.dialogs.importer.dialog is not None, timeout=10_000)
    assert again.dialogs.importer.dialog is not None
    assert again.dialogs.importer.dialog.conditions_form._edits["ambient_k"].text() == "88 F"
    again.dialogs.importer.dialog.reject()
    dialog.reject()


def test_what_was_entered_is_offered_again_when_it_could_not_be_stored(
    page: PlotterPage, host: OpenHost, two_plateau_log: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    dialog = opened(page, two_plateau_log, qtbot)
    dialog.conditions_form._edits["ambient_k"].setText("88 F")

    def locked(*_: object) -> int:
        raise LibraryLocked("Another program holds the library. Nothing was stored. Try again.")

    monkeypatch.setattr(sessions, "save", locked)
    QTest.mouseClick(dialog.import_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: "Another program holds the library" in message(page), timeout=10_000)
    QTest.mouseClick(page._go_on, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: page.dialogs.importer.dialog is not None, timeout=10_000)
    assert page.dialogs.importer.dialog is not None
    assert page.dialogs.importer.dialog.conditions_form._edits["ambient_k"].text() == "88 F"
    page.dialogs.importer.dialog.reject()


def test_corrected_conditions_are_stored_and_the_findings_worked_out_anew(
    page: PlotterPage, host: OpenHost, two_plateau_log: Path, qtbot: QtBot
) -> None:
    imported(page, two_plateau_log, qtbot)
    assert "fan stage not known" in texts(page)
    page.bar.conditions_wanted.emit()
    dialog = page.dialogs.revision.dialog
    assert dialog is not None
    dialog.form._combos["fan_stage"].setCurrentIndex(2)
    dialog.accept()
    qtbot.waitUntil(lambda: "fan stage 1" in texts(page), timeout=10_000)
    assert host.bench.session is not None
    assert host.bench.session.conditions.fan_stage == 1


def test_the_report_is_written_where_asked(
    page: PlotterPage, host: OpenHost, two_plateau_log: Path, qtbot: QtBot, tmp_path: Path
) -> None:
    imported(page, two_plateau_log, qtbot)
    assert host.bench.session is not None
    page.write_report(host.bench.session, tmp_path / "report.pdf")
    qtbot.waitUntil(lambda: bool(host.said) and "report.pdf" in host.said[-1], timeout=10_000)
    assert (tmp_path / "report.pdf").exists()


def test_the_sessions_of_the_vehicle_can_be_chosen_by_keyboard(
    page: PlotterPage, host: OpenHost, two_plateau_log: Path, qtbot: QtBot
) -> None:
    imported(page, two_plateau_log, qtbot)
    host.bench.take_session(None)
    box = page.bar.sessions_box
    assert box.count() == 2
    box.setFocus()
    QTest.keyClick(box, Qt.Key.Key_Down)
    qtbot.waitUntil(lambda: host.bench.session is not None, timeout=5_000)
    assert page.bar.sessions_box.currentIndex() == 1


def test_an_import_that_was_cancelled_leaves_no_trace(
    page: PlotterPage, host: OpenHost, two_plateau_log: Path, qtbot: QtBot
) -> None:
    page.dialogs.importer.start(two_plateau_log)
    (task,) = host.tasks.running
    task.cancel()
    qtbot.waitUntil(lambda: not host.tasks.running, timeout=10_000)
    assert page.dialogs.importer.dialog is None
    assert sessions.list_sessions(host.store) == ()
    assert message(page) == ""
