"""The step of an import that says what the columns are, with the first rows as they are understood."""

from __future__ import annotations

from datetime import UTC, datetime
from itertools import islice
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLineEdit, QSplitter, QVBoxLayout, QWidget

from knowngood.widgets import Card
from knowngood.widgets.form import form, words
from knowngood_specs.core.importing.proposal import open_questions
from knowngood_specs.core.importing.recognise import Words
from knowngood_specs.core.importing.remapping import retaken
from knowngood_specs.core.importing.row_reader import RowReader
from knowngood_specs.import_words import Values, about, row_number_of, understood_cells
from knowngood_specs.panels.form_dialog import source_entry, text_entry
from knowngood_specs.panels.import_columns import ColumnEditor, ColumnsTable
from knowngood_specs.panels.import_parts import scrolled
from knowngood_specs.panels.import_questions import Questions
from knowngood_specs.panels.import_table import RowsView, TextTable
from knowngood_specs.reading import read_quantity

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood.units import Units
    from knowngood_specs.core.importing.mapping import ColumnMapping
    from knowngood_specs.core.importing.targets import Meaning
    from knowngood_specs.library_import import OpenedTable

_PREVIEWED = 40


class PreviewTable(TextTable):
    """The first rows of a file as they are understood."""

    headings = ("Row", "Vehicle", "Values", "What stands against it")

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._rows: Sequence[tuple[str, ...]] = ()

    def set_rows(self, rows: Sequence[tuple[str, ...]]) -> None:
        """Show other rows."""
        self.beginResetModel()
        self._rows = rows
        self.endResetModel()

    def count(self) -> int:
        """How many rows are shown."""
        return len(self._rows)

    def cell(self, row: int, column: int) -> str:
        """What a row is understood as."""
        return self._rows[row][column]


