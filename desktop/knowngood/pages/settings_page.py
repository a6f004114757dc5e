"""The settings: who works here, in which units, on which library."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QComboBox,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from knowngood.host import user_name
from knowngood.pages.plugin_settings_card import PluginSettingsCard
from knowngood.scales import System
from knowngood.topbar import NAMES
from knowngood.widgets import Card

if TYPE_CHECKING:
    from PySide6.QtGui import QShowEvent

    from knowngood.bringing import Setting
    from knowngood.loader import Plugins
    from knowngood.settings import SettingsFile
    from knowngood.units import Units


class SettingsPage(QWidget):
    """Every change is kept at once; there is no button to forget.

    Attributes
    ----------
    renamed
        Signal with the name under which work is to be recorded from now on.
    """

    renamed = Signal(str)

    def __init__(
        self,
        settings: SettingsFile,
        units: Units,
        place: str,
        plugins: Plugins | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._plugins = plugins
        self._cards = QVBoxLayout()
        self._cards.setSpacing(14)
        self._shown: dict[str, tuple[Setting, ...]] = {}
        self.setObjectName("page")
        self._settings, self._units = settings, units
        self._user = QLineEdit(settings.now.user)
        self._user.setPlaceholderText(user_name(settings.now))
        self._user.editingFinished.connect(self._rename)
        self._first = QLabel(
            "Begin with your name: it stands behind every entry and every decision about a reading."
        )
        self._first.setObjectName("notice")
        self._first.setWordWrap(True)
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
        form.setVerticalSpacing(14)
        form.setHorizontalSpacing(18)
        choose = QPushButton("Choose...")
        choose.clicked.connect(self._choose_library)
        rows: tuple[tuple[str, QWidget, str], ...] = (
            (
                "Your &name",
                self._user,
                "Stands behind every entry and every decision about a reading from now on.",
            ),
            ("&Shop", self._shop, "The head of a report: name, address, certificate number."),
            ("&Units", self._system, "The switch at the top right does the same."),
            ("&Library", self._library, f"Open now: {place}. Another one is opened at the next start."),
        )
        for title, field, hint in rows:
            _add_row(form, title, field, hint, choose if field is self._library else None)
        card = Card("Settings", "Every change is kept at once.")
        card.body.addWidget(self._first)
        card.body.addLayout(form)
        card.setMaximumWidth(760)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 18, 20, 18)
        layout.setSpacing(14)
        layout.addWidget(card)
        layout.addLayout(self._cards)
        layout.addStretch(1)

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Show the settings of the plugins that are there now."""
        self._show_plugins()
        super().showEvent(event)

    def _show_plugins(self) -> None:
        brought = {} if self._plugins is None else self._plugins.settings()
        if brought == self._shown:
            return
        self._shown = brought
        while (item := self._cards.takeAt(0)) is not None:
            if (former := item.widget()) is not None:
                former.hide()
                former.deleteLater()
        for name, found in brought.items():
            card = PluginSettingsCard(name, found, self._settings.of_plugin(name))
            card.changed.connect(self._settings.change_of_plugin)
            card.setMaximumWidth(760)
            self._cards.addWidget(card)

    def _choose_library(self) -> None:
        chosen, _ = QFileDialog.getOpenFileName(
            self, "The library to open at the next start", self._library.text(), "Libraries (*.sqlite)"
        )
        if chosen:
            self._library.setText(chosen)
            self._settings.change(library=chosen)

    def _rename(self) -> None:
        name = self._user.text().strip()
        if name != self._settings.now.user:
            self.renamed.emit(name)
        self._follow()

    def _follow(self) -> None:
        self._first.setVisible(not self._settings.now.user)
        self._system.setCurrentIndex(self._system.findData(self._units.system))


def _add_row(form: QFormLayout, title: str, field: QWidget, hint: str, button: QWidget | None) -> None:
    line = QHBoxLayout()
    line.addWidget(field)
    if button is not None:
        line.addWidget(button)
    box = QVBoxLayout()
    box.setSpacing(3)
    box.addLayout(line)
    box.addWidget(_quiet(hint))
    label = QLabel(title)
    label.setBuddy(field)
    form.addRow(label, box)


def _quiet(text: str) -> QLabel:
    label = QLabel(text)
    label.setObjectName("quiet")
    label.setWordWrap(True)
    return label
