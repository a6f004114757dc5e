"""A dialog with a form, and beside it in words what still stands against saving."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from knowngood.widgets import Card
from knowngood_refdata.errors import Conflict, StoreError
from knowngood_refdata.records import SourceKind

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from knowngood_specs.core.form import Problem

Entry = QLineEdit | QComboBox | QPlainTextEdit
"""What a form can be filled in with."""

EntryKind = TypeVar("EntryKind", QLineEdit, QComboBox, QPlainTextEdit)

COMPLETE = "Everything needed is here."
KEPT = "What you type is kept when you close this dialog. Nothing is stored before you press {}."


class FormDialog(QDialog):
    """The frame of a form: entries by name, notes beside it, Save, Discard and Cancel.

    A subclass adds its entries with `entry`, then calls `begin`; it answers `check`, `echo` and `store`.

    Attributes
    ----------
    discarded
        True when the reader chose to throw away what was typed.
    refused
        True when the library refused to store: what is shown may no longer be what it holds.
    """

    def __init__(
        self, title: str, keep: Callable[[dict[str, str]], None], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.discarded = False
        self.refused = False
        self._keep = keep
        self._tried = False
        self._filling = False
        self._entries: dict[str, Entry] = {}
        self.form = QHBoxLayout()
        self._notes, self._echo, self._trouble = QLabel(), QLabel(), QLabel()
        self._trouble.setObjectName("problem")
        self.after_trouble = QVBoxLayout()
        for label in (self._notes, self._echo, self._trouble):
            label.setWordWrap(True)
            label.setTextFormat(Qt.TextFormat.PlainText)
        self._card = Card("Before it can be saved")
        self._lay_out()

    def check(self) -> Sequence[Problem]:
        """What stands against saving the form as it is."""
        raise NotImplementedError

    def echo(self) -> str:
        """How what was typed is understood."""
        raise NotImplementedError

    def store(self) -> None:
        """Save the form. Raises a `StoreError` or ValueError with words when nothing was saved."""
        raise NotImplementedError

    def met_conflict(self, error: Conflict) -> str:
        """What to say when someone else changed the record since it was opened."""
        return f"{error} What you typed is still here."

    def entry(self, name: str, widget: EntryKind) -> EntryKind:
        """Register an entry under the name that its problems carry."""
        self._entries[name] = widget
        if isinstance(widget, QComboBox):
            widget.currentTextChanged.connect(self._edited)
        else:
            widget.textChanged.connect(self._edited)
        return widget

    def entries(self) -> dict[str, str]:
        """Everything as typed, by the names of the entries."""
        return {name: _text(widget) for name, widget in self._entries.items()}

    def name_button(self, text: str) -> None:
        """Say on the button what it does."""
        self.save_button.setText(text)
        self._kept.setText(KEPT.format(text))

    def write(self, entries: Mapping[str, object]) -> None:
        """Fill in entries by name; those that the form does not have are left out."""
        for name, text in entries.items():
            if name in self._entries and isinstance(text, str):
                _write(self._entries[name], text)

    def begin(self, kept: Mapping[str, object] | None, on_record: Mapping[str, object] | None = None) -> None:
        """Fill in what is on record, then what was kept of an earlier attempt, and start to check.

        What is on record was not typed: it is not kept.
        """
        self._filling = True
        self.write(on_record or {})
        self._filling = False
        self.write(kept or {})
        self._discard.setVisible(bool(kept))
        self._show()

    def accept(self) -> None:
        """Save and close; stay open, with everything as typed, when that cannot be done."""
        self._tried = True
        problems = self._show()
        if problems:
            self._entries[problems[0].entry].setFocus()
            return
        try:
            self.store()
        except Conflict as error:
            self.refused = True
            self._trouble.setText(self.met_conflict(error))
            return
        except (StoreError, ValueError) as error:
            self.refused = True
            self._trouble.setText(f"{error} What you typed is still here.")
            return
        super().accept()

    def _lay_out(self) -> None:
        buttons = QDialogButtonBox()
        self.save_button: QPushButton = buttons.addButton("Save", QDialogButtonBox.ButtonRole.AcceptRole)
        self.save_button.setObjectName("main")
        buttons.addButton("Close", QDialogButtonBox.ButtonRole.RejectRole)
        self._discard = QPushButton("Discard what was typed")
        self._discard.setAutoDefault(False)
        self._discard.clicked.connect(self._throw_away)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        self._kept = QLabel()
        self._kept.setObjectName("quiet")
        self._kept.setWordWrap(True)
        self.name_button("Save")
        self._card.setFixedWidth(290)
        for widget in (self._echo, self._notes, self._trouble):
            self._card.body.addWidget(widget)
        self._card.body.addLayout(self.after_trouble)
        self._card.body.addStretch(1)
        self._card.body.addWidget(self._kept)
        page = QWidget()
        page.setObjectName("page")
        page.setLayout(self.form)
        self.form.setContentsMargins(0, 0, 0, 0)
        scroll = QScrollArea()
        # On a small or much enlarged screen the form scrolls and the buttons stay in sight.
        scroll.setWidgetResizable(True)
        scroll.setWidget(page)
        beside = QHBoxLayout()
        beside.setSpacing(16)
        beside.addWidget(scroll, stretch=1)
        beside.addWidget(self._card)
        below = QHBoxLayout()
        below.addWidget(self._discard)
        below.addWidget(buttons, stretch=1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(18, 16, 18, 16)
        layout.setSpacing(14)
        layout.addLayout(beside, stretch=1)
        layout.addLayout(below)

    def _edited(self) -> None:
        if self._filling:
            return
        self._keep(self.entries())
        self._discard.setVisible(True)
        self._trouble.clear()
        self._show()

    def _throw_away(self) -> None:
        self.discarded = True
        self.reject()

    def _show(self) -> Sequence[Problem]:
        order = list(self._entries)
        problems = sorted(self.check(), key=lambda one: order.index(one.entry))
        self._echo.setText(self.echo())
        self._echo.setVisible(bool(self._echo.text()))
        self._notes.setText("\n".join(f"\N{BULLET} {one.words}" for one in problems) or COMPLETE)
        wrong = {one.entry for one in problems}
        for name, widget in self._entries.items():
            # An entry that is only empty is not marked before the first try to save.
            _mark(widget, unfit=name in wrong and (self._tried or bool(_text(widget))))
        return problems


def form_part(title: str) -> tuple[Card, QFormLayout]:
    """A card of a form under a title, and where its lines go."""
    box = Card(title)
    form = QFormLayout()
    form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.ExpandingFieldsGrow)
    form.setVerticalSpacing(6)
    box.body.addLayout(form)
    box.body.addStretch(1)
    return box, form


def text_entry(hint: str = "", *, name: str) -> QLineEdit:
    """A line for a text; ``name`` is what a screen reader calls it."""
    line = QLineEdit()
    line.setPlaceholderText(hint)
    line.setAccessibleName(name)
    return line


def text_block(hint: str = "", *, name: str, lines: int = 3) -> QPlainTextEdit:
    """Some lines for a text; Tab leaves it as it leaves any entry."""
    block = QPlainTextEdit()
    block.setPlaceholderText(hint)
    block.setAccessibleName(name)
    block.setTabChangesFocus(True)
    block.setFixedHeight(block.fontMetrics().lineSpacing() * lines + 14)
    return block


def choice_entry(choices: Sequence[str], *, name: str) -> QComboBox:
    """A line that offers the usual texts and takes any other."""
    box = QComboBox()
    box.setEditable(True)
    box.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
    box.addItems(["", *map(str, choices)])
    box.setAccessibleName(name)
    _widen(box)
    return box


def source_entry() -> QComboBox:
    """The kind of source, none chosen to begin with."""
    box = QComboBox()
    box.addItem("choose", "")
    for kind in SourceKind:
        box.addItem(str(kind), str(kind))
    box.setAccessibleName("kind of source")
    _widen(box)
    return box


def _widen(box: QComboBox) -> None:
    box.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
    box.setMinimumContentsLength(8)
    box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)


def _text(widget: Entry) -> str:
    if isinstance(widget, QPlainTextEdit):
        return widget.toPlainText()
    if isinstance(widget, QLineEdit):
        return widget.text()
    return widget.currentText() if widget.isEditable() else str(widget.currentData() or "")


def _write(widget: Entry, text: str) -> None:
    if isinstance(widget, QPlainTextEdit):
        widget.setPlainText(text)
    elif isinstance(widget, QLineEdit):
        widget.setText(text)
    elif widget.isEditable():
        widget.setEditText(text)
    else:
        widget.setCurrentIndex(max(widget.findData(text), 0))


def _mark(widget: Entry, *, unfit: bool) -> None:
    if bool(widget.property("unfit")) != unfit:
        widget.setProperty("unfit", unfit)
        widget.style().unpolish(widget)
        widget.style().polish(widget)
