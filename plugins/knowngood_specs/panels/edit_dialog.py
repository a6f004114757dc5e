"""Edit what tells a vehicle configuration apart: names, years, build months, VIN pattern, notes."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QVBoxLayout

from knowngood_refdata.quantities import Kind
from knowngood_specs.core.fields import EVAPORATORS
from knowngood_specs.core.form import Checked, Problem, form_of, missing, read_vehicle, vehicle_form
from knowngood_specs.panels.form_dialog import choice_entry, form_part, text_block, text_entry
from knowngood_specs.panels.reason_dialog import WHY_MISSING
from knowngood_specs.panels.revising_dialog import RevisingDialog
from knowngood_specs.reading import read_quantity

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from PySide6.QtWidgets import QWidget

    from knowngood.widgets import Card
    from knowngood_refdata.drafts import VehicleDraft
    from knowngood_refdata.records import Vehicle

OWN = (
    "make", "model", "engine", "year_from", "year_to", "market", "evaporators", "maker", "family",
    "build_from", "build_to", "generation", "body", "vin_pattern", "notes",
)  # fmt: skip
"""The entries of a vehicle's form that are its own data."""


class EditDialog(RevisingDialog):
    """Asks for changes to a vehicle's own data; its spec values stay as they are.

    Parameters
    ----------
    save
        Stores the draft over a version of the record, with the reason; raises with words when it cannot.
    look
        The vehicle as it is on record now; raises with words when it is gone.
    """

    def __init__(
        self,
        vehicle: Vehicle,
        save: Callable[[VehicleDraft, int, str], None],
        look: Callable[[], Vehicle],
        keep: Callable[[dict[str, str]], None],
        kept: Mapping[str, object] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(f"Edit: {vehicle.name}", keep, parent)
        self._save, self._look = save, look
        self.form.setSpacing(16)
        self.form.addWidget(self._names(), stretch=1)
        apart = QVBoxLayout()
        apart.setSpacing(14)
        apart.addWidget(self._variant())
        apart.addWidget(self._why())
        self.form.addLayout(apart, stretch=1)
        self.begin_from(_entries(vehicle), vehicle.version, kept)
        self.resize(1100, 500)

    def load(self) -> tuple[dict[str, str], int]:
        """The vehicle as it is on record now."""
        vehicle = self._look()
        return _entries(vehicle), vehicle.version

    def check(self) -> Sequence[Problem]:
        """What stands against saving."""
        why = missing(self.entries()["why"], "why", WHY_MISSING)
        return (*self._checked().problems, *why)

    def echo(self) -> str:
        """What the vehicle would be called."""
        draft = self._checked().draft
        return "" if draft is None else f"Spec values are not touched. Build months: {_months(draft)}."

    def store(self) -> None:
        """Save the vehicle's own data."""
        draft = self._checked().draft
        if draft is not None:
            self._save(draft, self.version, self.entries()["why"].strip())

    def _checked(self) -> Checked[VehicleDraft]:
        return read_vehicle(vehicle_form(self.entries()), lambda text: read_quantity(text, Kind.MASS))

    def _names(self) -> Card:
        box, form = form_part("Vehicle")
        form.addRow("&Make", self._line("make"))
        form.addRow("M&odel", self._line("model"))
        form.addRow("&Engine or drive", self._line("engine", "engine or drive"))
        first, last = self._line("year_from", "first year"), self._line("year_to", "last year", "still built")
        form.addRow(_label("&Years", first), _two(first, last))
        form.addRow("Mar&ket", self._line("market"))
        form.addRow(
            "E&vaporators", self.entry("evaporators", choice_entry(EVAPORATORS.choices, name="evaporators"))
        )
        form.addRow("Made &by", self._line("maker", "made by", "empty: as the make"))
        form.addRow("System fami&ly", self._line("family", "system family", "which A/C design it shares"))
        return box

    def _variant(self) -> Card:
        box, form = form_part("What tells it apart")
        first = self._line("build_from", "first build month", "06/21")
        last = self._line("build_to", "last build month", "still built")
        form.addRow(_label("B&uild months", first), _two(first, last))
        form.addRow("&Generation", self._line("generation"))
        form.addRow("Bo&dy", self._line("body"))
        form.addRow("VIN pa&ttern", self._line("vin_pattern", "VIN pattern", "ZZ1?B, ? for any character"))
        form.addRow("&Notes", self.entry("notes", text_block(name="notes")))
        return box

    def _why(self) -> Card:
        box, form = form_part("Reason of the change")
        form.addRow("&Reason", self._line("why", "reason", "stays in the history with your name"))
        return box

    def _line(self, name: str, spoken: str = "", hint: str = "") -> QLineEdit:
        return self.entry(name, text_entry(hint, name=spoken or name))


def _entries(vehicle: Vehicle) -> dict[str, str]:
    form = asdict(form_of(vehicle))
    return {name: form[name] for name in OWN}


def _months(draft: VehicleDraft) -> str:
    if not draft.build_from and not draft.build_to:
        return "none"
    return f"{draft.build_from or 'from the first'} to {draft.build_to or 'the last'}"


def _label(text: str, first: QLineEdit) -> QLabel:
    label = QLabel(text)
    label.setBuddy(first)
    return label


def _two(first: QLineEdit, last: QLineEdit) -> QHBoxLayout:
    row = QHBoxLayout()
    row.setSpacing(8)
    row.addWidget(first)
    row.addWidget(QLabel("to"))
    row.addWidget(last)
    return row
