"""The two dialogs: nothing saved half, nothing typed lost."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

import pytest
from PySide6.QtWidgets import QComboBox, QLabel, QLineEdit, QPlainTextEdit, QPushButton

from knowngood.drafts import Drafts
from knowngood_refdata.errors import LibraryLocked
from knowngood_refdata.queries import vehicles
from knowngood_specs.panels.page import SpecsPage
from knowngood_specs.panels.value_dialog import ValueDialog
from knowngood_specs.panels.vehicle_dialog import VehicleDialog

from .in_dialogs import in_the_dialog

if TYPE_CHECKING:
    from collections.abc import Callable

    from pytestqt.qtbot import QtBot

    from knowngood.api import Host
    from knowngood_refdata.drafts import SpecDraft, VehicleDraft
    from knowngood_specs.panels.form_dialog import FormDialog

    from ..open_host import OpenHost

TYPED = {
    "make": "Gill",
    "model": "Beck",
    "year_from": "2018",
    "refrigerant": "R-134a",
    "charge": "17.6 oz",
    "source_kind": "under-hood label",
    "citation": "photo 4",
}


@pytest.fixture
def page(qtbot: QtBot, host: OpenHost) -> SpecsPage:
    page = SpecsPage(cast("Host", host))
    qtbot.addWidget(page)
    page.show()
    return page


def write(dialog: FormDialog, typed: dict[str, str]) -> None:
    for name, text in typed.items():
        widget = dialog._entries[name]
        if isinstance(widget, QLineEdit):
            widget.setText(text)
        elif isinstance(widget, QPlainTextEdit):
            widget.setPlainText(text)
        elif widget.isEditable():
            widget.setEditText(text)
        else:
            widget.setCurrentText(text)


def said(dialog: FormDialog) -> str:
    return "\n".join(one.text() for one in dialog.findChildren(QLabel))


def vehicle_dialog(qtbot: QtBot, save: Callable[[VehicleDraft], None]) -> VehicleDialog:
    dialog = VehicleDialog(save, lambda _entries: None)
    qtbot.addWidget(dialog)
    dialog.show()
    return dialog


def test_a_new_vehicle_is_saved_with_its_charge_and_shown(page: SpecsPage, host: OpenHost) -> None:
    def fill(dialog: FormDialog) -> None:
        write(dialog, TYPED)
        dialog.accept()

    in_the_dialog(fill)
    page.add_vehicle()
    (held,) = vehicles.search(host.store, "beck")
    assert page.vehicle == held
    charge = held.spec("charge")
    assert charge is not None
    assert charge.as_printed == "17.6 oz"
    assert charge.value == pytest.approx(0.49895, abs=5e-6)
    assert (charge.citation, charge.entered_by) == ("photo 4", "Ada Fell")
    assert page.unsaved.get("vehicle") is None


def test_an_incomplete_form_stays_open_says_why_and_saves_nothing(page: SpecsPage, host: OpenHost) -> None:
    heard: list[str] = []

    def fill(dialog: FormDialog) -> None:
        write(dialog, {**TYPED, "citation": ""})
        dialog.accept()
        assert dialog.isVisible()
        heard.append(said(dialog))

    in_the_dialog(fill)
    page.add_vehicle()
    assert "Say where these values can be found" in heard[0]
    assert vehicles.count(host.store) == 0


def test_what_was_typed_outlives_the_dialog_and_the_program(
    qtbot: QtBot, page: SpecsPage, host: OpenHost
) -> None:
    in_the_dialog(lambda dialog: write(dialog, {"make": "Gill", "charge": "17.6 oz"}))
    page.add_vehicle()
    assert "Go on" in page.add_button.text()
    host.drafts.save()
    host.drafts.close()
    host.drafts = Drafts(host.drafts._file.path)
    again = SpecsPage(cast("Host", host))
    qtbot.addWidget(again)
    seen: list[dict[str, str]] = []
    in_the_dialog(lambda dialog: seen.append(dialog.entries()))
    again.add_vehicle()
    assert (seen[0]["make"], seen[0]["charge"]) == ("Gill", "17.6 oz")


def test_discarding_forgets_what_was_typed(page: SpecsPage) -> None:
    def throw_away(dialog: FormDialog) -> None:
        write(dialog, {"make": "Gill"})
        (button,) = [one for one in dialog.findChildren(QPushButton) if "Discard" in one.text()]
        button.click()

    in_the_dialog(throw_away)
    page.add_vehicle()
    assert page.unsaved.get("vehicle") is None


def test_a_library_that_refuses_leaves_everything_in_the_form(qtbot: QtBot) -> None:
    def refuse(_draft: VehicleDraft) -> None:
        raise LibraryLocked("Another program holds the library. Nothing was stored.")

    dialog = vehicle_dialog(qtbot, refuse)
    write(dialog, TYPED)
    dialog.accept()
    assert dialog.isVisible()
    assert "Another program holds the library. Nothing was stored. What you typed is still here." in said(
        dialog
    )
    assert dialog.entries()["charge"] == "17.6 oz"


def test_the_charge_is_echoed_while_it_is_typed(qtbot: QtBot) -> None:
    dialog = vehicle_dialog(qtbot, lambda _draft: None)
    write(dialog, {"charge": "0,50 kg"})
    assert "understood as 500 g = 17.6 oz" in said(dialog)


def test_an_empty_entry_is_marked_only_after_the_first_try(qtbot: QtBot) -> None:
    dialog = vehicle_dialog(qtbot, lambda _draft: None)
    write(dialog, {"year_from": "21"})
    marks = {name: bool(widget.property("unfit")) for name, widget in dialog._entries.items()}
    assert (marks["year_from"], marks["make"]) == (True, False)
    dialog.accept()
    assert dialog._entries["make"].property("unfit")
    assert dialog.focusWidget() is dialog._entries["make"]


def test_a_vehicle_on_record_is_refused_in_words(page: SpecsPage, host: OpenHost, skerry: int) -> None:
    heard: list[str] = []

    def repeat(dialog: FormDialog) -> None:
        write(
            dialog,
            {
                "make": "Tarn",
                "model": "Skerry",
                "engine": "1.6 petrol",
                "year_from": "2021",
                "year_to": "2023",
            },
        )
        dialog.accept()
        heard.append(said(dialog))

    in_the_dialog(repeat)
    page.add_vehicle()
    assert "holds Tarn Skerry 1.6 petrol" in heard[0]
    assert vehicles.count(host.store) == 3


def test_a_further_value_stands_beside_those_on_record(page: SpecsPage, host: OpenHost, skerry: int) -> None:
    host.bench.take_vehicle(vehicles.vehicle(host.store, skerry))

    def fill(dialog: FormDialog) -> None:
        assert isinstance(dialog, ValueDialog)
        write(dialog, {"as_printed": "480 g", "source_kind": "bulletin", "citation": "82-3", "revision": "2"})
        dialog.accept()

    in_the_dialog(fill)
    page.add_value()
    held = vehicles.vehicle(host.store, skerry)
    assert [one.as_printed for one in held.specs["charge"]] == ["470 ± 15 g", "480 g", "500 g"]
    assert page.vehicle == held
    assert host.bench.vehicle == held


def test_a_value_typed_for_one_vehicle_waits_for_that_vehicle(
    page: SpecsPage, host: OpenHost, skerry: int
) -> None:
    host.bench.take_vehicle(vehicles.vehicle(host.store, skerry))
    in_the_dialog(lambda dialog: write(dialog, {"as_printed": "480 g"}))
    page.add_value()
    assert page.record.head.value_button.text() == "Go on adding the value..."
    (other,) = vehicles.search(host.store, "combe")
    host.bench.take_vehicle(other)
    assert page.record.head.value_button.text() == "Add value..."


def test_the_choices_follow_the_field_and_leave_what_was_typed(
    qtbot: QtBot, host: OpenHost, skerry: int
) -> None:
    saved: list[SpecDraft] = []
    dialog = ValueDialog(vehicles.vehicle(host.store, skerry), saved.append, lambda _entries: None)
    qtbot.addWidget(dialog)
    write(dialog, {"as_printed": "two stages", "field": "Fan", "source_kind": "measured", "citation": "seen"})
    box = dialog._entries["as_printed"]
    assert isinstance(box, QComboBox)
    assert box.findText("two-stage fan") > 0
    assert box.currentText() == "two stages"
    dialog.accept()
    assert [(one.field, one.as_printed) for one in saved] == [("fan", "two stages")]
