"""The frame of the fleet's small forms: what is typed is kept until it is stored or thrown away."""

from __future__ import annotations

from functools import singledispatch
from typing import TYPE_CHECKING

from PySide6.QtCore import QDate, Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDateEdit,
    QDialog,
    QDialogButtonBox,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from knowngood.widgets.form import form, words
from knowngood_fleet.library import Refused
from knowngood_refdata.errors import StoreError

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import date

    from knowngood.api import Host

Field = QLineEdit | QComboBox | QDateEdit | QCheckBox


class EntryDialog(QDialog):
    """Named fields with Save and Cancel; a subclass answers `store`.

    Parameters
    ----------
    key
        Under which what was typed is kept when the dialog is closed without saving.
    stored
        Called after something was stored.
    """

    def __init__(self, host: Host, title: str, key: str, parent: QWidget, stored: Callable[[], None]) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle(title)
        self.host = host
        self._key = key
        self._stored = stored
        self._fields: dict[str, Field] = {}
        self._blank: dict[str, str] = {}
        self.problem = words("problem")
        self.problem.hide()
        self.column = QVBoxLayout(self)
        self.column.setSpacing(10)

    def store(self) -> None:
        """Store what the fields hold. Raises `Refused` in words when they make no sense."""
        raise NotImplementedError

    def lay_out(self, rows: Sequence[tuple[str, Field]], hint: str = "") -> None:
        """Place the fields by their names, then the hint and the buttons."""
        self._fields = {name.replace("&", ""): field for name, field in rows}
        self.column.addLayout(form([[row] for row in rows]))
        if hint:
            self.column.addWidget(words("quiet", hint))
        self.column.addWidget(self.problem)
        buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Save | QDialogButtonBox.StandardButton.Cancel
        )
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        self.column.addWidget(buttons)
        self.setMinimumWidth(460)
        self._blank = self.typed()
        self.host.drafts.keep(self._key, self._draft, self._restore)

    def typed(self) -> dict[str, str]:
        """What each field holds, by its name."""
        return {name: _text(field) for name, field in self._fields.items()}

    def accept(self) -> None:
        """Store and close; stay open with everything as typed when that cannot be done."""
        try:
            self.store()
        except (Refused, StoreError) as refused:
            self.problem.setText(str(refused))
            self.problem.show()
            return
        self._let_go(None)
        self.host.drafts.forget(self._key)
        super().accept()
        self._stored()

    def reject(self) -> None:
        """Close; what was typed is there again at the next opening."""
        draft = self._draft()
        self._let_go(draft)
        if draft is not None:
            self.host.say("What you typed is kept and will be there when you open this again.")
        super().reject()

    def _let_go(self, draft: dict[str, object] | None) -> None:
        # The dialog is deleted: what keeps drafts must not ask it any longer.
        self.host.drafts.keep(self._key, lambda: draft, lambda _draft: None)

    def _draft(self) -> dict[str, object] | None:
        now = self.typed()
        return None if now == self._blank else dict(now)

    def _restore(self, draft: dict[str, object]) -> None:
        for name, field in self._fields.items():
            if isinstance(kept := draft.get(name), str):
                _write(field, kept)


def day(field: QDateEdit) -> date:
    """The day in a date field."""
    return field.date().toPython()  # type: ignore[return-value]


def date_field() -> QDateEdit:
    """A field for a day, today at first."""
    field = QDateEdit(QDate.currentDate())
    field.setCalendarPopup(True)
    field.setDisplayFormat("d MMM yyyy")
    field.setMaximumDate(QDate.currentDate())
    return field


def number(field: QLineEdit, name: str) -> float | None:
    """The plain number in a field, None while it is empty.

    Raises
    ------
    Refused
        When it holds something else.
    """
    text = field.text().strip().replace(" ", "")
    if not text:
        return None
    try:
        found = float(text.replace(",", "."))
    except ValueError:
        found = float("nan")
    if not 0.0 <= found < float("inf"):
        raise Refused(f"{name}: '{text}' is no number of zero or more. Nothing was stored.")
    return found


@singledispatch
def _text(field: QWidget) -> str:
    raise NotImplementedError(field)


@_text.register
def _(field: QCheckBox) -> str:
    return "yes" if field.isChecked() else ""


@_text.register
def _(field: QLineEdit) -> str:
    return field.text()


@_text.register
def _(field: QComboBox) -> str:
    return field.currentText()


@_text.register
def _(field: QDateEdit) -> str:
    return str(field.date().toString(Qt.DateFormat.ISODate))


@singledispatch
def _write(field: QWidget, _text: str) -> None:
    raise NotImplementedError(field)


@_write.register
def _(field: QCheckBox, text: str) -> None:
    field.setChecked(text == "yes")


@_write.register
def _(field: QLineEdit, text: str) -> None:
    field.setText(text)


@_write.register
def _(field: QComboBox, text: str) -> None:
    field.setCurrentText(text)


@_write.register
def _(field: QDateEdit, text: str) -> None:
    field.setDate(QDate.fromString(text, Qt.DateFormat.ISODate))
