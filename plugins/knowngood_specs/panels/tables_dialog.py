"""Enter a published table, or correct one: the publication, its set-up, and what is printed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from knowngood.widgets import Card
from knowngood.widgets.form import words
from knowngood_refdata.errors import Conflict, StoreError
from knowngood_specs.core.tables.form import YES, read_form
from knowngood_specs.panels.form_dialog import KEPT
from knowngood_specs.panels.labels import column
from knowngood_specs.panels.named_fields import NamedFields
from knowngood_specs.panels.tables_blocks import BlocksCard, as_kept, from_kept
from knowngood_specs.panels.tables_fields import publication_fields, set_up_fields

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from knowngood.units import Units
    from knowngood_refdata.published.table import PerformanceTable
    from knowngood_specs.core.tables.form import Publication, ReadForm

COMPLETE = "Everything needed is here."
GENERIC_HINT = (
    "Generic: a general figure for many vehicles. It is marked wherever it is shown and never taken for data "
    "of this vehicle."
)
THEIRS = "Put the stored version into this form"


@dataclass(frozen=True, slots=True)
class TableEntry:
    """What a dialog begins with, and what it needs of its page.

    Attributes
    ----------
    title
        The window's title.
    kept
        An attempt kept from before, or a stored table as it would be typed; empty for a new table.
    began
        Whether ``kept`` is an attempt not saved yet.
    family
        The system family that a new table may be entered for; empty when there is none, or when whose
        table it is stands fast.
    save
        Saves table and publication, for the family or the vehicle. Raises a `StoreError` with words.
    keep
        Keeps the form as it stands.
    reload
        The form of the version now stored, for after a conflict.
    """

    title: str
    kept: Mapping[str, Any]
    began: bool
    family: str
    save: Callable[[PerformanceTable, Publication, bool], None]
    keep: Callable[[dict[str, Any]], None]
    reload: Callable[[], Mapping[str, Any]] | None = None


class TableDialog(QDialog):
    """Asks for a table and shows while one types how it is understood.

    Attributes
    ----------
    discarded
        True when the reader chose to throw away what was typed.
    """

    def __init__(self, entry: TableEntry, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(entry.title)
        self.discarded = False
        self._entry, self._units = entry, units
        self._filling = True
        self.fields: dict[str, QLineEdit | QComboBox] = {}
        self.generic = QCheckBox("&Generic")
        self.owner = QComboBox()
        self.blocks = BlocksCard()
        self._notes, self._doubts, self._trouble = words(""), words("quiet"), words("problem")
        self._discard = QPushButton("Discard what was typed")
        self._theirs = QPushButton(THEIRS)
        self._lay_out()
        self._connect()
        self._fill(entry.kept)
        self._discard.setVisible(entry.began)
        self._show()
        self.resize(QSize(1080, 680).boundedTo(self.screen().availableSize() - QSize(24, 48)))

    def form(self) -> dict[str, Any]:
        """Everything as typed, as a draft can hold it."""
        return {**self._entries(), "owner": self.owner.currentText(), "blocks": as_kept(self.blocks.blocks)}

    def read(self) -> ReadForm:
        """What the form says as it stands."""
        return read_form(self._entries(), self.blocks.blocks)

    def accept(self) -> None:
        """Save and close; stay open, with everything as typed, when that cannot be done."""
        read = self._show()
        if read.table is None or read.publication is None or not read.complete:
            self._lead_to(read.problems[0].entry)
            return
        try:
            self._entry.save(read.table, read.publication, self.owner.currentIndex() == 1)
        except (StoreError, ValueError) as error:
            self._trouble.setText(f"{error} What you typed is still here.")
            self._trouble.show()
            self._theirs.setVisible(isinstance(error, Conflict) and self._entry.reload is not None)
            return
        super().accept()

    def _entries(self) -> dict[str, str]:
        found = {name: _text(field) for name, field in self.fields.items()}
        return {**found, "generic": YES if self.generic.isChecked() else ""}

    def _fill(self, kept: Mapping[str, Any]) -> None:
        self._filling = True
        for name, field in self.fields.items():
            text = kept.get(name)
            if isinstance(text, str):
                _write(field, text)
        self.generic.setChecked(kept.get("generic") == YES)
        self.owner.setCurrentIndex(max(self.owner.findText(str(kept.get("owner", ""))), 0))
        self.blocks.set_blocks(from_kept(kept.get("blocks")))
        self._filling = False

    def _edited(self) -> None:
        if self._filling:
            return
        self._entry.keep(self.form())
        self._discard.show()
        self._trouble.hide()
        self._theirs.hide()
        self._show()

    def _show(self) -> ReadForm:
        read = self.read()
        self.blocks.show_read(read.blocks, self._units.system)
        self._notes.setText("\n".join(f"\N{BULLET} {one.words}" for one in read.problems) or COMPLETE)
        said = [f"\N{BULLET} {one[:1].upper()}{one[1:]}." for one in read.doubts]
        self._doubts.setText("\n".join(["Look again; it may stand so in print:", *said]) if said else "")
        self._doubts.setVisible(bool(said))
        return read

    def _lead_to(self, name: str) -> None:
        if name in self.fields:
            self.fields[name].setFocus()
        else:
            self.blocks.focus()

    def _throw_away(self) -> None:
        self.discarded = True
        self.reject()

    def _take_theirs(self) -> None:
        if self._entry.reload is None:
            return
        try:
            theirs = self._entry.reload()
        except StoreError as error:
            self._trouble.setText(str(error))
            return
        self._fill(theirs)
        self._edited()

    def _connect(self) -> None:
        for field in self.fields.values():
            signal = field.textChanged if isinstance(field, QLineEdit) else field.currentTextChanged
            signal.connect(lambda _text: self._edited())
        self.generic.toggled.connect(lambda _on: self._edited())
        self.owner.currentIndexChanged.connect(lambda _place: self._edited())
        self.blocks.edited.connect(self._edited)
        self._discard.clicked.connect(self._throw_away)
        self._theirs.clicked.connect(self._take_theirs)

    def _lay_out(self) -> None:
        form = QWidget()
        layout = column(form)
        for card in (self._publication_card(), self.blocks, self._set_up_card()):
            layout.addWidget(card)
        layout.addStretch(1)
        scroll = QScrollArea()
        # On a small or much enlarged screen the form scrolls and the buttons stay in sight.
        scroll.setWidgetResizable(True)
        scroll.setWidget(form)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        beside = QHBoxLayout()
        beside.setSpacing(16)
        beside.addWidget(scroll, stretch=1)
        beside.addWidget(self._notes_card())
        outer = QVBoxLayout(self)
        outer.setContentsMargins(18, 16, 18, 16)
        outer.setSpacing(14)
        outer.addLayout(beside, stretch=1)
        outer.addLayout(self._buttons())

    def _publication_card(self) -> Card:
        card = Card("The publication")
        pairs = publication_fields(self.fields)
        self.owner.addItem("this configuration")
        self.owner.setMinimumContentsLength(10)
        self.owner.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        if self._entry.family:
            self.owner.addItem(f"the system family {self._entry.family}")
            pairs.append(("Holds for", self.owner))
        card.body.addWidget(NamedFields(pairs, 290))
        card.body.addWidget(self.generic)
        card.body.addWidget(words("quiet", GENERIC_HINT))
        return card

    def _set_up_card(self) -> Card:
        card = Card("Its set-up", "as the publication prescribes it; leave empty what it does not say")
        card.body.addWidget(NamedFields(set_up_fields(self.fields), 290))
        return card

    def _notes_card(self) -> Card:
        card = Card("Before it can be saved")
        card.setFixedWidth(250)
        self._theirs.hide()
        for part in (self._notes, self._doubts, self._trouble, self._theirs):
            card.body.addWidget(part)
        card.body.addStretch(1)
        card.body.addWidget(words("quiet", KEPT))
        return card

    def _buttons(self) -> QHBoxLayout:
        buttons = QDialogButtonBox()
        save = buttons.addButton("Save", QDialogButtonBox.ButtonRole.AcceptRole)
        save.setObjectName("main")
        # Return ends a cell of the table; it must not save the whole form.
        close = buttons.addButton("Close", QDialogButtonBox.ButtonRole.RejectRole)
        for button in (save, close, self._discard, self._theirs):
            button.setAutoDefault(False)
            button.setDefault(False)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        below = QHBoxLayout()
        below.addWidget(self._discard)
        below.addWidget(buttons, stretch=1)
        return below


def _text(field: QLineEdit | QComboBox) -> str:
    if isinstance(field, QLineEdit):
        return field.text()
    return field.currentText() if field.isEditable() else str(field.currentData() or "")


def _write(field: QLineEdit | QComboBox, text: str) -> None:
    if isinstance(field, QLineEdit):
        field.setText(text)
        field.setCursorPosition(0)
    elif field.isEditable():
        field.setEditText(text)
    else:
        field.setCurrentIndex(max(field.findData(text), 0))
