"""Correct the conditions and instruments of a session that is in the library."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLabel, QVBoxLayout, QWidget

from knowngood.widgets import Card
from knowngood_sessions.panels.conditions_form import ConditionsForm
from knowngood_sessions.panels.scrolled import scrolled

if TYPE_CHECKING:
    from knowngood.units import Units
    from knowngood_refdata.records import SessionInfo


class ConditionsDialog(QDialog):
    """Asks for conditions and instruments; what was found is worked out again after saving."""

    def __init__(self, info: SessionInfo, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(f"Conditions of {info.title}")
        self.info = info
        self.form = ConditionsForm(units)
        self.form.show_values(info.conditions, info.instruments)
        self._problem = QLabel()
        self._problem.setObjectName("problem")
        self._problem.setWordWrap(True)
        card = Card("", "A field left empty counts as not recorded.")
        card.body.addWidget(scrolled(self.form, sideways=False))
        buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Save | QDialogButtonBox.StandardButton.Cancel
        )
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.addWidget(card)
        layout.addWidget(self._problem)
        layout.addWidget(buttons)
        self.resize(500, 720)

    def accept(self) -> None:
        """Close when everything can be read, otherwise say what cannot."""
        problem = self.form.problem()
        self._problem.setText(problem)
        if not problem:
            super().accept()

    def snapshot(self) -> dict[str, Any]:
        """What was entered, for the drafts."""
        return {"session": self.info.id, "form": self.form.snapshot()}
