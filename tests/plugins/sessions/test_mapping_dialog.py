"""The mapping dialog and the import around it, used as a technician would, mostly without a mouse."""

from __future__ import annotations

from dataclasses import replace
from time import perf_counter
from typing import TYPE_CHECKING

import numpy as np
import pytest
from PySide6.QtCore import QCoreApplication, QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QLabel, QPushButton, QWidget

from knowngood.units import System
from knowngood_refdata.queries import sessions
from knowngood_refdata.records import Role
from knowngood_sessions.core.mapping.importing import prepare
from knowngood_sessions.panels.mapping_dialog import MappingDialog

from .asked import opened
from .by_keys import front, press

if TYPE_CHECKING:
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood_sessions.panels.importer import LogImport

    from .conftest import QuietHost

# Opening a list grabs the keyboard, which the platform of the tests does not do.
pytestmark = pytest.mark.qt_log_ignore("This plugin does not support")


def written(path: Path, head: str, row: str, count: int = 120) -> Path:
    path.write_text(head + "\n" + "".join(f"{i},{row}\n" for i in range(count)))
    return path


def dialog_of(text: str, quiet: QuietHost, qtbot: QtBot, **more: object) -> MappingDialog:
    made = MappingDialog(prepare(text.encode(), "log.csv"), quiet.units, "R-134a", "Tarn Skerry", **more)  # type: ignore[arg-type]
    qtbot.addWidget(made)
    made.show()
    qtbot.waitExposed(made)
    return made


def rows(row: str, count: int = 120) -> str:
    return "".join(f"{i},{row}\n" for i in range(count))


def named(dialog: QWidget, name: str) -> QComboBox:
    return next(one for one in dialog.findChildren(QComboBox) if one.accessibleName() == name)


def test_a_log_is_imported_with_key_presses_alone(
    importer: LogImport, quiet: QuietHost, tmp_path: Path, qtbot: QtBot
) -> None:
    path = written(tmp_path / "bare.csv", "Time (s),P low,P high,TC1", "30.1,150,45.5")
    dialog = opened(importer, path, qtbot)
    front(dialog, qtbot)
    for _ in range(12):
        if not dialog.columns.questions:
            break
        first = QApplication.focusWidget()
        assert first in dialog.columns.question_list.answers
        if isinstance(first, QPushButton):
            press(Qt.Key.Key_Space)
        else:
            press(Qt.Key.Key_Down)
            press(Qt.Key.Key_Down)
            press(Qt.Key.Key_Return)
    assert dialog.columns.questions == ()
    assert QApplication.focusWidget() is dialog.import_button
    assert {one.use for one in dialog.mapping.values()} >= {Role.LOW_SIDE, Role.HIGH_SIDE}
    with qtbot.waitSignal(importer.imported, timeout=10_000):
        press(Qt.Key.Key_Return)
    assert len(sessions.list_sessions(quiet.store)) == 1


def test_tab_goes_from_the_columns_over_the_questions_to_the_conditions_and_the_import(
    quiet: QuietHost, qtbot: QtBot
) -> None:
    dialog = dialog_of("Time (s),P low,P high\n" + rows("30.1,150"), quiet, qtbot)
    front(dialog, qtbot)
    dialog.columns.entries[0].setFocus()
    seen: list[QWidget | None] = []
    for _ in range(60):
        seen.append(QApplication.focusWidget())
        press(Qt.Key.Key_Tab)
        if QApplication.focusWidget() is dialog.columns.entries[0]:
            break
    answers = dialog.columns.question_list.answers
    places = [
        seen.index(dialog.columns.entries[0]),
        *(seen.index(one) for one in answers),
        seen.index(dialog._refrigerant),
        seen.index(dialog.conditions_form.entries[0]),
        seen.index(dialog.conditions_form.entries[-1]),
    ]
    assert places == sorted(places)
    assert QApplication.focusWidget() is dialog.columns.entries[0]


def test_a_letter_leads_to_each_part(quiet: QuietHost, qtbot: QtBot) -> None:
    dialog = dialog_of("Time (s),P low,P high\n" + rows("30.1,150"), quiet, qtbot)
    front(dialog, qtbot)
    dialog.import_button.setFocus()
    for key, wanted in (
        (Qt.Key.Key_U, dialog.columns.entries[0]),
        (Qt.Key.Key_R, dialog._refrigerant),
        (Qt.Key.Key_2, dialog.columns.question_list.answers[1]),
        (Qt.Key.Key_A, dialog.conditions_form.entries[0]),
    ):
        QTest.keyClick(dialog, key, Qt.KeyboardModifier.AltModifier)
        assert QApplication.focusWidget() is wanted


