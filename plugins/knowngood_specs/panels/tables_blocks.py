"""The printed blocks of a table: typed into cells or pasted as text, with how each is understood."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Signal
from PySide6.QtGui import QFontDatabase
from PySide6.QtWidgets import (
    QCheckBox,
    QHBoxLayout,
    QLineEdit,
    QPlainTextEdit,
    QStackedWidget,
    QTabBar,
    QWidget,
)

from knowngood.widgets import Card
from knowngood.widgets.form import words
from knowngood.widgets.grid import Grid
from knowngood_specs.core.tables.blocks import BlockForm
from knowngood_specs.core.tables.limits import EXAMPLE
from knowngood_specs.panels.labels import link
from knowngood_specs.panels.named_fields import NamedFields
from knowngood_specs.panels.tables_cells import CellsEdit
from knowngood_specs.table_words import converted, understood

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood.units import System
    from knowngood_specs.core.tables.blocks import ReadBlock

HOW = (
    "Headings first, each with its unit (Ambient °C, High side psig, Vent °F, RH %), then the rows as they "
    "are printed: 120-190, max 12, >16. Cells of a spreadsheet can be pasted with Ctrl+V. Two variables "
    "crosswise: say what the cells hold in a line of its own, then the corner as RH % \\ Intake °C. A chart: "
    "the points read off it under Intake °C, Lower vent °C, Upper vent °C."
)
EXAMPLE_TEXT = "Ambient °C | High side psig | Low side psig\n21 | 120-190 | 10-20"
AS_TEXT, AS_CELLS = "Show it as text", "Show it as cells"


class BlocksCard(Card):
    """One editor for whichever block is chosen on the bar above it.

    Attributes
    ----------
    edited
        Signal without arguments: ask `blocks`.
    """

    edited = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("What is printed", HOW, parent)
        self._blocks: list[BlockForm] = [BlockForm()]
        self._read: tuple[ReadBlock, ...] = ()
        self._system: System | None = None
        self._filling = False
        self._bar = QTabBar()
        self._bar.setObjectName("sections")
        self._bar.setDrawBase(False)
        self._bar.setExpanding(False)
        self._bar.setAccessibleName("Blocks of the table")
        self.cells, self.text = CellsEdit(), QPlainTextEdit()
        self.name, self.limits, self.fault = QLineEdit(), QLineEdit(), QLineEdit()
        self.at_rest, self.wider = QCheckBox("for a system at rest"), QCheckBox("second, wider table")
        self._switch = link(AS_TEXT, self._change_look)
        self._add = link("Add a block", self._add_block)
        self._remove = link("Remove this block", self._remove_block)
        self._words, self._wrong, self._preview = words("quiet"), words("problem"), Grid("As understood")
        self._editors = QStackedWidget()
        self._lay_out()
        self._connect()
        self._show_block()

    @property
    def blocks(self) -> tuple[BlockForm, ...]:
        """The blocks as typed."""
        return tuple(self._blocks)

    def set_blocks(self, blocks: Sequence[BlockForm]) -> None:
        """Show other blocks."""
        self._blocks = list(blocks) or [BlockForm()]
        self._filling = True
        while self._bar.count():
            self._bar.removeTab(0)
        for number, _ in enumerate(self._blocks, 1):
            self._bar.addTab(f"Block {number}")
        self._filling = False
        self._show_block()

    def show_read(self, read: Sequence[ReadBlock], system: System) -> None:
        """Show how the blocks are understood, in the units of a system."""
        self._read, self._system = tuple(read), system
        self._show_understood()

    def focus(self) -> None:
        """Lead to where the first block with a problem is typed."""
        wrong = next((number for number, one in enumerate(self._read) if one.problems), 0)
        self._bar.setCurrentIndex(wrong)
        self._focus_editor()

    def _focus_editor(self) -> None:
        (self.cells if self._editors.currentIndex() == 0 else self.text).setFocus()

    @property
    def _place(self) -> int:
        return max(self._bar.currentIndex(), 0)

    def _show_block(self) -> None:
        if self._filling:
            return
        block = self._blocks[self._place]
        self._filling = True
        self.cells.set_text(block.text)
        self.text.setPlainText(block.text)
        for line, words_ in ((self.name, block.name), (self.limits, block.limits), (self.fault, block.fault)):
            line.setText(words_)
        self.at_rest.setChecked(block.at_rest)
        self.wider.setChecked(block.wider)
        self._filling = False
        several = len(self._blocks) > 1
        self._bar.setVisible(several)
        self._remove.setVisible(several)
        self._show_understood()

    def _show_understood(self) -> None:
        read = self._read[self._place] if self._place < len(self._read) else None
        part = None if read is None else read.part
        said = [] if read is None else [f"Note: {one}." for one in read.notes]
        if part is not None and self._system is not None:
            said = [*understood(part), *said, "Below, in the units of the screen:"]
            self._preview.write(*converted(part, self._system))
            self._preview.fit_rows()
        self._preview.setVisible(part is not None)
        self._words.setText(" ".join(said))
        self._words.setVisible(bool(said))
        empty = not self._blocks[self._place].text.strip()
        problems = () if read is None or empty else read.problems
        self._wrong.setText("\n".join(f"\N{BULLET} {one}" for one in problems))
        self._wrong.setVisible(bool(problems))

    def _edited(self, text: str | None = None) -> None:
        if self._filling:
            return
        before = self._blocks[self._place]
        self._blocks[self._place] = BlockForm(
            text=before.text if text is None else text,
            name=self.name.text(),
            limits=self.limits.text(),
            fault=self.fault.text(),
            at_rest=self.at_rest.isChecked(),
            wider=self.wider.isChecked(),
        )
        self.edited.emit()

    def _change_look(self) -> None:
        as_text = self._editors.currentWidget() is self.cells
        self._show_block()
        self._editors.setCurrentWidget(self.text if as_text else self.cells)
        self._switch.setText(AS_CELLS if as_text else AS_TEXT)
        self._focus_editor()

    def _add_block(self) -> None:
        self.set_blocks([*self._blocks, BlockForm()])
        self._bar.setCurrentIndex(len(self._blocks) - 1)
        self.edited.emit()
        self._focus_editor()

    def _remove_block(self) -> None:
        del self._blocks[self._place]
        self.set_blocks(self._blocks)
        self.edited.emit()

    def _lay_out(self) -> None:
        self._bar.addTab("Block 1")
        self.text.setFont(QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont))
        self.text.setTabChangesFocus(True)
        self.text.setPlaceholderText(EXAMPLE_TEXT)
        self.text.setTabStopDistance(110)
        self.text.setAccessibleName("The table as text")
        self.text.setMinimumHeight(190)
        for editor in (self.cells, self.text):
            self._editors.addWidget(editor)
        self.limits.setPlaceholderText(EXAMPLE)
        self.fault.setPlaceholderText("empty for a healthy system")
        above = QHBoxLayout()
        above.addWidget(self._bar, stretch=1)
        above.addStretch(1)
        for button in (self._switch, self._add, self._remove):
            above.addWidget(button)
        more = NamedFields(
            [("Caption", self.name), ("Holds only for", self.limits), ("Fault described", self.fault)], 280
        )
        checks = QHBoxLayout()
        checks.addWidget(self.at_rest)
        checks.addWidget(self.wider)
        checks.addStretch(1)
        self.body.addLayout(above)
        for part in (self._editors, self._wrong, more):
            self.body.addWidget(part)
        self.body.addLayout(checks)
        self.body.addWidget(self._words)
        self.body.addWidget(self._preview)

    def _connect(self) -> None:
        self._bar.currentChanged.connect(lambda _place: self._show_block())
        self.cells.edited.connect(lambda: self._edited(self.cells.text()))
        self.cells.refused.connect(self._wrong.setText)
        self.cells.refused.connect(lambda _words: self._wrong.show())
        self.text.textChanged.connect(lambda: self._edited(self.text.toPlainText()))
        for line in (self.name, self.limits, self.fault):
            line.textChanged.connect(lambda _text: self._edited())
        for box in (self.at_rest, self.wider):
            box.toggled.connect(lambda _on: self._edited())


def as_kept(blocks: Sequence[BlockForm]) -> list[dict[str, Any]]:
    """Blocks as a draft can hold them."""
    return [asdict(one) for one in blocks]


def from_kept(kept: object) -> list[BlockForm]:
    """Blocks from a draft; what no longer fits is left out."""
    found = [_block(one) for one in (kept if isinstance(kept, list) else []) if isinstance(one, dict)]
    return [one for one in found if one is not None]


def _block(kept: dict[str, Any]) -> BlockForm | None:
    text, name, limits, fault = (kept.get(one) for one in ("text", "name", "limits", "fault"))
    if not all(isinstance(one, str) for one in (text, name, limits, fault)):
        return None
    at_rest, wider = kept.get("at_rest") is True, kept.get("wider") is True
    return BlockForm(str(text), str(name), str(limits), str(fault), at_rest, wider)
