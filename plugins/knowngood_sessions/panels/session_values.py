"""The numbers beside the plots: every channel at the cursor, or between two lines."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QHeaderView, QLabel, QVBoxLayout, QWidget

from knowngood.formatting import MISSING
from knowngood.widgets.grid import Grid
from knowngood_sessions.at_cursor import CURSOR_HEADS, MEASURE_HEADS, Row, cursor_rows, measured_rows
from knowngood_sessions.sureness import sure_at
from knowngood_sessions.time_entry import moment_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtGui import QResizeEvent

    from knowngood.formatting import System
    from knowngood_sessions.gather import Session

_HINT = "Point into the plots, or step with the arrow keys, to read every channel here."
_ROW_PX, _ICON_PX, _NAME_PX = 20, 10, 112
_STYLE = (
    "QTableView { font-size: 9pt; border: none; } QHeaderView::section { padding: 2px 4px; font-size: 9pt; }"
)


class SessionValues(QWidget):
    """A line that says where, and a table of every channel there."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.where = QLabel(_HINT)
        self.where.setObjectName("quiet")
        self.where.setWordWrap(True)
        self.where.setTextFormat(Qt.TextFormat.PlainText)
        self.table = _Table("Values of all channels", words_first=True)
        self.table.setStyleSheet(_STYLE)
        self.table.setWordWrap(False)
        self.table.setIconSize(QSize(_ICON_PX, _ICON_PX))
        self.table.verticalHeader().setDefaultSectionSize(_ROW_PX)
        self.table.verticalHeader().setMinimumSectionSize(_ROW_PX)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(4)
        layout.addWidget(self.where)
        layout.addWidget(self.table, stretch=1)

    def show_nothing(self) -> None:
        """Say how to read values."""
        self.where.setText(_HINT)
        self.table.write((), ())

    def show_cursor(
        self,
        session: Session,
        at_s: float,
        system: System,
        other: tuple[Session, float] | None = None,
        marks: Sequence[str] = (),
    ) -> None:
        """Every channel at a moment; ``other`` is a session laid over it and what its times are moved by."""
        sure = sure_at(session, at_s)
        rows = cursor_rows(session.traces, session.samples, at_s, system, session.barometer_pa, sure)
        heads: tuple[str, ...] = CURSOR_HEADS
        there: dict[str, str] = {}
        if other is not None:
            laid, shift_s = other
            heads = (*CURSOR_HEADS, "other")
            there = {
                one.key: one.cells[0]
                for one in cursor_rows(laid.traces, laid.samples, at_s - shift_s, system, laid.barometer_pa)
            }
        beside = [] if other is None else [f"other: {other[0].info.title}"]
        self.where.setText(" \N{MIDDLE DOT} ".join([f"At {moment_text(at_s)}", *marks, *beside]))
        self._write(heads, rows, there if other is not None else None)

    def show_between(self, session: Session, a_s: float, b_s: float, system: System) -> None:
        """Every channel at two moments and between them."""
        rows = measured_rows(session.traces, session.samples, (a_s, b_s), system, session.barometer_pa)
        self.where.setText(
            f"From A at {moment_text(a_s)} to B at {moment_text(b_s)}: {moment_text(abs(b_s - a_s))}"
        )
        self._write(MEASURE_HEADS, rows, None)

    def _write(self, heads: Sequence[str], rows: Sequence[Row], there: dict[str, str] | None) -> None:
        self.table.write(heads, [(_name(one), *one.cells, *_beside(there, one.key)) for one in rows])
        for place, one in enumerate(rows):
            item = self.table.item(place, 0)
            if item is not None and item.data(Qt.ItemDataRole.UserRole) != one.colour:
                item.setData(Qt.ItemDataRole.UserRole, one.colour)
                item.setData(Qt.ItemDataRole.DecorationRole, QColor(one.colour))


class _Table(Grid):
    """A grid whose names keep room beside however many numbers."""

    def write(self, headings: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
        """Show other rows."""
        super().write(headings, rows)
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Give the names what the numbers leave."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        header = self.horizontalHeader()
        if not header.count():
            return
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Fixed)
        numbers = header.length() - header.sectionSize(0)
        header.resizeSection(0, max(_NAME_PX, self.viewport().width() - numbers))


def _name(row: Row) -> str:
    return f"{row.name}, {row.unit}" if row.unit else row.name


def _beside(there: dict[str, str] | None, key: str) -> tuple[str, ...]:
    """What the session laid over has of a channel; nothing where none is."""
    return () if there is None else (there.get(key, MISSING),)
