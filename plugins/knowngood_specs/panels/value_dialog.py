"""Add a further value of one field, from its own source, to a vehicle on record."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox, QFormLayout, QLabel, QVBoxLayout

from knowngood_specs.core.fields import CHARGE, FIELDS, field_named
from knowngood_specs.core.form import Checked, read_value, value_form
from knowngood_specs.panels.form_dialog import FormDialog, choice_entry, source_entry, text_entry
from knowngood_specs.panels.vehicle_dialog import read_mass
from knowngood_specs.words import charge_echo

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from PySide6.QtWidgets import QWidget

    from knowngood_refdata.drafts import SpecDraft
    from knowngood_refdata.records import Vehicle
    from knowngood_specs.core.form import Problem

BESIDE = "It will stand beside the values on record; none of them is changed."


class ValueDialog(FormDialog):
    """Asks for a value; ``save``, ``keep`` and ``kept`` are as in `VehicleDialog`."""

    def __init__(
        self,
        vehicle: Vehicle,
        save: Callable[[SpecDraft], None],
        keep: Callable[[dict[str, str]], None],
        kept: Mapping[str, object] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(f"Add a value: {vehicle.name}", keep, parent)
        self._save = save
        form = QFormLayout()
        self._field = QComboBox()
        for one in FIELDS:
            self._field.addItem(one.title, one.name)
        self._field.setAccessibleName("field")
        self._printed = choice_entry((), name="value as printed")
        form.addRow("&Field", self.entry("field", self._field))
        form.addRow("&Value as printed", self.entry("as_printed", self._printed))
        form.addRow("&Kind of source", self.entry("source_kind", source_entry()))
        hint = "label photo, or book and page"
        form.addRow("&Where it stands", self.entry("citation", text_entry(hint, name="citation")))
        form.addRow("&Revision", self.entry("revision", text_entry("edition or date", name="revision")))
        words = QLabel(BESIDE)
        words.setObjectName("quiet")
        words.setWordWrap(True)
        column = QVBoxLayout()
        column.addLayout(form)
        column.addWidget(words)
        column.addStretch(1)
        self.form.addLayout(column)
        self._field.currentIndexChanged.connect(self._offer_choices)
        self._offer_choices()
        self.begin(kept)
        self.resize(820, 340)

    def check(self) -> Sequence[Problem]:
        """What stands against saving."""
        return self._checked().problems

    def echo(self) -> str:
        """How a charge weight is understood."""
        form = value_form(self.entries())
        return charge_echo(form.as_printed, read_mass) if form.field == CHARGE.name else ""

    def store(self) -> None:
        """Save the value."""
        draft = self._checked().draft
        if draft is not None:
            self._save(draft)

    def _checked(self) -> Checked[SpecDraft]:
        return read_value(value_form(self.entries()), read_mass)

    def _offer_choices(self) -> None:
        field = field_named(str(self._field.currentData()))
        typed = self._printed.currentText()
        # The choices change as one step, or the text typed would be taken for the first of them.
        self._printed.blockSignals(True)
        self._printed.clear()
        self._printed.addItems(["", *map(str, field.choices)])
        self._printed.setEditText(typed)
        self._printed.blockSignals(False)
        if (line := self._printed.lineEdit()) is not None:
            line.setPlaceholderText(field.example)
