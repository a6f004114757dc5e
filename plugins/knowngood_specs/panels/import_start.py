"""The first step of an import: which file, and the imports that were made before."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from knowngood.widgets import Card
from knowngood.widgets.form import words
from knowngood_specs.import_words import import_line
from knowngood_specs.panels.labels import link
from knowngood_specs.panels.reason_bar import ReasonBar
from knowngood_specs.panels.row_list import RowList

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.import_plan import ImportInfo

FILES = "Tables and exchange files (*.csv *.tsv *.txt *.xlsx *.xlsm *.xls *.ods *.json);;All files (*)"
_TAKEN = (
    "CSV, XLSX or ODS of any layout: you say what the columns are and see what would happen to each row "
    "before anything is stored. Exchange files (JSON) of this program are taken as they are."
)
_UNDONE = (
    "Everything an import added is taken back in one step. What was changed since, or stands under later "
    "work, is kept and named."
)


class StartStep(QWidget):
    """Asks for a file; lists earlier imports, each of which can be undone.

    Attributes
    ----------
    chosen
        Signal with the path of a file.
    resumed, forgotten
        Signals without arguments: go on with the import that was not finished, or forget it.
    undo
        Signal with the number of an import and the reason.
    """

    chosen = Signal(object)
    resumed = Signal()
    forgotten = Signal()
    undo = Signal(int, str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.choose_button, self.resume_button = QPushButton("Choose a &file..."), QPushButton()
        self.choose_button.setObjectName("main")
        self._forget = link("Forget it", self.forgotten.emit, "forget the import that was not finished")
        self.list = RowList("earlier imports")
        self.reason = ReasonBar("&Undo this import", "such as: wrong file")
        self.remark = words("problem")
        self._none = words("quiet", "No file was imported so far.")
        self._imports: tuple[ImportInfo, ...] = ()
        self._lay_out()
        self.choose_button.clicked.connect(self._ask)
        self.resume_button.clicked.connect(self.resumed)
        self.list.chosen.connect(self._follow)
        self.reason.decided.connect(self._undo)
        self.show_imports(())
        self.show_unfinished("")
        self.say("", problem=False)
        self.setFocusProxy(self.choose_button)

    def show_imports(self, imports: Sequence[ImportInfo]) -> None:
        """List the imports that were made, the latest first."""
        self._imports = tuple(imports)
        self.list.show_rows([import_line(one) for one in self._imports])
        self._none.setVisible(not self._imports)
        for widget in (self.list, self.reason):
            widget.setVisible(bool(self._imports))

    def show_unfinished(self, name: str) -> None:
        """Offer to go on with a file whose import was not finished; empty when there is none."""
        self.resume_button.setText(f"Go &on with {name}".replace("&&", "&"))
        for widget in (self.resume_button, self._forget):
            widget.setVisible(bool(name))

    def say(self, text: str, *, problem: bool) -> None:
        """Say what happened."""
        self.remark.setObjectName("problem" if problem else "")
        self.remark.style().unpolish(self.remark)
        self.remark.style().polish(self.remark)
        self.remark.setText(text)
        self.remark.setVisible(bool(text))

    def _lay_out(self) -> None:
        card = Card("Bring in a file", _TAKEN)
        buttons = QHBoxLayout()
        for button in (self.choose_button, self.resume_button, self._forget):
            button.setAutoDefault(False)
            buttons.addWidget(button)
        buttons.addStretch(1)
        card.body.addLayout(buttons)
        card.body.addWidget(self.remark)
        earlier = Card("Earlier imports", _UNDONE)
        earlier.body.addWidget(self._none)
        earlier.body.addWidget(self.list, stretch=10)
        earlier.body.addStretch(1)
        earlier.body.addWidget(self.reason)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(14)
        layout.addWidget(card)
        layout.addWidget(earlier, stretch=1)

    def _ask(self) -> None:
        name, _ = QFileDialog.getOpenFileName(self, "Import", "", FILES)
        if name:
            self.chosen.emit(Path(name))

    def _follow(self, row: int) -> None:
        stands = 0 <= row < len(self._imports) and self._imports[row].undone_at is None
        self.reason.set_able(able=stands)

    def _undo(self, why: str) -> None:
        row = self.list.current
        if 0 <= row < len(self._imports):
            self.undo.emit(self._imports[row].id, why)
            self.reason.line.clear()
