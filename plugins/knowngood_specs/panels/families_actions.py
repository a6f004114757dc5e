"""What can be done with a system family, each step with a reason."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QGridLayout, QLineEdit, QPushButton, QWidget

from knowngood.widgets import Card
from knowngood.widgets.form import named
from knowngood_specs.panels.form_dialog import choice_entry

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.queries.families import Family


class FamilyActions(Card):
    """Name, merging and moving.

    Attributes
    ----------
    rename
        Signal with the new name and the reason.
    merge
        Signal with the `Family` to merge into and the reason.
    move_on
        Signal with maker, family and reason, for the vehicles marked.
    """

    rename = Signal(str, str)
    merge = Signal(object, str)
    move_on = Signal(str, str, str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self._family: Family | None = None
        self._all: tuple[Family, ...] = ()
        self._marked = 0
        self.name, self.into, self.reason = QLineEdit(), QComboBox(), QLineEdit()
        self.maker, self.target = choice_entry((), name="maker"), choice_entry((), name="family to move to")
        self.rename_button = QPushButton("Rena&me")
        self.merge_button = QPushButton("Mer&ge")
        self.move_button = QPushButton("Mo&ve marked")
        self.reason.setPlaceholderText("needed for every step, and kept in the history")
        if (line := self.target.lineEdit()) is not None:
            line.setPlaceholderText("a new name splits the family; empty: no family")
        self._lay_out()
        self._connect()

    def show_family(self, family: Family | None, every: Sequence[Family]) -> None:
        """Offer what can be done with a family among all of them."""
        self._family, self._all = family, tuple(every)
        self.name.setText(family.name if family else "")
        sisters = [one for one in every if family and one.maker == family.maker and one.id != family.id]
        self.into.clear()
        for one in sisters:
            self.into.addItem(one.name, one)
        _offer(self.maker, dict.fromkeys(one.maker for one in every), family.maker if family else "")
        self._offer_targets()
        self._show()

    def set_marked(self, count: int) -> None:
        """Say how many vehicles are marked."""
        self._marked = count
        self._show()

    def clear_reason(self) -> None:
        """Forget the reason of a step that is done."""
        self.reason.clear()

    def _lay_out(self) -> None:
        grid = QGridLayout()
        grid.setHorizontalSpacing(8)
        rows: tuple[tuple[str, tuple[QWidget, ...], QPushButton | None], ...] = (
            ("&Name", (self.name,), self.rename_button),
            ("Merge &into", (self.into,), self.merge_button),
            ("Move &to maker", (self.maker, self.target), self.move_button),
            ("&Reason", (self.reason,), None),
        )
        for number, (title, fields, button) in enumerate(rows):
            grid.addWidget(named(title, fields[0]), number, 0)
            for column, field in enumerate(fields, 1):
                grid.addWidget(field, number, column, 1, 2 if len(fields) == 1 else 1)
            if button is not None:
                button.setAutoDefault(False)
                grid.addWidget(button, number, 3)
        grid.setColumnStretch(1, 1)
        grid.setColumnStretch(2, 2)
        self.body.addLayout(grid)

    def _connect(self) -> None:
        for line in (self.name, self.reason):
            line.textChanged.connect(self._show)
        self.maker.currentTextChanged.connect(self._offer_targets)
        self.target.currentTextChanged.connect(self._show)
        self.rename_button.clicked.connect(lambda: self.rename.emit(self.name.text().strip(), self._why))
        self.merge_button.clicked.connect(lambda: self.merge.emit(self.into.currentData(), self._why))
        self.move_button.clicked.connect(
            lambda: self.move_on.emit(
                self.maker.currentText().strip(), self.target.currentText().strip(), self._why
            )
        )

    @property
    def _why(self) -> str:
        return self.reason.text().strip()

    def _offer_targets(self) -> None:
        maker = self.maker.currentText().strip()
        own = self._family.id if self._family else None
        _offer(self.target, [one.name for one in self._all if one.maker == maker and one.id != own], "")
        self._show()

    def _show(self) -> None:
        family, why = self._family, bool(self._why)
        name = self.name.text().strip()
        self.rename_button.setEnabled(bool(family and why and name and name != family.name))
        self.merge_button.setEnabled(bool(family and why and self.into.count()))
        maker, target = self.maker.currentText().strip(), self.target.currentText().strip()
        elsewhere = family is not None and (maker, target) != (family.maker, family.name)
        self.move_button.setEnabled(bool(elsewhere and why and maker and self._marked))


def _offer(box: QComboBox, texts: Sequence[str] | dict[str, None], chosen: str) -> None:
    box.blockSignals(True)
    box.clear()
    box.addItems(["", *texts])
    box.setEditText(chosen)
    box.blockSignals(False)
