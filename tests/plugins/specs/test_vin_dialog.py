"""The VIN dialog on a real library: warnings never block, answers narrow, the car can be kept."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QPushButton

from knowngood_refdata.drafts import SpecDraft, VehicleDraft
from knowngood_refdata.queries import vehicles
from knowngood_refdata.records import SourceKind
from knowngood_specs.panels.vin_dialog import VinDialog

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from knowngood.api import Host

    from ..open_host import OpenHost

VIN = "1ZTAB1CBXNF012345"
MISTYPED = "1ZTAB1CB5NF012345"


@pytest.fixture
def split(host: OpenHost) -> tuple[int, int]:
    """Two vehicles that the build month alone tells apart."""
    return tuple(
        vehicles.add_vehicle(
            host.store,
            VehicleDraft(
                "Quarrel", "Vane", "1.2 petrol", 2021, 2023, build_from=begun, build_to=ended,
                vin_pattern="1ZTAB1CB",
                specs=(SpecDraft("charge", 0.47, "470 g", SourceKind.UNDER_HOOD_LABEL, "label"),),
            ),
        )
        for begun, ended in (("", "2022-05"), ("2022-06", ""))
    )  # type: ignore[return-value]  # fmt: skip


@pytest.fixture
def dialog(qtbot: QtBot, host: OpenHost, split: tuple[int, int]) -> VinDialog:
    dialog = VinDialog(cast("Host", host), lambda _typed: None)
    qtbot.addWidget(dialog)
    dialog.show()
    return dialog


def type_vin(qtbot: QtBot, dialog: VinDialog, text: str) -> None:
    dialog.entry.setText(text)
    qtbot.waitUntil(lambda: not dialog.looking)


def said(dialog: VinDialog) -> str:
    return "\n".join(one.text() for one in dialog.findChildren(QLabel) if one.isVisible())


def answer(qtbot: QtBot, dialog: VinDialog, text: str) -> None:
    (button,) = [one for one in dialog.question.findChildren(QPushButton) if one.text().endswith(text)]
    button.click()
    qtbot.waitUntil(lambda: not dialog.looking)


def test_an_answer_narrows_to_one_vehicle_which_is_then_chosen(
    qtbot: QtBot, dialog: VinDialog, split: tuple[int, int]
) -> None:
    type_vin(qtbot, dialog, VIN)
    assert "Which build month is on the door label:" in said(dialog)
    assert not dialog.show_button.isEnabled()
    answer(qtbot, dialog, "from June 2022")
    assert dialog.fits.chosen_id == split[1]
    assert "You answered: from June 2022." in said(dialog)
    assert "Only if built from June 2022." in said(dialog)
    dialog.show_button.click()
    assert dialog.taken == split[1]


def test_starting_over_brings_back_what_an_answer_left_out(qtbot: QtBot, dialog: VinDialog) -> None:
    type_vin(qtbot, dialog, VIN)
    answer(qtbot, dialog, "up to May 2022")
    (again,) = [one for one in dialog.question.findChildren(QPushButton) if "over" in one.text()]
    again.click()
    qtbot.waitUntil(lambda: not dialog.looking)
    assert dialog.fits.found.rowCount() == 2


def test_a_wrong_check_digit_warns_and_blocks_nothing(
    qtbot: QtBot, dialog: VinDialog, host: OpenHost, split: tuple[int, int]
) -> None:
    dialog.month.setText("07/22")
    type_vin(qtbot, dialog, MISTYPED)
    assert "5, wrong: X would agree" in said(dialog)
    assert "One is probably mistyped" in said(dialog)
    dialog.keep.setChecked(True)
    dialog.fleet_number.setText("van 7")
    dialog.show_button.click()
    assert dialog.taken == split[1]
    (car,) = vehicles.units(host.store, split[1])
    assert (car.vin, car.fleet_number) == (MISTYPED, "van 7")


def test_a_letter_that_no_vin_holds_is_mended_only_by_the_reader(qtbot: QtBot, dialog: VinDialog) -> None:
    type_vin(qtbot, dialog, "IZTAB1CBXNF012345")
    assert "A VIN holds no letter I" in said(dialog)
    assert dialog.entry.text().startswith("IZT")
    (accept,) = [one for one in dialog.facts.findChildren(QPushButton) if VIN in one.text()]
    accept.click()
    assert dialog.entry.text() == VIN


def test_a_car_on_record_is_named_and_not_kept_twice(
    qtbot: QtBot, dialog: VinDialog, host: OpenHost, split: tuple[int, int]
) -> None:
    vehicles.add_unit(host.store, split[0], vin=VIN, fleet_number="van 7")
    type_vin(qtbot, dialog, VIN)
    assert dialog.fits.chosen_id == split[0]
    tip = dialog.fits.found.index(0).data(Qt.ItemDataRole.ToolTipRole)
    assert "this car is on record as van 7" in tip
    assert not dialog.keep.isEnabled()


def test_nothing_that_fits_leads_to_a_new_vehicle_with_what_the_vin_tells(
    qtbot: QtBot, dialog: VinDialog
) -> None:
    type_vin(qtbot, dialog, "1G4AH59H45G118341")
    assert "No vehicle of the library fits" in said(dialog)
    dialog.add_button.click()
    assert dialog.taken is None
    assert dialog.to_add == {"year_from": "2005", "year_to": "2005", "vin_pattern": "1G4AH59H"}


def test_a_build_month_that_cannot_be_read_is_said_and_left_out(qtbot: QtBot, dialog: VinDialog) -> None:
    dialog.month.setText("13/22")
    type_vin(qtbot, dialog, VIN)
    assert "The build month was not read" in said(dialog)
    assert dialog.fits.found.rowCount() == 2


def test_a_make_narrows_and_goes_along_to_a_new_vehicle(
    qtbot: QtBot, dialog: VinDialog, host: OpenHost
) -> None:
    vehicles.add_vehicle(host.store, VehicleDraft("Fen", "Harrier", "", 2019, 2024))
    type_vin(qtbot, dialog, VIN)
    assert dialog.fits.found.rowCount() == 3
    dialog.make.setEditText("fen")
    qtbot.waitUntil(lambda: not dialog.looking)
    assert dialog.fits.found.rowCount() == 1
    dialog.add_button.click()
    assert dialog.to_add is not None
    assert dialog.to_add["make"] == "fen"


def test_what_was_typed_is_there_again_after_closing_without_a_choice(qtbot: QtBot, host: OpenHost) -> None:
    kept: dict[str, str] = {}
    first = VinDialog(cast("Host", host), lambda typed: kept.update(typed))
    qtbot.addWidget(first)
    first.entry.setText(VIN)
    first.month.setText("07/22")
    first.reject()
    again = VinDialog(cast("Host", host), lambda _typed: None, kept)
    qtbot.addWidget(again)
    assert (again.entry.text(), again.month.text()) == (VIN, "07/22")
    again.reject()
