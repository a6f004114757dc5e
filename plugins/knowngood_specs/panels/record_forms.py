"""The forms that change a record: each keeps what is typed until it is saved, and tells when it was."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import spec_edits, undo, vehicle_edits, vehicles
from knowngood_refdata.records import SourceKind
from knowngood_specs.panels.edit_dialog import EditDialog
from knowngood_specs.panels.reason_dialog import ReasonDialog
from knowngood_specs.panels.unsaved import correction_of, edit_of, reason_of, value_of
from knowngood_specs.panels.value_dialog import CorrectDialog, ValueDialog
from knowngood_specs.record_data import all_fields, value_on_record

if TYPE_CHECKING:
    from collections.abc import Callable

    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_refdata.drafts import SpecDraft, VehicleDraft
    from knowngood_refdata.queries.history import Change
    from knowngood_refdata.records import SpecValue, Vehicle
    from knowngood_specs.panels.form_dialog import FormDialog
    from knowngood_specs.panels.unsaved import Unsaved


class RecordForms(QObject):
    """Opens the forms over a window.

    Attributes
    ----------
    changed
        Signal with the number of the vehicle of which something was stored, here or by someone else.
    closed
        Signal without arguments: a form was closed, saved or not.
    """

    changed = Signal(int)
    closed = Signal()

    def __init__(self, host: Host, unsaved: Unsaved, window: QWidget) -> None:
        super().__init__(window)
        self._host, self._unsaved, self._window = host, unsaved, window

    def waits_for_value(self, vehicle: Vehicle) -> bool:
        """Whether a value of the vehicle was typed and not saved."""
        return self._unsaved.get(value_of(vehicle.id)) is not None

    def waits_for_edit(self, vehicle: Vehicle) -> bool:
        """Whether changes to the vehicle's own data were typed and not saved."""
        return self._unsaved.get(edit_of(vehicle.id)) is not None

    def add_value(self, vehicle: Vehicle) -> None:
        """Ask for a further value."""
        store, name = self._host.store, value_of(vehicle.id)
        saved: list[int] = []

        def save(draft: SpecDraft) -> None:
            saved.append(vehicles.add_spec(store, vehicle.id, draft))

        dialog = ValueDialog(
            vehicle,
            save,
            self._keep(name),
            self._unsaved.get(name),
            self._window,
            fields=all_fields(store, self._host.spec_fields()),
        )
        self._run(dialog, name, vehicle.id, saved, "The value was added beside those on record.")

    def edit(self, vehicle: Vehicle) -> None:
        """Ask for changes to the vehicle's own data."""
        store, name = self._host.store, edit_of(vehicle.id)
        saved: list[int] = []

        def save(draft: VehicleDraft, version: int, why: str) -> None:
            vehicle_edits.edit_vehicle(store, vehicle.id, version, draft, why)
            saved.append(vehicle.id)

        dialog = EditDialog(
            vehicle,
            save,
            lambda: vehicles.vehicle(store, vehicle.id),
            self._keep(name),
            self._unsaved.get(name),
            self._window,
        )
        self._run(dialog, name, vehicle.id, saved, "The record was changed; its history tells what it said.")

    def correct(self, vehicle: Vehicle, spec: SpecValue) -> None:
        """Ask what a value should have been."""
        store, name = self._host.store, correction_of(spec.id)
        saved: list[int] = []

        def save(draft: SpecDraft, version: int, why: str) -> None:
            saved.append(spec_edits.correct_spec(store, spec.id, version, draft, why))

        dialog = CorrectDialog(
            spec,
            save,
            lambda: value_on_record(store, vehicle.id, spec.id),
            self._keep(name),
            self._unsaved.get(name),
            self._window,
            fields=all_fields(store, self._host.spec_fields()),
        )
        self._run(dialog, name, vehicle.id, saved, "The value was corrected; the old one is in the history.")

    def review(self, vehicle: Vehicle, spec: SpecValue) -> None:
        """Put the user's name to a value as its reviewer."""
        try:
            warning = spec_edits.review_spec(self._host.store, spec.id, spec.version)
        except (StoreError, ValueError) as error:
            self._host.say(str(error))
            self.changed.emit(vehicle.id)
            return
        self._host.say(warning or f"{spec.as_printed} was reviewed by {self._host.store.user}.")
        self.changed.emit(vehicle.id)

    def decide(self, vehicle: Vehicle, spec: SpecValue) -> None:
        """Ask why one of several values counts."""
        label = spec.source_kind is SourceKind.UNDER_HOOD_LABEL
        others = "the other values of this field" if label else "the label on the car and all other sources"
        self.ask(
            vehicle.id,
            reason_of("decide", spec.id),
            "Decide which value counts",
            f"{spec.as_printed} ({spec.source_kind}: {spec.citation}) will count before {others}. All "
            "values stay on record.",
            "Let it count",
            lambda why: spec_edits.decide(self._host.store, vehicle.id, spec.field, spec.id, why),
            f"{spec.as_printed} counts now.",
        )

    def undecide(self, vehicle: Vehicle, field: str) -> None:
        """Ask why a decision is taken back."""
        decided = vehicle.decided[field]
        self.ask(
            vehicle.id,
            reason_of("undecide", decided.spec_id),
            "Undo a decision",
            f"{decided.who} decided: {decided.why}\nWithout the decision the most trusted source counts, the "
            "label on the car first.",
            "Undo the decision",
            lambda why: spec_edits.undecide(self._host.store, vehicle.id, field, why),
            "The decision was undone: the most trusted source counts.",
        )

    def retire(self, vehicle: Vehicle, spec: SpecValue) -> None:
        """Ask why a value no longer counts."""
        self.ask(
            vehicle.id,
            reason_of("retire", spec.id),
            "Retire a value",
            f"{spec.as_printed} ({spec.source_kind}: {spec.citation}) will no longer be shown. It stays in "
            "the history, where retiring it can be undone.",
            "Retire it",
            lambda why: spec_edits.retire_spec(self._host.store, spec.id, spec.version, why),
            f"{spec.as_printed} was retired; the history brings it back.",
        )

    def undo(self, vehicle: Vehicle, change: Change, words: str) -> None:
        """Ask why a change is taken back."""
        self.ask(
            vehicle.id,
            reason_of("undo", change.id),
            "Undo a change",
            words,
            "Undo it",
            lambda why: undo.undo(self._host.store, change.id, why),
            "The change was undone; the undoing is in the history, too.",
        )

    def ask(
        self,
        vehicle_id: int,
        name: str,
        title: str,
        words: str,
        button: str,
        save: Callable[[str], None],
        said: str,
    ) -> None:
        """Ask for a reason and do something with it; ``said`` is told once it is done."""
        saved: list[int] = []

        def act(why: str) -> None:
            save(why)
            saved.append(vehicle_id)

        dialog = ReasonDialog(
            title, words, button, act, self._keep(name), self._unsaved.get(name), self._window
        )
        self._run(dialog, name, vehicle_id, saved, said)

    def _keep(self, name: str) -> Callable[[dict[str, str]], None]:
        return lambda entries: self._unsaved.put(name, entries)

    def _run(self, dialog: FormDialog, name: str, vehicle_id: int, saved: list[int], said: str) -> None:
        dialog.exec()
        if saved or dialog.discarded:
            self._unsaved.drop(name)
        dialog.deleteLater()
        self.closed.emit()
        if saved:
            self._host.say(said)
        if saved or dialog.refused:
            self.changed.emit(vehicle_id)
