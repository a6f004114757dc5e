"""A card with lines of words above a table, which can be put on paper as it stands."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal

from knowngood.widgets import Card
from knowngood.widgets.form import words
from knowngood.widgets.grid import Grid

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtWidgets import QWidget

_MOST_ROWS = 9


class TableCard(Card):
    """Lines above, a table below; either may be empty.

    ``words_at`` are the columns of words besides the first and, with ``words_last``, the last.

    Attributes
    ----------
    opened
        Signal with the key of the row on which Enter or a double click fell.
    """

    opened = Signal(object)

    def __init__(
        self,
        title: str,
        subtitle: str = "",
        parent: QWidget | None = None,
        *,
        words_at: Sequence[int] = (),
        words_last: bool = True,
        most_rows: int = _MOST_ROWS,
    ) -> None:
        super().__init__(title, subtitle, parent)
        self._head = title
        self._most_rows = most_rows
        self._words_at = tuple(words_at)
        self.grid = Grid(title, words_first=True, words_last=words_last)
        self.lines = words("body")
        self._keys: tuple[object, ...] = ()
        self._shown: tuple[Sequence[str], Sequence[Sequence[str]], Sequence[str]] = ((), (), ())
        self.grid.cellActivated.connect(lambda row, _column: self._open(row))
        self.body.addWidget(self.lines)
        self.body.addWidget(self.grid)
        self.body.addStretch(1)

    def write(
        self,
        heads: Sequence[str] = (),
        rows: Sequence[Sequence[str]] = (),
        lines: Sequence[str] = (),
        keys: Sequence[object] = (),
    ) -> None:
        """Show other lines and rows; ``keys`` are what `opened` tells of each row."""
        self._shown, self._keys = (tuple(heads), tuple(rows), tuple(lines)), tuple(keys)
        self.lines.setText("\n".join(lines))
        self.lines.setVisible(bool(lines))
        self.grid.write(heads, rows)
        self._align_words()
        self.grid.fit_rows()
        self.grid.setFixedHeight(min(self.grid.height(), self._tallest()))
        self.grid.setVisible(bool(rows))

    def chosen(self) -> object | None:
        """The key of the row that has the keyboard, None without one."""
        row = self.grid.currentRow()
        return self._keys[row] if 0 <= row < len(self._keys) else None

    def html(self) -> str:
        """What is shown, for paper, every text escaped."""
        heads, rows, lines = self._shown
        parts = [f"<h3>{escape(self._head)}</h3>", *(f"<p>{escape(line)}</p>" for line in lines)]
        if rows:
            head = "".join(f"<th align='left'>{escape(one)}</th>" for one in heads)
            body = "".join(_row(row) for row in rows)
            parts.append(f"<table width='100%' cellpadding='2'><tr>{head}</tr>{body}</table>")
        return "".join(parts)

    def _open(self, row: int) -> None:
        if 0 <= row < len(self._keys):
            self.opened.emit(self._keys[row])

    def _align_words(self) -> None:
        """Columns of words begin at the left, as the first and the last one do."""
        left = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        for column in self._words_at:
            items = [self.grid.item(row, column) for row in range(self.grid.rowCount())]
            for item in (self.grid.horizontalHeaderItem(column), *items):
                if item is not None:
                    item.setTextAlignment(left)

    def _tallest(self) -> int:
        rows = self.grid.verticalHeader().defaultSectionSize() * self._most_rows
        return self.grid.horizontalHeader().sizeHint().height() + rows + 4


def _row(cells: Sequence[str]) -> str:
    return "<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in cells) + "</tr>"
