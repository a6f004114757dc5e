"""Mend what the columns of a stored session mean: as stored, what changes, and why."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtWidgets import (
    QDialogButtonBox,
    QFormLayout,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from knowngood.widgets import Card
from knowngood.widgets.form import words
from knowngood_sessions.core.mapping.assignment import as_plain, from_plain
from knowngood_sessions.core.mapping.mapping_changes import changes
from knowngood_sessions.panels.leading_dialog import LeadingDialog
from knowngood_sessions.panels.mapping_frame import chain, lay_around
from knowngood_sessions.panels.mapping_sheet import MappingSheet
from knowngood_sessions.panels.scrolled import scrolled

if TYPE_CHECKING:
    from collections.abc import Mapping

    from knowngood.units import Units
    from knowngood_refdata.records import Conditions, Instruments, SessionInfo
    from knowngood_sessions.core.mapping.assignment import Assignment
    from knowngood_sessions.core.mapping.importing import Prepared

_UNCHANGED = "Nothing is changed yet: every column means what it meant when it was stored."
_FOLLOWS = (
    "All that was found is worked out anew. Windows set by hand and notes stay where they are; their values "
    "and conditions that the log recorded follow the columns. Parts that were cut out follow as well. "
    "Readings that were offered to the book stay as they are: look at them afterwards. "
    "The file itself is not touched."
)


class RemapDialog(LeadingDialog):
    """The columns of a stored session; *Mend* is possible once something is changed and a reason given.

    Parameters
    ----------
    prepared
        The session's file as read, under the mapping as stored.
    part
        The title of the part cut out of the session that was asked about, if it was one.
    """

    def __init__(
        self,
        info: SessionInfo,
        prepared: Prepared,
        units: Units,
        parent: QWidget | None = None,
        *,
        part: str = "",
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(f"Columns of {info.title}")
        self.info, self._stored = info, dict(prepared.mapping)
        about = f"{len(prepared.table.lines):,} rows of {info.source_name}, as they are understood now."
        if part:
            about += f" '{part}' was cut out of '{info.title}', whose columns these are."
        self.sheet = MappingSheet(prepared, units, about, self._around)
        self._changes, self._follows = words(""), words("quiet", _FOLLOWS)
        self._reason = QLineEdit()
        self._reason.setPlaceholderText("why the columns were wrong")
        self._reason.setAccessibleName("Reason")
        self._state = words("problem")
        self._buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self.mend_button = QPushButton("&Mend the session")
        self.mend_button.setObjectName("main")
        self.mend_button.setDefault(True)
        self._buttons.addButton(self.mend_button, QDialogButtonBox.ButtonRole.AcceptRole)
        self._lay_out()
        self._buttons.accepted.connect(self.accept)
        self._buttons.rejected.connect(self.reject)
        self.sheet.changed.connect(self._follow)
        self.sheet.form.question_list.answered.connect(lambda _: self.lead_on())
        self._reason.textChanged.connect(self._follow)
        self._follow()
        self.sheet.form.entries[0].setFocus()

    @property
    def mapping(self) -> Mapping[str, Assignment]:
        """What every column is taken for now."""
        return self.sheet.mapping

    @property
    def reason(self) -> str:
        """Why it is mended."""
        return self._reason.text().strip()

    @property
    def changes(self) -> tuple[str, ...]:
        """The columns that mean something else than stored, in words."""
        return changes(self._stored, self.mapping)

    def what_is_missing(self) -> str:
        """Why the session cannot be mended yet, in words; empty when it can."""
        if self.sheet.questions:
            count = len(self.sheet.questions)
            return "One question is open." if count == 1 else f"{count} questions are open."
        if not self.changes:
            return _UNCHANGED
        return "" if self.reason else "Say why: the reason is kept with the session."

    def lead_on(self) -> None:
        """Lead the keyboard to what is to be done next."""
        if self.sheet.form.question_list.focus_first():
            return
        if not self.changes:
            self.sheet.form.entries[0].setFocus()
        elif not self.reason:
            self._reason.setFocus()
        else:
            self.mend_button.setFocus()

    def snapshot(self) -> dict[str, Any]:
        """What was entered, for the drafts."""
        return {"session": self.info.id, "mapping": as_plain(self.mapping), "reason": self._reason.text()}

    def restore(self, kept: dict[str, Any]) -> None:
        """Enter again what `snapshot` took."""
        self.sheet.form.set_mapping(from_plain(kept["mapping"]))
        self._reason.setText(str(kept["reason"]))

    def _around(self) -> tuple[str, Conditions, Instruments]:
        return self.info.refrigerant, self.info.conditions, self.info.instruments

    def _follow(self) -> None:
        missing = self.what_is_missing()
        self._state.setText(missing)
        self.mend_button.setEnabled(not missing)
        self._changes.setText("\n".join(f"\N{BULLET} {one}" for one in self.changes))
        self._changes.setVisible(bool(self.changes))
        chain(
            [
                *self.sheet.tab_order(),
                self._reason,
                self.mend_button,
                self._buttons.button(QDialogButtonBox.StandardButton.Cancel),
            ]
        )

    def _lay_out(self) -> None:
        what = Card("What changes")
        inside = QWidget()
        both = QVBoxLayout(inside)
        both.setContentsMargins(0, 0, 0, 0)
        both.addWidget(self._changes)
        both.addWidget(self._follows)
        both.addStretch(1)
        what.body.addWidget(scrolled(inside, sideways=False))
        reason = QFormLayout()
        reason.addRow("&Reason", self._reason)
        what.body.addLayout(reason)
        foot = QHBoxLayout()
        foot.addWidget(self._state, stretch=1)
        foot.addWidget(self._buttons)
        lay_around(self, self.sheet, what, (1, 1), foot)