def test_enter_leads_to_what_is_missing_and_escape_closes_without_a_trace(
    importer: LogImport, quiet: QuietHost, tmp_path: Path, qtbot: QtBot
) -> None:
    path = written(tmp_path / "bare.csv", "Time (s),P low,P high", "30.1,150")
    dialog = opened(importer, path, qtbot)
    front(dialog, qtbot)
    dialog.conditions_form.entries[0].setFocus()
    press(Qt.Key.Key_Return)
    assert QApplication.focusWidget() is dialog.columns.question_list.answers[0]
    press(Qt.Key.Key_Escape)
    assert importer.dialog is None
    assert sessions.list_sessions(quiet.store) == ()


def test_an_arrow_key_opens_the_choices_and_decides_nothing(quiet: QuietHost, qtbot: QtBot) -> None:
    dialog = dialog_of("Time (s),P low,P high\n" + rows("30.1,150"), quiet, qtbot)
    front(dialog, qtbot)
    before = dict(dialog.mapping)
    box = next(one for one in dialog.columns.question_list.answers if isinstance(one, QComboBox))
    box.setFocus()
    press(Qt.Key.Key_Down)
    assert dict(dialog.mapping) == before
    press(Qt.Key.Key_Escape)
    assert dialog.isVisible()
    assert dict(dialog.mapping) == before


def test_uses_that_a_row_passes_on_its_way_are_given_back(quiet: QuietHost, qtbot: QtBot) -> None:
    dialog = dialog_of("Time (s),Low (psig),High (psig),T1 (°F)\n" + rows("30,150,50"), quiet, qtbot)
    box = named(dialog, "T1, used as")
    box.activated.emit(box.findText("low side"))
    assert dialog.mapping["Low"].use is Role.OTHER
    box.activated.emit(box.findText("vent"))
    assert dialog.mapping["Low"].words == "low side, psi, gauge"
    assert dialog.mapping["T1"].words == "vent, °F"


def test_what_was_answered_in_between_is_not_taken_back_by_a_row(quiet: QuietHost, qtbot: QtBot) -> None:
    dialog = dialog_of("Time (s),P low,P high,T1 (°F)\n" + rows("30.1,150,50"), quiet, qtbot)
    box = named(dialog, "T1, used as")
    box.activated.emit(box.findText("vent"))
    answer = next(one for one in dialog.columns.question_list.answers if isinstance(one, QComboBox))
    answer.activated.emit(1)
    decided = dialog.mapping["P low"]
    assert decided.unit
    box.activated.emit(box.findText("suction line"))
    assert dialog.mapping["P low"] == decided


def test_the_plot_shows_the_values_as_they_are_understood_and_follows_a_change(
    quiet: QuietHost, qtbot: QtBot
) -> None:
    text = "Time (s),Low (psig),High (psig),Vent (°F),RPM\n" + rows("30,150,50,750")
    dialog = dialog_of(text, quiet, qtbot)
    preview = dialog.sheet.preview
    preview.draw()
    assert len(preview.plot.plots) == 3
    assert "low side: 30.0 psig to 30.0 psig" in preview.in_words()
    gauge = named(dialog, "Low, counts as")
    gauge.activated.emit(gauge.findText("absolute"))
    assert "low side: 15.3 psig to 15.3 psig" in preview.in_words()
    quiet.units.set_system(System.SI)
    assert any("vent: 10.0 °C" in one for one in preview.in_words())
    qtbot.waitUntil(lambda: "vent: 10.0 °C" in preview.accessibleDescription(), timeout=2_000)


def test_what_cannot_be_drawn_yet_is_said_in_place_of_the_plot(quiet: QuietHost, qtbot: QtBot) -> None:
    dialog = dialog_of("Uptime,Low (psig)\n" + "".join(f"{i},30\n" for i in range(5)), quiet, qtbot)
    dialog.sheet.preview.draw()
    assert "still open" in dialog.sheet.preview._problem.text()


def test_what_is_asked_is_told_once_confirmed_and_does_not_stand_against_the_import(
    quiet: QuietHost, qtbot: QtBot
) -> None:
    text = "Time (s),Low (psia),High (psia),Ambient (°F),RPM\n" + rows("80,80,76,0")
    dialog = dialog_of(text, quiet, qtbot)
    (question,) = dialog.columns.questions
    assert dialog.sheet.oddities == ""
    dialog.columns.question_list.answered.emit(question.choices[-1])
    assert "Taken as gauge it would fit" in dialog.sheet.oddities
    assert dialog.sheet.questions_card.isVisible()
    assert dialog.import_button.isEnabled()


