"""The points of the hand sheet side by side, with what follows from them and what is odd about them, live."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from knowngood.widgets.form import words
from knowngood_refdata.records import Role
from knowngood_sessions.panels.hand_point import FIELDS, RESULTS, HandPointColumn
from knowngood_sessions.panels.scrolled import scrolled

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from knowngood.units import Units
    from knowngood_sessions.core.finding.by_hand import HandPoint

FEWEST, MOST = 2, 6
_SIDES = (Role.LOW_SIDE, Role.HIGH_SIDE)


class HandPoints(QWidget):
    """Columns of fields, one a point; a column left empty counts for nothing.

    Attributes
    ----------
    changed
        Signal without arguments.
    """

    changed = Signal()

    def __init__(self, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._units = units
        self.columns: list[HandPointColumn] = []
        self._barometer_pa: float | None = None
        self._inside = QWidget()
        self._grid = QGridLayout(self._inside)
        self._grid.setContentsMargins(0, 0, 6, 0)
        self._grid.setHorizontalSpacing(10)
        self._grid.setVerticalSpacing(3)
        self.add_button = QPushButton("Add a po&int")
        self._odd = words("notice")
        self._lay_out()
        for _ in range(FEWEST):
            self.add()
        self.add_button.clicked.connect(self._add_and_go)

    @property
    def filled(self) -> list[HandPointColumn]:
        """The columns in which anything was typed."""
        return [one for one in self.columns if not one.empty]

    @property
    def points(self) -> tuple[HandPoint, ...]:
        """The points typed, in order."""
        return tuple(one.point() for one in self.filled)

    @property
    def tab_order(self) -> list[QWidget]:
        """What takes the keyboard: down each point, point by point."""
        fields = [field for column in self.columns for field in column.fields]
        return [*fields, self._odd, self.add_button]

    @property
    def oddities(self) -> str:
        """What is odd, in words."""
        return self._odd.text()

    def counts_from_air(self, side: Role) -> bool:
        """Whether the values of a side were typed as gauge pressures."""
        return any(one.edits[side].counts_from_air for one in self.filled)

    def problem(self) -> tuple[str, QWidget] | None:
        """Why the points cannot be stored, and the field; None when they can."""
        if not self.filled:
            return "Type what was read at one point at least.", self.columns[0].fields[0]
        for column in self.filled:
            if (found := column.problem()) is not None:
                return found
        return self._mixed()

    def add(self) -> HandPointColumn:
        """Add a column for one more point."""
        column = HandPointColumn(len(self.columns) + 1, self._units, self._grid)
        self.columns.append(column)
        if self._barometer_pa is not None:
            column.set_barometer(self._barometer_pa)
        column.changed.connect(self.changed)
        self._grid.setColumnStretch(len(self.columns), 1)
        self.add_button.setEnabled(len(self.columns) < MOST)
        return column

    def show_results(self, results: Sequence[Mapping[str, str]], odd: Sequence[str]) -> None:
        """Write what follows from each point that was filled, and what is odd about them all."""
        found = dict(zip(map(id, self.filled), results, strict=False))
        for column in self.columns:
            column.show_results(found.get(id(column), {}))
        self._odd.setText("\n".join(f"\N{BULLET} {one}" for one in odd))
        self._odd.setVisible(bool(odd))

    def set_barometer(self, barometer_pa: float) -> None:
        """Say what the gauges count from."""
        if barometer_pa != self._barometer_pa:
            self._barometer_pa = barometer_pa
            for column in self.columns:
                column.set_barometer(barometer_pa)

    def snapshot(self) -> list[dict[str, Any]]:
        """Everything as typed, point by point."""
        return [one.snapshot() for one in self.columns]

    def restore(self, typed: Sequence[Mapping[str, Any]]) -> None:
        """Enter again what `snapshot` took."""
        while len(self.columns) < min(len(typed), MOST):
            self.add()
        for column, one in zip(self.columns, typed, strict=False):
            column.restore(one)

    def _mixed(self) -> tuple[str, QWidget] | None:
        """A side that counts from the air at one point and from vacuum at another has no common zero."""
        for side in _SIDES:
            edits = [one.edits[side] for one in self.filled if one.edits[side].si() is not None]
            if len({edit.counts_from_air for edit in edits}) > 1:
                words_ = "is typed as gauge at one point and as absolute at another: write both alike."
                return f"The {side.value} {words_}", edits[-1]
        return None

    def _add_and_go(self) -> None:
        self.add().fields[0].setFocus()
        self.changed.emit()

    def _lay_out(self) -> None:
        labels = [QLabel(name) for _, name in FIELDS]
        for row, label in enumerate(labels, start=1):
            self._grid.addWidget(label, row, 0)
        heading = QLabel("Follows from it, \N{PLUS-MINUS SIGN} at 95 %")
        heading.setObjectName("quiet")
        self._grid.addWidget(heading, len(FIELDS) + 1, 0, 1, MOST)
        for row, name in enumerate(RESULTS, start=len(FIELDS) + 2):
            self._grid.addWidget(QLabel(name), row, 0)
        self._grid.setRowStretch(len(FIELDS) + len(RESULTS) + 2, 1)
        self._labels = labels
        area = QWidget()
        inner = QVBoxLayout(area)
        inner.setContentsMargins(0, 0, 0, 0)
        inner.addWidget(self._inside)
        inner.addWidget(self._odd)
        inner.addStretch(1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(scrolled(area), stretch=1)
        # Reached with Tab, what is odd comes into sight where there is little room.
        self._odd.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._odd.hide()

    def name_fields(self) -> None:
        """Let the letters of the names lead to the fields of the first point."""
        for label, field in zip(self._labels, self.columns[0].fields, strict=True):
            label.setBuddy(field)
