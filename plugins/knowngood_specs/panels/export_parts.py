"""What goes into an exchange file beside the vehicles with their values."""

from __future__ import annotations

from PySide6.QtWidgets import QCheckBox, QVBoxLayout, QWidget

from knowngood.widgets.form import words
from knowngood_refdata.exchange import What

_TOLD = (
    "An exchange file holds vehicles with all values, sources, decisions and published tables. Imported "
    "into an empty library it gives the same library again."
)


class ExchangeParts(QWidget):
    """A box for each part that can be left out."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.sessions = QCheckBox("Sessio&ns with their samples and log files")
        self.readings = QCheckBox("&Readings, known-good ones among them")
        self.pictures = QCheckBox("&Pictures")
        self.removed = QCheckBox("&Deleted records, so that they can be brought back")
        self.history = QCheckBox("&History: every change, by whom and why (of the whole library only)")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(words("quiet", _TOLD))
        for box in (self.sessions, self.readings, self.pictures, self.removed, self.history):
            box.setChecked(box in (self.sessions, self.readings, self.pictures))
            layout.addWidget(box)

    def set_whole(self, *, whole: bool) -> None:
        """Say whether the whole library is written: its history goes with nothing less."""
        self.history.setEnabled(whole)

    def what(self) -> What:
        """The parts chosen, of the whole library."""
        return What(
            sessions=self.sessions.isChecked(),
            readings=self.readings.isChecked(),
            pictures=self.pictures.isChecked(),
            removed=self.removed.isChecked(),
            history=self.history.isEnabled() and self.history.isChecked(),
        )
