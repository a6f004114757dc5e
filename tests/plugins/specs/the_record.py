"""The record of a vehicle on the screen: what is pressed, read and changed beside it."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, cast

from PySide6.QtWidgets import QApplication, QLabel, QPushButton

from knowngood_refdata.queries import vehicle_edits, vehicles
from knowngood_specs.core.form import VehicleForm, form_of, read_vehicle
from knowngood_specs.panels.record import RecordView
from knowngood_specs.panels.unsaved import Unsaved

from .in_dialogs import in_the_dialog

if TYPE_CHECKING:
    from collections.abc import Callable

    from pytestqt.qtbot import QtBot

    from knowngood.api import Host
    from knowngood_refdata.records import SpecValue, Vehicle
    from knowngood_specs.panels.form_dialog import FormDialog

    from ..open_host import OpenHost


def shown(qtbot: QtBot, host: OpenHost) -> RecordView:
    view = RecordView(cast("Host", host), Unsaved(cast("Host", host)))
    qtbot.addWidget(view)
    view.resize(700, 700)
    view.changed.connect(lambda number: view.show_vehicle(vehicles.vehicle(host.store, number)))
    view.show()
    return view


def held(host: OpenHost, vehicle_id: int) -> Vehicle:
    return vehicles.vehicle(host.store, vehicle_id)


def charges(host: OpenHost, vehicle_id: int) -> list[str]:
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


def with_reason(why: str) -> Callable[[FormDialog], None]:
    def fill(dialog: FormDialog) -> None:
        dialog.write({"why": why})
        dialog.accept()

    return fill


def words(dialog: FormDialog) -> str:
    return "\n".join(one.text() for one in dialog.findChildren(QLabel))


def edit(host: OpenHost, vehicle: Vehicle, entry: str, text: str, why: str) -> None:
    """Change a vehicle as another workstation would."""
    form = VehicleForm(**{**asdict(form_of(vehicle)), entry: text})
    draft = read_vehicle(form, lambda _text: (0.0, None)).draft
    assert draft is not None
    vehicle_edits.edit_vehicle(host.store, vehicle.id, vehicle.version, draft, why)


def spec_named(vehicle: Vehicle, printed: str) -> SpecValue:
    return next(one for values in vehicle.specs.values() for one in values if one.as_printed == printed)
