"""The fields that the shop has added to those every record has."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QDialog, QDialogButtonBox, QHBoxLayout, QListWidget, QPushButton, QVBoxLayout

from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import shop_fields
from knowngood_specs.panels.field_form_dialog import FieldFormDialog
from knowngood_specs.panels.labels import plain
from knowngood_specs.panels.reason_dialog import ReasonDialog
from knowngood_specs.panels.unsaved import Unsaved
from knowngood_specs.shop_field_form import WORDS

if TYPE_CHECKING:
    from collections.abc import Callable

    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_refdata.queries.shop_fields import ShopField, ShopFieldDraft
    from knowngood_specs.panels.form_dialog import FormDialog

KEY = "specs fields"
WORDS_ABOVE = (
    "Fields that every record of this library offers besides the usual ones. Removing a field keeps the "
    "values entered in it; adding it again under its title brings it back."
)
NONE_YET = "No field was added yet."


class FieldsDialog(QDialog):
    """Adds, changes and removes fields; forms that were begun wait until they are saved or discarded."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Fields of this shop")
        self._host = host
        # What an earlier window kept is brought back from the drafts, so they must be up to date.
        host.drafts.save()
        self._unsaved = Unsaved(host, KEY)
        self._fields: tuple[ShopField, ...] = ()
        self.list, self._told = QListWidget(), plain("", "problem")
        self._empty = plain(NONE_YET, "quiet")
        self.list.setAccessibleName("fields of this shop")
        self.add_button, self.change_button = QPushButton("Add field..."), QPushButton("Change...")
        self.remove_button = QPushButton("Remove...")
        self._lay_out()
        self.refresh()

    def refresh(self) -> None:
        """Show the fields anew."""
        try:
            self._fields = shop_fields.shop_fields(self._host.store)
        except StoreError as error:
            self._told.setText(str(error))
            return
        row = self.list.currentRow()
        self.list.clear()
        self.list.addItems([f"{one.title}  ({one.section}, {one.kind or WORDS})" for one in self._fields])
        self.list.setCurrentRow(min(max(row, 0), len(self._fields) - 1))
        self._told.setText("")
        self._empty.setVisible(not self._fields)
        for button in (self.change_button, self.remove_button):
            button.setEnabled(bool(self._fields))

    def add(self) -> None:
        """Ask for a new field."""

        def save(draft: ShopFieldDraft, _version: int, _why: str) -> None:
            shop_fields.define_field(self._host.store, draft)

        self._form("new", None, save)

    def change(self) -> None:
        """Ask for changes to the chosen field."""
        if (field := self._chosen()) is None:
            return

        def save(draft: ShopFieldDraft, version: int, why: str) -> None:
            shop_fields.edit_field(self._host.store, field.id, version, draft, why)

        self._form(f"change {field.id}", field, save)

    def remove(self) -> None:
        """Ask why the chosen field is offered no more."""
        if (field := self._chosen()) is None:
            return
        name = f"remove {field.id}"
        done: list[int] = []

        def act(why: str) -> None:
            shop_fields.remove_field(self._host.store, field.id, field.version, why)
            done.append(field.id)

        words = f"{field.title} will no longer be offered. The values entered in it stay on record."
        dialog = ReasonDialog(
            "Remove a field", words, "Remove it", act, self._keep(name), self._unsaved.get(name), self
        )
        self._run(dialog, name, done)

    def _form(
        self, name: str, field: ShopField | None, save: Callable[[ShopFieldDraft, int, str], None]
    ) -> None:
        done: list[int] = []

        def act(draft: ShopFieldDraft, version: int, why: str) -> None:
            save(draft, version, why)
            done.append(1)

        dialog = FieldFormDialog(
            field,
            lambda: shop_fields.shop_fields(self._host.store),
            act,
            self._keep(name),
            self._unsaved.get(name),
            self,
        )
        self._run(dialog, name, done)

    def _run(self, dialog: FormDialog, name: str, done: list[int]) -> None:
        dialog.exec()
        if done or dialog.discarded:
            self._unsaved.drop(name)
        dialog.deleteLater()
        self.refresh()

    def _chosen(self) -> ShopField | None:
        row = self.list.currentRow()
        return self._fields[row] if 0 <= row < len(self._fields) else None

    def _keep(self, name: str) -> Callable[[dict[str, str]], None]:
        return lambda entries: self._unsaved.put(name, entries)

    def _lay_out(self) -> None:
        buttons = QHBoxLayout()
        for button, act in (
            (self.add_button, self.add),
            (self.change_button, self.change),
            (self.remove_button, self.remove),
        ):
            button.setAutoDefault(False)
            button.clicked.connect(act)
            buttons.addWidget(button)
        buttons.addStretch(1)
        close = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        close.rejected.connect(self.reject)
        buttons.addWidget(close)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(18, 16, 18, 16)
        layout.setSpacing(12)
        layout.addWidget(plain(WORDS_ABOVE, "quiet"))
        layout.addWidget(self.list, stretch=1)
        layout.addWidget(self._empty)
        layout.addWidget(self._told)
        layout.addLayout(buttons)
        self.resize(620, 420)
