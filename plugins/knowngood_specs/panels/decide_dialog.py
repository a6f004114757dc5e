"""Decide what a reading counts for: known-good, candidate or retired, and why."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox, QDialog, QDialogButtonBox, QPlainTextEdit, QVBoxLayout, QWidget

from knowngood.widgets.form import form, words
from knowngood_refdata.records import Standing
from knowngood_specs.reading_words import MEANING

if TYPE_CHECKING:
    from knowngood_refdata.records import Reading

CHOICES = (Standing.KNOWN_GOOD, Standing.CANDIDATE, Standing.RETIRED)
WHY_MISSING = "Say why in a sentence: whoever reads the book later will ask."


class DecideDialog(QDialog):
    """Asks for standing and reason; `standing` and `why` hold the answer once it was accepted."""

    def __init__(self, reading: Reading, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Decide about a reading")
        self._choice, self._why = QComboBox(), QPlainTextEdit()
        for one in CHOICES:
            if one is not reading.standing:
                self._choice.addItem(f"{one[:1].upper()}{one[1:]}: {MEANING[one]}", one)
        if reading.standing is Standing.KNOWN_GOOD:
            self._choice.setCurrentIndex(self._choice.findData(Standing.RETIRED))
        self._why.setTabChangesFocus(True)
        self._why.setMaximumHeight(70)
        self._problem = words("problem")
        buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Save | QDialogButtonBox.StandardButton.Cancel
        )
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        car = reading.unit_name or "car not named"
        layout = QVBoxLayout(self)
        layout.addWidget(
            words("body", f"Reading of {reading.taken_at:%Y-%m-%d}, {car}: now {reading.standing}.")
        )
        layout.addLayout(form([[("&Make it", self._choice)], [("&Reason", self._why)]], 80))
        layout.addWidget(self._problem)
        layout.addWidget(buttons)

    @property
    def standing(self) -> Standing:
        """What the reading should count for."""
        return Standing(self._choice.currentData())

    @property
    def why(self) -> str:
        """The reason that was given."""
        return self._why.toPlainText().strip()

    def accept(self) -> None:
        """Close when a reason was given, otherwise ask for it."""
        if not self.why:
            self._problem.setText(WHY_MISSING)
            self._why.setFocus()
            return
        super().accept()
