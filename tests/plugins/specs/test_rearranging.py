"""Deleted records, duplicates and system families: every step with a reason, nothing lost."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

import pytest
from PySide6.QtWidgets import QApplication, QLabel

from knowngood_refdata.drafts import SpecDraft, VehicleDraft
from knowngood_refdata.queries import families, history, vehicle_edits, vehicles
from knowngood_refdata.records import SourceKind
from knowngood_specs.panels.deleted_dialog import DeletedDialog
from knowngood_specs.panels.duplicates_dialog import DuplicatesDialog
from knowngood_specs.panels.families_dialog import FamiliesDialog

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget
    from pytestqt.qtbot import QtBot

    from knowngood.api import Host
    from knowngood_refdata.store import Store

    from ..open_host import OpenHost


def said(dialog: QWidget) -> list[str]:
    QApplication.processEvents()
    return [one.text() for one in dialog.findChildren(QLabel) if one.isVisible()]


def add(store: Store, model: str, family: str = "", charge: str = "500 g") -> int:
    spec = SpecDraft("charge", 0.5, charge, SourceKind.BULLETIN, "82-1")
    draft = VehicleDraft("Tarn", model, "1.6 petrol", 2021, 2023, family=family, specs=(spec,))
    return vehicles.add_vehicle(store, draft)


def test_a_deleted_vehicle_is_brought_back_for_a_reason(qtbot: QtBot, host: OpenHost, skerry: int) -> None:
    held = vehicles.vehicle(host.store, skerry)
    vehicle_edits.delete_vehicle(host.store, skerry, held.version, "entered twice")
    dialog = DeletedDialog(cast("Host", host))
    qtbot.addWidget(dialog)
    assert not dialog.reason.button.isEnabled()
    dialog.reason.line.setText("it was not")
    dialog.reason.button.click()
    assert dialog.brought_back == skerry
    assert vehicles.vehicle(host.store, skerry).specs == held.specs
    assert history.history(host.store, skerry)[0].why.endswith("it was not")


def test_with_nothing_deleted_there_is_nothing_to_bring_back(qtbot: QtBot, host: OpenHost) -> None:
    dialog = DeletedDialog(cast("Host", host))
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.reason.line.setText("whatever")
    assert "Nothing was deleted that could be brought back." in said(dialog)
    assert not dialog.reason.button.isEnabled()


@pytest.mark.parametrize("keep_other", [False, True])
def test_merging_two_vehicles_keeps_the_values_of_both(
    qtbot: QtBot, host: OpenHost, skerry: int, keep_other: bool
) -> None:
    twin = add(host.store, "Skery", charge="0,50 kg")
    dialog = DuplicatesDialog(cast("Host", host), vehicles.vehicle(host.store, skerry))
    qtbot.addWidget(dialog)
    dialog.show()
    assert {"Skerry", "Skery", "0,50 kg (bulletin)"} <= set(said(dialog))
    dialog.keep_other.setChecked(keep_other)
    dialog.reason.line.setText("one car, spelt in two ways")
    dialog.reason.button.click()
    kept = twin if keep_other else skerry
    assert dialog.kept == kept
    printed = {one.as_printed for one in vehicles.vehicle(host.store, kept).specs["charge"]}
    assert printed == {"470 ± 15 g", "500 g", "0,50 kg"}
    assert vehicles.count(host.store) == 3


def test_a_vehicle_without_a_double_is_said_to_have_none(qtbot: QtBot, host: OpenHost, skerry: int) -> None:
    dialog = DuplicatesDialog(cast("Host", host), vehicles.vehicle(host.store, skerry))
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.reason.line.setText("whatever")
    assert any("No other vehicle" in text for text in said(dialog))
    assert not dialog.reason.button.isEnabled()


@pytest.fixture
def arranged(qtbot: QtBot, host: OpenHost) -> FamiliesDialog:
    """Two families of one maker, the first of them with two vehicles."""
    for model, family in (("Skerry", "S1"), ("Gill", "S1"), ("Rill", "S2")):
        add(host.store, model, family)
    dialog = FamiliesDialog(cast("Host", host))
    qtbot.addWidget(dialog)
    dialog.show()
    return dialog


def held(host: OpenHost) -> dict[str, int]:
    return {one.name: one.vehicles for one in families.families(host.store)}


def test_a_family_is_renamed_only_with_a_reason(arranged: FamiliesDialog, host: OpenHost) -> None:
    arranged.can.name.setText("small cars")
    assert not arranged.can.rename_button.isEnabled()
    arranged.can.reason.setText("as the book calls it")
    arranged.can.rename_button.click()
    assert held(host) == {"S2": 1, "small cars": 2}
    assert arranged.family is not None
    assert arranged.family.name == "small cars"


def test_marked_vehicles_split_off_to_a_new_family(arranged: FamiliesDialog, host: OpenHost) -> None:
    arranged.can.reason.setText("another condenser")
    arranged.can.target.setEditText("S1 B")
    assert not arranged.can.move_button.isEnabled()
    arranged.members.mark(0)
    arranged.can.move_button.click()
    assert held(host) == {"S1": 1, "S1 B": 1, "S2": 1}


def test_marked_vehicles_move_to_another_maker_and_take_their_history_along(
    arranged: FamiliesDialog, host: OpenHost
) -> None:
    (moved,) = vehicles.search(host.store, "gill")
    rows = [arranged.members.item(row).text() for row in range(arranged.members.count())]
    arranged.members.mark(next(row for row, text in enumerate(rows) if "Gill" in text))
    arranged.can.reason.setText("built by Moor under licence")
    arranged.can.maker.setEditText("Moor")
    arranged.can.target.setEditText("M1")
    arranged.can.move_button.click()
    now = vehicles.vehicle(host.store, moved.id)
    assert (now.maker, now.family, now.make) == ("Moor", "M1", "Tarn")
    assert len(history.history(host.store, moved.id)) > 1


def test_two_families_of_a_maker_become_one(arranged: FamiliesDialog, host: OpenHost) -> None:
    arranged.can.reason.setText("one design after all")
    assert arranged.can.into.currentText() == "S2"
    arranged.can.merge_button.click()
    assert held(host) == {"S2": 3}


def test_a_name_that_is_taken_is_refused_in_words(arranged: FamiliesDialog, host: OpenHost) -> None:
    arranged.can.name.setText("S2")
    arranged.can.reason.setText("why not")
    arranged.can.rename_button.click()
    assert any("S2" in text and "Nothing was changed" in text for text in said(arranged))
    assert held(host) == {"S1": 2, "S2": 1}
