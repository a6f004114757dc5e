"""What the columns of a file are: one line a column, and the entries for the one chosen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QCheckBox, QComboBox, QFormLayout, QWidget

from knowngood.widgets import Card
from knowngood.widgets.form import named, words
from knowngood_specs.core.importing.remapping import WITH_FIELD, fitting, units_of
from knowngood_specs.core.importing.targets import PARTS_OF_A_VALUE, Target
from knowngood_specs.panels.import_table import TextTable

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_specs.core.fields import Field
    from knowngood_specs.core.importing.mapping import ColumnMapping, ColumnUse
    from knowngood_specs.core.importing.proposal import ProposedColumn
    from knowngood_specs.core.importing.targets import Meaning

_AS_WRITTEN = "as each cell says"
_OF_ROW = {True: "the field that the row names", False: "all values of the row"}
_SURE = 0.85
_NAME_PX = 84
_FILLED = frozenset({Target.MAKE, Target.MODEL, Target.ENGINE, Target.YEARS, Target.YEAR_FROM, Target.MARKET})


class ColumnsTable(TextTable):
    """The columns of a file with their first values and what they are taken for."""

    headings = ("Column", "First values", "Taken for", "Because")

    def __init__(
        self, proposed: Sequence[ProposedColumn], mapping: ColumnMapping, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._proposed, self._mapping = tuple(proposed), mapping

    def set_mapping(self, mapping: ColumnMapping) -> None:
        """Show what the columns are taken for now."""
        self._mapping = mapping
        self.renew()

    def count(self) -> int:
        """How many columns the file has."""
        return len(self._proposed)

    def cell(self, row: int, column: int) -> str:
        """Name, first values, meaning and reason of a column of the file."""
        one = self._proposed[row]
        if column == 0:
            return one.use.header
        if column == 1:
            return ", ".join(one.examples)
        if column == 2:
            return self._mapping.of(row).meaning.words
        return self.reason(row)

    def reason(self, row: int) -> str:
        """Why a column is taken for what it is."""
        one, use = self._proposed[row], self._mapping.of(row)
        if (use.meaning, use.fill_down) != (one.use.meaning, one.use.fill_down):
            return "chosen by hand"
        guessed = "guessed: " if 0.0 < one.confidence < _SURE else ""
        return guessed + one.reason


class ColumnEditor(Card):
    """The entries for one column.

    Attributes
    ----------
    edited
        Signal with the column's index, its new `Meaning`, and whether empty cells count as the one above.
    """

    edited = Signal(int, object, bool)

    def __init__(self, fields: Sequence[Field], parent: QWidget | None = None) -> None:
        super().__init__("This column", parent=parent)
        self._fields = {one.name: one for one in fields}
        self._use: ColumnUse | None = None
        self.target, self.field, self.unit = QComboBox(), QComboBox(), QComboBox()
        self.fill_down = QCheckBox("An empty cell &means the one above")
        self._hint = words("quiet")
        self._form = QFormLayout()
        self._lay_out()
        self.target.activated.connect(self._take_target)
        self.field.activated.connect(self._take)
        line = self.field.lineEdit()
        assert line is not None
        line.editingFinished.connect(self._take)
        self.unit.activated.connect(self._take)
        self.fill_down.clicked.connect(self._take)

    def show_use(self, use: ColumnUse, reason: str) -> None:
        """Show what a column is taken for."""
        self._use = use
        meaning = use.meaning
        self.set_title(use.header, reason)
        self.target.setCurrentIndex(self.target.findData(meaning.target))
        self._show_field(meaning)
        self._show_unit(meaning)
        self.fill_down.setChecked(use.fill_down)
        self._form.setRowVisible(self.fill_down, meaning.target in _FILLED)

    def _lay_out(self) -> None:
        for one in Target:
            self.target.addItem(str(one), one)
        self.field.setEditable(True)
        self.field.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self.field.addItem("", "")
        for name, field in self._fields.items():
            self.field.addItem(field.title, name)
        for name, box in (("Taken &for", self.target), ("&Of the field", self.field), ("&Unit", self.unit)):
            box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
            box.setMinimumContentsLength(12)
            label = named(name, box)
            label.setMinimumWidth(_NAME_PX)
            self._form.addRow(label, box)
        self._form.addRow(self.fill_down)
        self.body.addLayout(self._form)
        self.body.addWidget(self._hint)

    def _show_field(self, meaning: Meaning) -> None:
        shown = meaning.target in WITH_FIELD
        self._form.setRowVisible(self.field, shown)
        self._hint.setVisible(shown)
        if shown:
            self.field.setItemText(0, _OF_ROW[meaning.target in PARTS_OF_A_VALUE])
            place = self.field.findData(meaning.of)
            self.field.setCurrentIndex(place)
            if place < 0:
                self.field.setEditText(meaning.of)
            self._hint.setText("Another name makes a field of your own.")

    def _show_unit(self, meaning: Meaning) -> None:
        field = self._fields.get(meaning.of)
        units = units_of(field.kind if field else None)
        if meaning.unit and meaning.unit not in units:
            units = (meaning.unit, *units)
        asked = meaning.target in PARTS_OF_A_VALUE - {Target.UNIT} and bool(units)
        self._form.setRowVisible(self.unit, asked)
        self.unit.clear()
        self.unit.addItem(_AS_WRITTEN, "")
        for one in units:
            self.unit.addItem(one, one)
        self.unit.setCurrentIndex(max(0, self.unit.findData(meaning.unit)))

    def _take_target(self) -> None:
        use = self._use
        target = self.target.currentData()
        if use is None or not isinstance(target, str):
            return
        # A column nobody knows becomes a field of its own name rather than a value of no field.
        own = use.meaning.of or (" ".join(use.header.split()).casefold() if target == Target.PRINTED else "")
        self._tell(Target(target), own)

    def _take(self) -> None:
        if self._use is not None:
            self._tell(self._use.meaning.target, self._field_name())

    def _tell(self, target: Target, of: str) -> None:
        use = self._use
        if use is None:
            return
        field = self._fields.get(of)
        chosen = str(self.unit.currentData() or "")
        meaning = fitting(target, of, chosen, kind=field.kind if field else None)
        filled = self.fill_down.isChecked() and target in _FILLED
        if (meaning, filled) != (use.meaning, use.fill_down):
            self.edited.emit(use.column, meaning, filled)

    def _field_name(self) -> str:
        text = " ".join(self.field.currentText().split())
        place = self.field.findText(text, Qt.MatchFlag.MatchFixedString)
        return str(self.field.itemData(place)) if place >= 0 else text.casefold()
