"""The entries of one spec value, shared by the forms that add and that correct one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox, QFormLayout, QLabel, QVBoxLayout

from knowngood_specs.core.fields import Section, field_named
from knowngood_specs.core.value_form import read_value, value_form
from knowngood_specs.panels.form_dialog import choice_entry, source_entry, text_entry
from knowngood_specs.panels.labels import plain
from knowngood_specs.reading import read_quantity
from knowngood_specs.words import amount_echo

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.drafts import SpecDraft
    from knowngood_specs.core.fields import Field
    from knowngood_specs.core.form import Checked
    from knowngood_specs.panels.form_dialog import FormDialog


class ValueEntries:
    """Field, value, source: laid out in a form dialog, and read from it.

    Parameters
    ----------
    fixed
        The field when it is not to be chosen.
    words
        A quiet line below the entries.
    """

    def __init__(self, dialog: FormDialog, fields: Sequence[Field], *, words: str, fixed: str = "") -> None:
        self._dialog, self._fields, self._fixed = dialog, fields, fixed
        self._field = QComboBox()
        self._field.setAccessibleName("field")
        self._field.setMaxVisibleItems(20)
        self._printed = choice_entry((), name="value as printed")
        self.rows = QFormLayout()
        self._lay_out(words)
        if fixed:
            self._field.setCurrentIndex(self._field.findData(fixed))
            self._field.setEnabled(False)
        self._field.currentIndexChanged.connect(self._offer_choices)
        self._offer_choices()

    def checked(self, *, correcting: bool = False) -> Checked[SpecDraft]:
        """The draft, or what stands against it."""
        return read_value(
            value_form(self._dialog.entries()), read_quantity, self._fields, correcting=correcting
        )

    def echo(self) -> str:
        """How the value is understood."""
        form = value_form(self._dialog.entries())
        return amount_echo(field_named(form.field, self._fields), form.as_printed, read_quantity)

    def _lay_out(self, words: str) -> None:
        dialog, rows = self._dialog, self.rows
        for one in self._shown():
            self._field.addItem(one.title, one.name)
        rows.addRow("&Field", dialog.entry("field", self._field))
        rows.addRow("&Value as printed", dialog.entry("as_printed", self._printed))
        rows.addRow("&Kind of source", dialog.entry("source_kind", source_entry()))
        hint = "label photo, or name of the book"
        rows.addRow("&Where it stands", dialog.entry("citation", text_entry(hint, name="citation")))
        rows.addRow("&Page", dialog.entry("page", text_entry("page or section", name="page")))
        rows.addRow("&Revision", dialog.entry("revision", text_entry("edition or date", name="revision")))
        below: QLabel = plain(words, "quiet")
        column = QVBoxLayout()
        column.addLayout(rows)
        column.addWidget(below)
        column.addStretch(1)
        dialog.form.addLayout(column)

    def _shown(self) -> list[Field]:
        """The fields to choose from; one that only this record has is among them when it is fixed."""
        stray = self._fixed and self._fixed not in {one.name for one in self._fields}
        return [*self._fields, field_named(self._fixed)] if stray else list(self._fields)

    def _offer_choices(self) -> None:
        field = field_named(str(self._field.currentData()), self._fields)
        typed = self._printed.currentText()
        # The choices change as one step, or the text typed would be taken for the first of them.
        self._printed.blockSignals(True)
        self._printed.clear()
        self._printed.addItems(["", *map(str, field.choices)])
        self._printed.setEditText(typed)
        self._printed.blockSignals(False)
        if (line := self._printed.lineEdit()) is not None:
            line.setPlaceholderText(field.example)
        section = "" if field.section is Section.SHOP else str(field.section)
        self._field.setToolTip(section)
