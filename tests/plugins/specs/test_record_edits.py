"""Editing a vehicle's record: drafts outlive the program, and two who edit at once lose nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.drafts import Drafts
from knowngood_refdata.queries import shop_fields, spec_edits
from knowngood_refdata.queries.shop_fields import ShopFieldDraft
from knowngood_specs.panels.revising_dialog import RevisingDialog

from .in_dialogs import in_the_dialog
from .the_record import charges, edit, held, press, shown, spec_named, texts, words

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from knowngood_specs.panels.form_dialog import FormDialog
    from knowngood_specs.panels.record import RecordView

    from ..open_host import OpenHost


def test_an_edit_is_saved_with_its_reason(view: RecordView, host: OpenHost, skerry: int) -> None:
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
    view: RecordView, host: OpenHost, skerry: int
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
    qtbot: QtBot, view: RecordView, host: OpenHost, skerry: int
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
    view: RecordView, host: OpenHost, skerry: int
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


def test_a_value_changed_elsewhere_is_shown_anew_once_the_refused_form_is_closed(
    view: RecordView, host: OpenHost, skerry: int
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


def test_a_value_corrected_by_another_meanwhile_keeps_what_was_typed(
    view: RecordView, host: OpenHost, skerry: int
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