def test_an_ambient_typed_is_what_a_rest_is_judged_by(quiet: QuietHost, qtbot: QtBot) -> None:
    dialog = dialog_of("Time (s),Low (psia),High (psia),RPM\n" + rows("80,80,0"), quiet, qtbot)
    assert dialog.sheet.oddities == ""
    dialog.conditions_form._edits["ambient_k"].setText("76 F")
    assert "Taken as gauge it would fit" in dialog.sheet.oddities


def test_that_and_when_a_mapping_was_confirmed_is_told(
    importer: LogImport, two_plateau_log: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    dialog = opened(importer, two_plateau_log, qtbot)
    assert "confirmed" not in told(dialog)
    with qtbot.waitSignal(importer.imported, timeout=10_000):
        dialog.accept()
    again = tmp_path / "next.csv"
    again.write_bytes(two_plateau_log.read_bytes()[:-30])
    dialog = opened(importer, again, qtbot)
    assert "the one that R. Moss confirmed for this header on 20" in told(dialog)
    dialog.reject()


def told(dialog: QWidget) -> str:
    return " ".join(one.text() for one in dialog.findChildren(QLabel))


def test_a_condition_that_no_road_has_keeps_the_import_shut_and_says_so(
    quiet: QuietHost, qtbot: QtBot
) -> None:
    dialog = dialog_of("Time (s),Low (psig)\n" + rows("30"), quiet, qtbot)
    dialog.conditions_form._edits["altitude_m"].setText("90000 m")
    assert not dialog.import_button.isEnabled()
    assert "no road lies" in dialog.what_is_missing()
    dialog.lead_on()
    assert dialog.conditions_form._edits["altitude_m"].text() == "90000 m"


def test_markup_and_marks_in_a_column_name_stay_text(quiet: QuietHost, qtbot: QtBot) -> None:
    head = "Time (s),<b>P</b> &low,<img src=x> high,<i>T</i>"
    dialog = dialog_of(f"{head}\n" + rows("30.1,150,45"), quiet, qtbot)
    for label in dialog.findChildren(QLabel):
        if "<" in label.text() and "<span" not in label.text():
            assert label.textFormat() is Qt.TextFormat.PlainText, label.text()
    for widget in dialog.findChildren(QWidget):
        assert "<b>P" not in widget.toolTip()
    texts = [one.text() for one in dialog.findChildren(QLabel)]
    assert any("&&low" in one for one in texts)
    assert "<b>P</b> &low" in texts


def test_the_wheel_changes_nothing_in_passing(quiet: QuietHost, qtbot: QtBot) -> None:
    dialog = dialog_of("Time (s),Low (psig)\n" + rows("30"), quiet, qtbot)
    before = dict(dialog.mapping)
    box = named(dialog, "Low, used as")
    event = QWheelEvent(
        QPointF(5, 5),
        QPointF(box.mapToGlobal(QPoint(5, 5))),
        QPoint(0, -120),
        QPoint(0, -120),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(box, event)
    assert dict(dialog.mapping) == before
    assert box.currentText() == "low side"


def test_a_million_rows_do_not_hold_the_dialog_up(quiet: QuietHost, qtbot: QtBot) -> None:
    prepared = prepare(("Time (s),Low,High\n" + rows("30,150", 200)).encode(), "long.csv")
    many = {
        "Time": np.arange(1e6),
        "Low": np.linspace(28.0, 31.0, 1_000_000),
        "High": np.full(1_000_000, 150.0),
    }
    columns = tuple(replace(one, numbers=many[one.name]) for one in prepared.table.columns)
    table = replace(prepared.table, columns=columns, lines=np.arange(1_000_000))
    dialog = MappingDialog(replace(prepared, table=table), quiet.units, "R-134a", "Tarn Skerry")
    qtbot.addWidget(dialog)
    dialog.show()
    box = named(dialog, "Low, unit")
    took = []
    for index in (1, 2, 1, 2):
        begun = perf_counter()
        box.setCurrentIndex(index)
        box.activated.emit(index)
        dialog.sheet.preview.draw()
        QCoreApplication.processEvents()
        took.append(perf_counter() - begun)
    assert min(took) < 0.1
