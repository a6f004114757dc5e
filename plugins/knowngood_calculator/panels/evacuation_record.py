"""Where a vacuum record is pasted, typed or imported; what stands there outlives the program."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Signal
from PySide6.QtGui import QTextCursor
from PySide6.QtWidgets import (
    QComboBox,
    QFileDialog,
    QHBoxLayout,
    QPlainTextEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from knowngood.units import System
from knowngood.widgets.form import named, words
from knowngood_calculator.core.decay_file import record_text
from knowngood_calculator.core.decay_text import DecayUnreadable, read_decay

if TYPE_CHECKING:
    from knowngood.api import Host

DRAFT_KEY = "calculator.decay"
TIMES, PRESSURES = ("min", "s", "h"), ("micron", "Torr", "mbar", "Pa", "kPa")
USUAL_PRESSURE = {System.US: "micron", System.SI: "mbar"}
EXAMPLE = "time (min); pressure (micron)\n0; 320\n1; 355\n2; 380\n..."
FILES = "Records (*.csv *.txt *.tsv *.dat);;All files (*)"


class RecordInput(QWidget):
    """A text of two columns, and the units of columns that name none.

    Attributes
    ----------
    changed
        Signal without arguments: the text or a unit has changed.
    """

    changed = Signal()

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._host = host
        self.columns = QPlainTextEdit()
        self.times, self.pressures = QComboBox(), QComboBox()
        self.times.addItems(TIMES)
        self.pressures.addItems(PRESSURES)
        self.pressures.setCurrentText(USUAL_PRESSURE[host.units.system])
        self.open = QPushButton("&Import...")
        self.told = words("problem")
        self._lay_out()
        host.drafts.keep(DRAFT_KEY, self._snapshot, self._restore)
        self.columns.textChanged.connect(self._edited)
        for choice in (self.times, self.pressures):
            choice.currentIndexChanged.connect(self.changed)
        host.units.changed.connect(self._follow)
        self.open.clicked.connect(self._choose)

    @property
    def text(self) -> str:
        """What was pasted or typed."""
        return self.columns.toPlainText()

    @property
    def time_unit(self) -> str:
        """The unit of times that name none."""
        return self.times.currentText()

    @property
    def pressure_unit(self) -> str:
        """The unit of pressures that name none."""
        return self.pressures.currentText()

    def import_record(self, path: Path) -> None:
        """Put the text of a file in place of what stands here; one that holds no record changes nothing."""
        try:
            text = record_text(path)
            read_decay(text, time_unit=self.time_unit, pressure_unit=self.pressure_unit)
        except DecayUnreadable as error:
            kept = " What stands below was kept." if self.text else ""
            self._tell(f"Nothing was imported from {path.name}. {error}{kept}")
            return
        undo = " Ctrl+Z in the readings brings back what stood there." if self.text else ""
        # Written through a cursor, the text before can be had back.
        cursor = self.columns.textCursor()
        cursor.select(QTextCursor.SelectionType.Document)
        cursor.insertText(text)
        self._host.say(f"Imported {path.name}.{undo}")

    def _choose(self) -> None:
        name, _ = QFileDialog.getOpenFileName(self, "Import a vacuum record", "", FILES)
        if name:
            self.import_record(Path(name))

    def _follow(self) -> None:
        """Let the unit follow the unit system until something is entered; then it stays as it was meant."""
        if not self.text.strip():
            self.pressures.setCurrentText(USUAL_PRESSURE[self._host.units.system])

    def _edited(self) -> None:
        self._tell("")
        self.changed.emit()

    def _tell(self, problem: str) -> None:
        self.told.setText(problem)
        self.told.setVisible(bool(problem))

    def _snapshot(self) -> dict[str, Any] | None:
        if not self.text.strip():
            return None
        return {"text": self.text, "time": self.time_unit, "pressure": self.pressure_unit}

    def _restore(self, kept: dict[str, Any]) -> None:
        self.columns.setPlainText(str(kept["text"]))
        self.times.setCurrentText(str(kept["time"]))
        self.pressures.setCurrentText(str(kept["pressure"]))

    def _lay_out(self) -> None:
        self.columns.setPlaceholderText(EXAMPLE)
        self.columns.setTabChangesFocus(True)
        self.columns.setLineWrapMode(QPlainTextEdit.LineWrapMode.NoWrap)
        self.columns.setMinimumSize(150, 120)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(4)
        layout.addWidget(named("R&eadings", self.columns))
        layout.addWidget(self.columns, stretch=1)

    def bar(self) -> QHBoxLayout:
        """The row above the readings: what bare numbers mean, and the way to a file."""
        row = QHBoxLayout()
        row.setSpacing(8)
        for name, choice in (("Bare &times are in", self.times), ("&pressures in", self.pressures)):
            choice.setToolTip("Counts where the readings name no unit")
            row.addWidget(named(name, choice))
            row.addWidget(choice)
        row.addStretch(1)
        row.addWidget(self.open)
        return row
