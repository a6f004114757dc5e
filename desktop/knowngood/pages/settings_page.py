"""The settings: who works here, in which units, on which library."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox, QFormLayout, QLabel, QLineEdit, QPlainTextEdit, QVBoxLayout, QWidget

from knowngood.host import user_name
from knowngood.scales import System
from knowngood.topbar import NAMES
from knowngood.widgets import Card

if TYPE_CHECKING:
    from knowngood.settings import SettingsFile
    from knowngood.units import Units


class SettingsPage(QWidget):
    """Every change is kept at once; there is no button to forget."""

    def __init__(
        self, settings: SettingsFile, units: Units, place: str, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setObjectName("page")
        self._settings, self._units = settings, units
        self._user = QLineEdit(settings.now.user)
        self._user.setPlaceholderText(user_name(settings.now))
        self._user.editingFinished.connect(lambda: settings.change(user=self._user.text().strip()))
        self._shop = QPlainTextEdit(settings.now.shop)
        self._shop.setTabChangesFocus(True)
        self._shop.setMaximumHeight(80)
        self._shop.textChanged.connect(lambda: settings.change(shop=self._shop.toPlainText()))
        self._system = QComboBox()
        for system in System:
            self._system.addItem(NAMES[system], system)
        self._system.activated.connect(lambda: units.set_system(self._system.currentData()))
        self._library = QLineEdit(settings.now.library)
        self._library.setPlaceholderText(
            "a file, or a database address such as postgresql://office/knowngood"
        )
        self._library.editingFinished.connect(lambda: settings.change(library=self._library.text().strip()))
        units.changed.connect(self._follow)
        self._follow()
        self._lay_out(place)

    def _lay_out(self, place: str) -> None:
        form = QFormLayout()
        form.addRow("Your name", self._user)
        form.addRow(
            "", _quiet("Stands behind every entry and every decision about a reading, from the next start.")
        )
        form.addRow("Shop", self._shop)
        form.addRow("", _quiet("The head of a report: name, address, certificate number."))
        form.addRow("Units", self._system)
        form.addRow("Library", self._library)
        form.addRow("", _quiet(f"Open now: {place}. Another one is opened at the next start."))
        card = Card("Settings")
        card.body.addLayout(form)
        card.setMaximumWidth(760)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 18, 20, 18)
        layout.addWidget(card)
        layout.addStretch(1)

    def _follow(self) -> None:
        self._system.setCurrentIndex(self._system.findData(self._units.system))


def _quiet(text: str) -> QLabel:
    label = QLabel(text)
    label.setObjectName("quiet")
    label.setWordWrap(True)
    return label
