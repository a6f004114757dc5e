"""What was deleted, the latest first, and how to bring it back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QDialog, QHBoxLayout, QVBoxLayout

from knowngood.widgets.room import open_at
from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import history, undo
from knowngood_specs.list_words import DOT
from knowngood_specs.panels.labels import close_button, plain
from knowngood_specs.panels.reason_bar import ReasonBar
from knowngood_specs.panels.row_list import RowList

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_refdata.queries.history import DeletedRecord

NOTHING = "Nothing was deleted that could be brought back."
WHAT_HAPPENS = "What was deleted together, as by a merge, is brought back together."


class DeletedDialog(QDialog):
    """Lists what was deleted and brings one after the other back.

    Attributes
    ----------
    brought_back
        The id of the vehicle that something was last brought back for, None when nothing was.
    """

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Deleted")
        self.brought_back: int | None = None
        self._host = host
        self._records: tuple[DeletedRecord, ...] = ()
        self.list = RowList("what was deleted")
        self.reason = ReasonBar("&Bring back", "deleted by mistake")
        self._words, self._trouble = plain(), plain(name="problem")
        self.reason.decided.connect(self._bring_back)
        below = QHBoxLayout()
        below.addWidget(self.reason, stretch=1)
        below.addWidget(close_button(self))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(18, 16, 18, 16)
        layout.setSpacing(12)
        layout.addWidget(self._words)
        layout.addWidget(self.list, stretch=1)
        layout.addWidget(self._trouble)
        layout.addLayout(below)
        self._load()
        open_at(self, 760, 520)

    def _load(self) -> None:
        self._say("")
        try:
            self._records = history.deleted(self._host.store)
        except StoreError as error:
            self._say(str(error))
        self._words.setText(WHAT_HAPPENS if self._records else NOTHING)
        self.list.show_rows([_row(one) for one in self._records], self.list.current)
        self.reason.set_able(able=bool(self._records))

    def _bring_back(self, why: str) -> None:
        record = self._records[self.list.current]
        try:
            undo.undo(self._host.store, record.change_id, why)
        except (StoreError, ValueError) as error:
            self._say(str(error))
            return
        self.brought_back = record.vehicle_id
        self._host.say(f"{record.subject} was brought back.")
        self._load()

    def _say(self, trouble: str) -> None:
        self._trouble.setText(trouble)
        self._trouble.setVisible(bool(trouble))


def _row(record: DeletedRecord) -> tuple[str, str]:
    of = "" if record.kind == "vehicle" else f"of {record.vehicle}"
    who = f"by {record.who}" if record.who else ""
    when = f"deleted {record.at.astimezone():%Y-%m-%d %H:%M} {who}".strip()
    return f"{record.kind}: {record.subject}", DOT.join(one for one in (of, when, record.why) if one)
