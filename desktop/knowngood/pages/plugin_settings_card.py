"""The settings of one plugin on the Settings page."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from knowngood.bringing import Setting, SettingKind
from knowngood.loader.own_settings import value_of, wrong
from knowngood.pages.plugin_card import plain, quiet
from knowngood.widgets import Card

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

Tell = Callable[[object], bool]
"""Takes what was entered, says whether it was kept."""


class PluginSettingsCard(Card):
    """Under the plugin's name a field a setting; every change is kept at once.

    Attributes
    ----------
    changed
        Signal with the plugin's name, the key and the new value.
    """

    changed = Signal(str, str, object)

    def __init__(
        self,
        plugin: str,
        settings: Sequence[Setting],
        kept: Mapping[str, object],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(plugin.replace("_", " ").capitalize(), f"Settings of the plugin '{plugin}'.", parent)
        self._plugin = plugin
        form = QFormLayout()
        form.setVerticalSpacing(14)
        form.setHorizontalSpacing(18)
        for one in settings:
            self._add_row(form, one, value_of(one, kept))
        self.body.addLayout(form)

    def _add_row(self, form: QFormLayout, setting: Setting, value: str | float | bool) -> None:
        said = plain("")
        said.setObjectName("problem")
        said.hide()

        def tell(entered: object) -> bool:
            what = wrong(setting, entered)
            said.setText(f"{what[:1].upper()}{what[1:]}; the former value holds." if what else "")
            said.setVisible(bool(what))
            if not what:
                self.changed.emit(self._plugin, setting.key, entered)
            return not what

        field = _FIELDS[setting.kind](setting, value, tell)
        field.setAccessibleName(setting.title)
        line = QHBoxLayout()
        line.addWidget(field)
        if setting.unit:
            line.addWidget(quiet(setting.unit))
            line.addStretch(1)
        box = QVBoxLayout()
        box.setSpacing(3)
        box.addLayout(line)
        if setting.help:
            box.addWidget(quiet(setting.help))
        box.addWidget(said)
        label = QLabel(setting.title.replace("&", "&&"))
        label.setTextFormat(Qt.TextFormat.PlainText)
        label.setBuddy(field)
        form.addRow(label, box)


def _text(_setting: Setting, value: str | float | bool, tell: Tell) -> QWidget:
    field = QLineEdit(str(value))
    field.editingFinished.connect(lambda: tell(field.text().strip()))
    return field


def _number(_setting: Setting, value: str | float | bool, tell: Tell) -> QWidget:
    field = QLineEdit(f"{value:g}" if isinstance(value, float) else str(value))
    field.setMaximumWidth(140)
    field.editingFinished.connect(lambda: tell(_read(field.text())))
    return field


def _read(text: str) -> object:
    try:
        return float(text.strip().replace(",", "."))
    except ValueError:
        return text


def _yes_no(_setting: Setting, value: str | float | bool, tell: Tell) -> QWidget:
    field = QCheckBox()
    field.setChecked(bool(value))
    field.toggled.connect(lambda on: tell(bool(on)))
    return field


def _choice(setting: Setting, value: str | float | bool, tell: Tell) -> QWidget:
    field = QComboBox()
    field.addItems(list(setting.choices))
    field.setCurrentText(str(value))
    field.textActivated.connect(lambda text: tell(text))
    return field


_FIELDS: dict[SettingKind, Callable[[Setting, str | float | bool, Tell], QWidget]] = {
    SettingKind.TEXT: _text,
    SettingKind.NUMBER: _number,
    SettingKind.YES_NO: _yes_no,
    SettingKind.CHOICE: _choice,
}
