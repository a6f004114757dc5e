"""A card with a table and lines, which can be put on paper as it stands."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.widgets import Card
from knowngood.widgets.form import words
from knowngood.widgets.grid import Grid

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtWidgets import QWidget

Paper = tuple[str, "Sequence[str]", "Sequence[Sequence[str]]", "Sequence[str]"]
"""Title, heads, rows and lines."""


class TableCard(Card):
    """Lines of words above, a table below; either may be empty. Long lines are better ``spaced``."""

    def __init__(
        self,
        title: str,
        subtitle: str = "",
        parent: QWidget | None = None,
        *,
        words_last: bool = False,
        spaced: bool = False,
    ) -> None:
        super().__init__(title, subtitle, parent=parent)
        self._head = title
        self._between = "\n\n" if spaced else "\n"
        self.grid = Grid(title, words_first=True, words_last=words_last)
        self.lines = words("body")
        self._heads: tuple[str, ...] = ()
        self._rows: tuple[tuple[str, ...], ...] = ()
        self._lines: tuple[str, ...] = ()
        self.body.addWidget(self.lines)
        self.body.addWidget(self.grid)

    def write(
        self, heads: Sequence[str] = (), rows: Sequence[Sequence[str]] = (), lines: Sequence[str] = ()
    ) -> None:
        """Show other lines and rows."""
        self._heads, self._rows = tuple(heads), tuple(tuple(row) for row in rows)
        self._lines = tuple(lines)
        self.lines.setText(self._between.join(self._lines))
        self.lines.setVisible(bool(self._lines))
        self.grid.write(self._heads, self._rows)
        self.grid.fit_rows()
        self.grid.setVisible(bool(self._rows))

    @property
    def paper(self) -> Paper:
        """What is shown, for a sheet."""
        return self._head, self._heads, self._rows, self._lines
