"""The record and its tabs on a real library: decide, correct, retire, review, undo, print, look."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from PySide6.QtGui import QColor, QImage

from knowngood.units import System
from knowngood_refdata.drafts import SpecDraft, VehicleDraft
from knowngood_refdata.queries import pictures, vehicles
from knowngood_refdata.queries.history import history
from knowngood_refdata.queries.pictures import PictureDraft
from knowngood_refdata.records import SourceKind

from .in_dialogs import in_the_dialog
from .the_record import charges, edit, held, press, texts, with_reason, words

if TYPE_CHECKING:
    from pathlib import Path

    from knowngood_specs.panels.form_dialog import FormDialog
    from knowngood_specs.panels.record import RecordView

    from ..open_host import OpenHost


def test_a_decision_makes_the_book_count_and_undoing_it_the_label(
    view: RecordView, host: OpenHost, skerry: int
) -> None:
    view.show_tab("Sources")
    assert "Counts: under-hood label is the most trusted source here" in texts(view)
    press(view, "let Charge weight 500 g count", with_reason("the label is of another car"))
    assert charges(host, skerry) == ["500 g", "470 ± 15 g"]
    assert any("Ada Fell decided for 500 g: the label is of another car" in one for one in texts(view))
    press(view, "undo decision: Charge weight 500 g", with_reason("it was this car after all"))
    assert charges(host, skerry) == ["470 ± 15 g", "500 g"]


def test_nothing_is_decided_without_a_reason(view: RecordView, host: OpenHost, skerry: int) -> None:
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
    view: RecordView, host: OpenHost, skerry: int
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


def test_a_retired_value_comes_back_by_undoing(view: RecordView, host: OpenHost, skerry: int) -> None:
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
    view: RecordView, host: OpenHost, skerry: int
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


def test_a_review_carries_the_name_and_warns_when_nobody_else_looked(
    view: RecordView, host: OpenHost, skerry: int
) -> None:
    view.show_tab("Sources")
    press(view, "review Charge weight 500 g")
    assert held(host, skerry).specs["charge"][1].reviewed_by == "Ada Fell"
    assert host.said[-1] == "500 g was reviewed by Ada Fell."


def test_a_caution_names_its_basis_and_leads_to_the_sources(
    view: RecordView, host: OpenHost, skerry: int
) -> None:
    bulletin = SpecDraft("refrigerant", None, "R-134a", SourceKind.BULLETIN, "12")
    vehicles.add_spec(host.store, skerry, bulletin)
    view.show_vehicle(held(host, skerry))
    assert any(one.startswith("The label says R-1234yf, another source R-134a") for one in texts(view))
    assert any(one.startswith("Basis: ") and "procedure prevails" in one for one in texts(view))
    press(view, "See the sources")
    assert "refrigerant" in " ".join(one for one in texts(view)).casefold()
    assert any("they differ" in one for one in texts(view))


def test_the_charge_of_a_sister_with_two_evaporators_is_noticed(view: RecordView, host: OpenHost) -> None:
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
    view: RecordView, host: OpenHost, skerry: int
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


def test_the_cars_and_the_photographed_label_are_seen_at_a_glance(
    view: RecordView, host: OpenHost, skerry: int, tmp_path: Path
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
