"""The record and its tabs on a real library: decide, correct, retire, review, edit, undo, print."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, cast

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QApplication, QLabel, QPushButton

from knowngood.drafts import Drafts
from knowngood.units import System
from knowngood_refdata.drafts import SpecDraft, VehicleDraft
from knowngood_refdata.queries import pictures, shop_fields, spec_edits, vehicle_edits, vehicles
from knowngood_refdata.queries.history import history
from knowngood_refdata.queries.pictures import PictureDraft
from knowngood_refdata.queries.shop_fields import ShopFieldDraft
from knowngood_refdata.records import SourceKind
from knowngood_specs.core.form import VehicleForm, form_of, read_vehicle
from knowngood_specs.panels.form_dialog import FormDialog
from knowngood_specs.panels.record import RecordView
from knowngood_specs.panels.revising_dialog import RevisingDialog
from knowngood_specs.panels.unsaved import Unsaved

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.api import Host
    from knowngood_refdata.records import SpecValue, Vehicle

    from .conftest import ShopHost


@pytest.fixture
def view(qtbot: QtBot, host: ShopHost, skerry: int) -> RecordView:
    view = shown(qtbot, host)
    view.show_vehicle(vehicles.vehicle(host.store, skerry))
    return view


def shown(qtbot: QtBot, host: ShopHost) -> RecordView:
    view = RecordView(cast("Host", host), Unsaved(cast("Host", host)))
    qtbot.addWidget(view)
    view.resize(700, 700)
    view.changed.connect(lambda number: view.show_vehicle(vehicles.vehicle(host.store, number)))
    view.show()
    return view


def held(host: ShopHost, vehicle_id: int) -> Vehicle:
    return vehicles.vehicle(host.store, vehicle_id)


def charges(host: ShopHost, vehicle_id: int) -> list[str]:
    return [one.as_printed for one in held(host, vehicle_id).specs["charge"]]


def texts(view: RecordView) -> list[str]:
    QApplication.processEvents()
    return [one.text() for one in view.findChildren(QLabel) if one.isVisible()]


def press(view: RecordView, spoken: str, act: Callable[[FormDialog], None] | None = None) -> None:
    """Press a button; what is done in the dialog that it opens is given."""
    QApplication.processEvents()
    (found,) = [
        one for one in view.findChildren(QPushButton) if one.isVisible() and one.accessibleName() == spoken
    ]
    if act is not None:
        in_the_dialog(act)
    found.click()


def in_the_dialog(act: Callable[[FormDialog], None]) -> None:
    """Act once the next dialog is open, then close it if that did not."""

    def find() -> None:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, FormDialog)
        try:
            act(dialog)
        finally:
            if dialog.isVisible():
                dialog.reject()

    QTimer.singleShot(0, find)


def with_reason(why: str) -> Callable[[FormDialog], None]:
    def fill(dialog: FormDialog) -> None:
        dialog.write({"why": why})
        dialog.accept()

    return fill


def words(dialog: FormDialog) -> str:
    return "\n".join(one.text() for one in dialog.findChildren(QLabel))


def test_a_decision_makes_the_book_count_and_undoing_it_the_label(
    view: RecordView, host: ShopHost, skerry: int
) -> None:
    view.show_tab("Sources")
    assert "Counts: under-hood label is the most trusted source here" in texts(view)
    press(view, "let Charge weight 500 g count", with_reason("the label is of another car"))
    assert charges(host, skerry) == ["500 g", "470 ± 15 g"]
    assert any("Ada Fell decided for 500 g: the label is of another car" in one for one in texts(view))
    press(view, "undo decision: Charge weight 500 g", with_reason("it was this car after all"))
    assert charges(host, skerry) == ["470 ± 15 g", "500 g"]


def test_nothing_is_decided_without_a_reason(view: RecordView, host: ShopHost, skerry: int) -> None:
    heard: list[str] = []

    def try_without(dialog: FormDialog) -> None:
        dialog.accept()
        assert dialog.isVisible()
        heard.append(words(dialog))

    view.show_tab("Sources")
    press(view, "let Charge weight 500 g count", try_without)
    assert "Say why" in heard[0]
    assert held(host, skerry).decided == {}


def test_a_correction_takes_the_place_and_the_old_value_stays_in_the_history(
    view: RecordView, host: ShopHost, skerry: int
) -> None:
    def mend(dialog: FormDialog) -> None:
        assert dialog.entries()["as_printed"] == "500 g"
        dialog.write({"as_printed": "510 g", "page": "14", "why": "misread"})
        dialog.accept()

    view.show_tab("Sources")
    press(view, "correct Charge weight 500 g", mend)
    assert charges(host, skerry) == ["470 ± 15 g", "510 g"]
    new = held(host, skerry).specs["charge"][1]
    assert new.value == pytest.approx(0.51)
    assert (new.page, new.reviewed_by) == ("14", "")
    view.show_tab("History")
    assert any("spec value corrected: charge: 500 g → charge: 510 g" in one for one in texts(view))


def test_a_retired_value_comes_back_by_undoing(view: RecordView, host: ShopHost, skerry: int) -> None:
    view.show_tab("Sources")
    press(view, "retire Charge weight 500 g", with_reason("another model's page"))
    assert charges(host, skerry) == ["470 ± 15 g"]
    view.show_tab("History")
    (retired,) = [one for one in history(host.store, skerry) if one.action == "deleted"]
    entry = next(one for one in view.tab("History")._entries if one.change.id == retired.id)
    assert entry.reason == "another model's page"
    press(view, f"undo: {entry.head}", with_reason("it was the right page"))
    assert charges(host, skerry) == ["470 ± 15 g", "500 g"]


def test_a_change_that_later_ones_stand_on_is_refused_in_words(
    view: RecordView, host: ShopHost, skerry: int
) -> None:
    vehicle = held(host, skerry)
    edit(host, vehicle, "engine", "1.8 petrol", "misread")
    (first,) = [one for one in history(host.store, skerry) if one.why == "misread"]
    edit(host, held(host, skerry), "engine", "2.0 petrol", "misread again")
    heard: list[str] = []

    def try_it(dialog: FormDialog) -> None:
        dialog.write({"why": "no"})
        dialog.accept()
        heard.append(words(dialog))

    in_the_dialog(try_it)
    view.forms.undo(vehicle, first, "Undo the first")
    assert "Undo that one first" in heard[0]
    assert held(host, skerry).engine == "2.0 petrol"
    view.show_tab("History")
    assert any("a later change stands on it" in one for one in texts(view))


def edit(host: ShopHost, vehicle: Vehicle, entry: str, text: str, why: str) -> None:
    """Change a vehicle as another workstation would."""
    form = VehicleForm(**{**asdict(form_of(vehicle)), entry: text})
    draft = read_vehicle(form, lambda _text: (0.0, None)).draft
    assert draft is not None
    vehicle_edits.edit_vehicle(host.store, vehicle.id, vehicle.version, draft, why)


def test_a_review_carries_the_name_and_warns_when_nobody_else_looked(
    view: RecordView, host: ShopHost, skerry: int
) -> None:
    view.show_tab("Sources")
    press(view, "review Charge weight 500 g")
    assert held(host, skerry).specs["charge"][1].reviewed_by == "Ada Fell"
    assert host.said[-1] == "500 g was reviewed by Ada Fell."


def test_an_edit_is_saved_with_its_reason(view: RecordView, host: ShopHost, skerry: int) -> None:
    def fill(dialog: FormDialog) -> None:
        dialog.write(
            {"build_from": "06/21", "body": "estate", "notes": "two lines\nof notes", "why": "door label"}
        )
        dialog.accept()

    in_the_dialog(fill)
    view.edit()
    vehicle = held(host, skerry)
    assert (vehicle.build_from, vehicle.body, vehicle.notes) == ("2021-06", "estate", "two lines\nof notes")
    assert charges(host, skerry) == ["470 ± 15 g", "500 g"]
    assert "Notes: two lines\nof notes" in texts(view)


def test_two_who_edit_at_once_see_both_versions_and_lose_nothing(
    view: RecordView, host: ShopHost, skerry: int
) -> None:
    heard: list[str] = []

    def fill(dialog: FormDialog) -> None:
        assert isinstance(dialog, RevisingDialog)
        dialog.write({"engine": "1.6 turbo", "why": "badge"})
        other = held(host, skerry)
        edit(host, other, "market", "north", "door label")
        dialog.accept()
        assert dialog.isVisible()
        heard.append(words(dialog))
        dialog.go_on_button.click()
        assert (dialog.entries()["engine"], dialog.entries()["market"]) == ("1.6 turbo", "north")
        dialog.accept()

    in_the_dialog(fill)
    view.edit()
    assert "market: on record now 'north', here ''" in heard[0]
    assert (held(host, skerry).engine, held(host, skerry).market) == ("1.6 turbo", "north")


def test_a_begun_edit_outlives_the_program_and_another_edit_meanwhile(
    qtbot: QtBot, view: RecordView, host: ShopHost, skerry: int
) -> None:
    in_the_dialog(lambda dialog: dialog.write({"body": "estate", "why": "seen"}))
    view.edit()
    assert view.head.edit_button.text() == "Go on editing..."
    host.drafts.close()
    host.drafts = Drafts(host.drafts._file.path)
    edit(host, held(host, skerry), "market", "north", "door label")
    again = shown(qtbot, host)
    again.show_vehicle(held(host, skerry))
    seen: list[dict[str, str]] = []
    in_the_dialog(lambda dialog: seen.append(dialog.entries()))
    again.edit()
    assert (seen[0]["body"], seen[0]["why"], seen[0]["market"]) == ("estate", "seen", "north")


def test_an_untouched_edit_leaves_nothing_to_go_on_with(view: RecordView) -> None:
    in_the_dialog(lambda _dialog: None)
    view.edit()
    assert view.head.edit_button.text() == "Edit..."


def test_a_field_of_the_shop_can_be_entered_and_stands_in_its_section(
    view: RecordView, host: ShopHost, skerry: int
) -> None:
    shop_fields.define_field(host.store, ShopFieldDraft("belt tension", "Belt tension", "Compressor"))

    def fill(dialog: FormDialog) -> None:
        dialog.write({"field": "belt tension", "as_printed": "hand tight"})
        dialog.write({"source_kind": "measured", "citation": "bay 2"})
        dialog.accept()

    in_the_dialog(fill)
    view.add_value()
    assert held(host, skerry).specs["belt tension"][0].as_printed == "hand tight"
    assert {"Belt tension", "hand tight"} <= set(texts(view))


def test_a_caution_names_its_basis_and_leads_to_the_sources(
    view: RecordView, host: ShopHost, skerry: int
) -> None:
    bulletin = SpecDraft("refrigerant", None, "R-134a", SourceKind.BULLETIN, "12")
    vehicles.add_spec(host.store, skerry, bulletin)
    view.show_vehicle(held(host, skerry))
    assert any(one.startswith("The label says R-1234yf, another source R-134a") for one in texts(view))
    assert any(one.startswith("Basis: ") and "procedure prevails" in one for one in texts(view))
    press(view, "See the sources")
    assert "refrigerant" in " ".join(one for one in texts(view)).casefold()
    assert any("they differ" in one for one in texts(view))


def test_the_charge_of_a_sister_with_two_evaporators_is_noticed(view: RecordView, host: ShopHost) -> None:
    charge = SpecDraft("charge", 0.9, "900 g", SourceKind.UNDER_HOOD_LABEL, "label")
    made = [
        vehicles.add_vehicle(
            host.store, VehicleDraft("Tarn", "Rill", "", 2022, None, evaporators=kind, specs=(charge,))
        )
        for kind in ("single evaporator", "dual evaporator")
    ]
    view.show_vehicle(held(host, made[0]))
    assert any("rear unit takes some 40 percent more" in one for one in texts(view))
    view.show_vehicle(held(host, made[1]))
    assert not any("rear unit takes" in one for one in texts(view))


def test_the_record_is_printed_as_shown_with_markup_as_text(
    view: RecordView, host: ShopHost, skerry: int
) -> None:
    draft = SpecDraft("fan", None, "<b>two</b> & more", SourceKind.BULLETIN, "12", page="3")
    vehicles.add_spec(host.store, skerry, draft)
    host.units.set_system(System.US)
    view.show_vehicle(held(host, skerry))
    view.head.print_it.emit()
    (sheet,) = host.sheets
    assert sheet.title == held(host, skerry).name
    assert "&lt;b&gt;two&lt;/b&gt; &amp; more" in sheet.html
    assert "470 ± 15 g = 16.6 ± 0.5 oz" in sheet.html
    assert "they differ" in sheet.html
    assert "bulletin: 12, page 3, entered by Ada Fell" in sheet.html
    assert "Charge by weight only" in sheet.foot


def test_a_value_changed_elsewhere_is_shown_anew_once_the_refused_form_is_closed(
    view: RecordView, host: ShopHost, skerry: int
) -> None:
    def fill(dialog: FormDialog) -> None:
        spec = spec_named(held(host, skerry), "500 g")
        spec_edits.review_spec(host.store, spec.id, spec.version)
        dialog.write({"why": "wrong page"})
        dialog.accept()
        assert dialog.isVisible()

    view.show_tab("Sources")
    press(view, "retire Charge weight 500 g", fill)
    assert any("reviewed by Ada Fell" in one for one in texts(view))
    assert charges(host, skerry) == ["470 ± 15 g", "500 g"]


def test_the_cars_and_the_photographed_label_are_seen_at_a_glance(
    view: RecordView, host: ShopHost, skerry: int, tmp_path: Path
) -> None:
    assert not view.head.label_button.isVisible()
    vehicles.add_unit(host.store, skerry, fleet_number="HL-7", vin="ZZ100000000000007")
    image = QImage(60, 40, QImage.Format.Format_RGB32)
    image.fill(QColor("#2a6a55"))
    photo = tmp_path / "label.png"
    assert image.save(str(photo))
    content = photo.read_bytes()
    pictures.add(host.store, skerry, PictureDraft(content, content, "under-hood label", "label.png"))
    view.show_vehicle(held(host, skerry))
    assert "Cars of this configuration: HL-7 ZZ100000000000007." in texts(view)
    view.head.label_button.click()
    assert view.tab("Pictures").isVisible()


def spec_named(vehicle: Vehicle, printed: str) -> SpecValue:
    return next(one for values in vehicle.specs.values() for one in values if one.as_printed == printed)


def test_a_value_corrected_by_another_meanwhile_keeps_what_was_typed(
    view: RecordView, host: ShopHost, skerry: int
) -> None:
    vehicle = held(host, skerry)
    heard: list[str] = []

    def fill(dialog: FormDialog) -> None:
        dialog.write({"as_printed": "510 g", "why": "misread"})
        spec = spec_named(vehicle, "500 g")
        spec_edits.retire_spec(host.store, spec.id, spec.version, "wrong page")
        dialog.accept()
        heard.append(words(dialog))
        assert dialog.entries()["as_printed"] == "510 g"

    in_the_dialog(fill)
    view.forms.correct(vehicle, spec_named(vehicle, "500 g"))
    assert "may have been retired" in heard[0]
    assert charges(host, skerry) == ["470 ± 15 g"]
