"""Asks before a session is removed, and lists what was removed so that it can be brought back."""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QDialogButtonBox,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from knowngood.widgets.form import words
from knowngood.widgets.grid import Grid
from knowngood_sessions.removal_words import parts_words, what_goes

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.queries.history import DeletedRecord
    from knowngood_refdata.queries.session_removal import Belongings, Removal

_ASKED_PX, _MARGIN_PX = 520, 14
_LISTED_PX = (760, 380)
_HEADS = ("Session", "Removed", "By", "Why")
_WIDTHS_PX = (260, 130, 120)
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter


class RemoveDialog(QDialog):
    """Says what goes and what stays; nothing is removed without a reason."""

    def __init__(self, asked: Removal, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.asked = asked
        self.setWindowTitle(f"Remove {asked.whole.session.title}")
        self.told = words("")
        self.parts = QCheckBox(parts_words(asked).replace("&", "&&"))
        self.parts.setVisible(bool(asked.parts))
        self.why = QLineEdit()
        self.why.setPlaceholderText("Why: recorded on another car, sensors swapped ...")
        self.why.setAccessibleName("Why the session is removed")
        self.problem = words("problem")
        self.problem.hide()
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        buttons.addButton("Remove", QDialogButtonBox.ButtonRole.AcceptRole)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(*[_MARGIN_PX] * 4)
        layout.setSpacing(_MARGIN_PX - 2)
        for one in (self.told, self.parts, self.why, self.problem, buttons):
            layout.addWidget(one)
        self.setMinimumWidth(_ASKED_PX)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        self.parts.toggled.connect(self._tell)
        self._tell()
        self.why.setFocus()

    @property
    def chosen(self) -> tuple[Belongings, ...]:
        """The sessions that are to be removed."""
        parts = self.asked.parts if self.parts.isChecked() else ()
        return (self.asked.whole, *parts)

    def accept(self) -> None:
        """Close when there is a reason."""
        if self.why.text().strip():
            super().accept()
            return
        self.problem.setText("A session is removed only with a reason. Say why.")
        self.problem.show()
        self.why.setFocus()

    def _tell(self) -> None:
        self.told.setText(what_goes(self.asked, self.chosen))
        # A label that wraps asks for too little room when its words become more.
        width = max(self.width(), _ASKED_PX) - 2 * _MARGIN_PX
        self.told.setMinimumHeight(self.told.heightForWidth(width))
        self.adjustSize()


class RemovedDialog(QDialog):
    """The removed sessions of a vehicle, the latest removed first.

    Attributes
    ----------
    wanted
        Signal with the `DeletedRecord` of the session that is to be brought back.
    """

    wanted = Signal(object)

    def __init__(self, records: Sequence[DeletedRecord], vehicle: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(f"Removed sessions of {vehicle}")
        self._records = tuple(records)
        self.table = Grid("Removed sessions", words_first=True)
        self.table.write(_HEADS, [_row(one) for one in records])
        header = self.table.horizontalHeader()
        header.setSectionResizeMode(header.ResizeMode.Interactive)
        header.setStretchLastSection(True)
        header.setDefaultAlignment(_LEFT)
        for row, column in product(range(len(self._records)), range(len(_HEADS))):
            for item in (self.table.item(row, column), self.table.horizontalHeaderItem(column)):
                if item is not None:
                    item.setTextAlignment(_LEFT)
        for column, width in enumerate(_WIDTHS_PX):
            self.table.setColumnWidth(column, width)
        self.bring_back = QPushButton("Bring it back")
        self.bring_back.setEnabled(bool(records))
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.addButton(self.bring_back, QDialogButtonBox.ButtonRole.ActionRole)
        told = "What was removed together comes back together." if records else "No session was removed."
        layout = QVBoxLayout(self)
        layout.addWidget(words("quiet", told))
        layout.addWidget(self.table, stretch=1)
        layout.addWidget(buttons)
        self.resize(*_LISTED_PX)
        buttons.rejected.connect(self.reject)
        self.bring_back.clicked.connect(self._ask)
        if records:
            self.table.setCurrentCell(0, 0)

    def _ask(self) -> None:
        row = self.table.currentRow()
        if 0 <= row < len(self._records):
            self.wanted.emit(self._records[row])
            self.accept()


def _row(record: DeletedRecord) -> tuple[str, ...]:
    return record.subject, f"{record.at.astimezone():%Y-%m-%d %H:%M}", record.who, record.why