class MappingStep(QWidget):
    """Columns, questions, source and preview of one file.

    Attributes
    ----------
    changed
        Signal without arguments: `mapping` is another.
    sheet_wanted
        Signal with the name of another sheet of the workbook.
    """

    changed = Signal()
    sheet_wanted = Signal(str)

    def __init__(
        self,
        opened: OpenedTable,
        units: Units,
        mapping: ColumnMapping | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._opened, self._units = opened, units
        self._mapping = mapping or opened.proposal.mapping
        self._words, self._values = Words(opened.fields), Values(opened.fields)
        self.columns = ColumnsTable(opened.proposal.columns, self._mapping, self)
        self.view = RowsView("columns of the file", (120, 150, 230))
        self.view.setSelectionMode(RowsView.SelectionMode.SingleSelection)
        self.editor, self.questions = ColumnEditor(opened.fields), Questions()
        self.kind, self.citation = source_entry(), text_entry("file, book or label", name="where they stand")
        self.revision = text_entry("edition or date", name="revision")
        self.sheet = QComboBox()
        self.preview, self._preview_view = PreviewTable(self), RowsView("rows as understood", (46, 200, 330))
        self._lay_out()
        self._fill_source()
        self._connect()
        self.view.selectRow(0)
        self._show()
        self.setFocusProxy(self.view)

    @property
    def opened(self) -> OpenedTable:
        """The file."""
        return self._opened

    @property
    def mapping(self) -> ColumnMapping:
        """What the columns are taken for now, and the source of values that name none."""
        return self._mapping

    def take(self, column: int, meaning: Meaning, fill_down: bool = False) -> None:
        """Take a column for something else."""
        self._change(retaken(self._mapping, column, meaning, fill_down=fill_down))

    def _lay_out(self) -> None:
        opened = self._opened
        remembered = " The columns are taken for what they were in the last file of this layout."
        before = opened.before
        again = (
            f" This very file was imported on {before.imported_at:%Y-%m-%d} already, and that import stands."
            if before
            else ""
        )
        told = about(opened.table) + (remembered if opened.remembered else "") + again
        columns = Card("Columns of the file", told)
        self.view.show_table(self.columns)
        if opened.table.other_sheets:
            columns.body.addLayout(form([[("&Sheet", self.sheet)]], 50))
        columns.body.addWidget(self.view, stretch=1)
        preview = Card("First rows as understood")
        self._preview_view.show_table(self.preview)
        preview.body.addWidget(self._preview_view, stretch=1)
        left = QSplitter(Qt.Orientation.Vertical)
        for card in (columns, preview):
            left.addWidget(card)
        left.setChildrenCollapsible(False)
        left.setStretchFactor(0, 3)
        left.setStretchFactor(1, 2)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(14)
        layout.addWidget(left, stretch=1)
        layout.addWidget(scrolled(self._right()))

    def _right(self) -> QWidget:
        source = Card("Source of values that name none")
        rows: list[list[tuple[str, QWidget]]] = [
            [("&Kind", self.kind)],
            [("&Where", self.citation)],
            [("&Revision", self.revision)],
        ]
        source.body.addLayout(form(rows, 62))
        self.kind.setAccessibleName("kind of source of values that name none")
        right = QWidget()
        layout = QVBoxLayout(right)
        layout.setContentsMargins(0, 0, 0, 0)
        for card in (self.editor, source, self.questions):
            layout.addWidget(card)
        layout.addWidget(words("quiet", "Rows that stay unclear are doubted or refused, never guessed."))
        layout.addStretch(1)
        return right

    def _fill_source(self) -> None:
        source = self._mapping.source
        self.kind.setCurrentIndex(max(0, self.kind.findData(source.kind)))
        self.citation.setText(source.citation)
        self.revision.setText(source.revision)
        table = self._opened.table
        self.sheet.addItems([table.sheet, *table.other_sheets])

    def _connect(self) -> None:
        self.view.selectionModel().currentRowChanged.connect(lambda _now: self._show_column())
        self.editor.edited.connect(self.take)
        self.questions.answered.connect(self._answer)
        self.questions.asked_for.connect(self._go_to)
        self.kind.currentIndexChanged.connect(self._take_source)
        for line in (self.citation, self.revision):
            line.textChanged.connect(self._take_source)
        self.sheet.textActivated.connect(self._ask_for_sheet)
        self._units.changed.connect(self._preview)

    def _ask_for_sheet(self, name: str) -> None:
        if name != self._opened.table.sheet:
            self.sheet.setCurrentIndex(0)
            self.sheet_wanted.emit(name)

    def _take_source(self) -> None:
        kind = str(self.kind.currentData() or "")
        citation, revision = _said(self.citation), _said(self.revision)
        asked_anew = kind != self._mapping.source.kind
        self._change(self._mapping.from_source(kind, citation, revision), questions=asked_anew)

    def _answer(self, column: int, said: str) -> None:
        use = self._mapping.of(column)
        if said == "fill down":
            self.take(column, use.meaning, True)
        else:
            meaning = type(use.meaning)(use.meaning.target, use.meaning.of, said)
            self.take(column, meaning, use.fill_down)

    def _go_to(self, column: int) -> None:
        self.view.selectRow(column)
        self.editor.target.setFocus()

    def _change(self, mapping: ColumnMapping, *, questions: bool = True) -> None:
        if mapping != self._mapping:
            self._mapping = mapping
            self._show(questions=questions)
            self.changed.emit()

    def _show(self, *, questions: bool = True) -> None:
        if questions:
            # They look through the whole file: not at every letter that is typed.
            self.questions.show_questions(open_questions(self._opened.table, self._mapping))
        self.columns.set_mapping(self._mapping)
        self._show_column()
        self._preview()

    def _show_column(self) -> None:
        row = max(0, self.view.currentIndex().row())
        self.editor.show_use(self._mapping.of(row), self.columns.reason(row))

    def _preview(self) -> None:
        reader = RowReader(self._mapping, read_quantity, self._words, datetime.now(UTC).year)
        rows = []
        for row in islice(self._opened.table.rows, _PREVIEWED):
            cells = (
                ("", "", row.fault)
                if row.fault
                else understood_cells(reader.understood(row), self._values, self._units.system)
            )
            rows.append((row_number_of(row.number, row.last_number), *cells))
        self.preview.set_rows(rows)


def _said(line: QLineEdit) -> str:
    return " ".join(line.text().split())
