"""One column of a log in the mapping form: name, first values, use, unit, gauge or absolute."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QLabel

from knowngood.widgets import theme
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Role
from knowngood_sessions.core.mapping.assignment import Assignment, Special, Use
from knowngood_sessions.core.mapping.plausible import offered_units
from knowngood_sessions.core.reading.clock import ELAPSED, TIME_UNITS
from knowngood_sessions.panels.mapping_choice import DeliberateChoice, tip

if TYPE_CHECKING:
    from PySide6.QtWidgets import QComboBox, QGridLayout

    from knowngood_sessions.core.reading.reader import Column

_ASKED = (
    f'QComboBox[asked="true"] {{ border: 2px solid {theme.RUST}; }}'
    f'QComboBox[asked="true"]:focus {{ border: 2px solid {theme.ACCENT}; }}'
)
_USES: tuple[Use, ...] = (Special.TIME, *Role, Special.LEFT_OUT)
_OPEN = "?"
_MORE_PRESSURES = ("mbar", "Pa", "inHg")
_GAUGE_TEXTS = {None: _OPEN, True: "gauge", False: "absolute"}
_LONGEST_VALUES = 11
_VALUES_PLACE = 1
_LETTERS = {"used as": 8, "unit": 3, "counts as": 4}
"""How many letters there is room for; a longer unit is shown whole in the list."""


class ColumnRow(QObject):
    """The widgets of one column, put into a grid; each takes two of its rows.

    Parameters
    ----------
    why
        The reason for the proposal, shown on pointing at the row.
    doubtful
        Whether the reason is shown below the row at once.
    row
        The number of the column, counted from 1.

    Attributes
    ----------
    changed
        Signal with the column's name and its new `Assignment`.
    """

    changed = Signal(str, object)

    def __init__(self, column: Column, why: str, grid: QGridLayout, row: int, *, doubtful: bool) -> None:
        super().__init__(grid)
        self._column = column
        self._assignment = Assignment()
        self._name = QLabel(
            column.name + (f" ({column.unit})" if column.unit not in ("", column.name) else "")
        )
        self._name.setTextFormat(Qt.TextFormat.PlainText)
        values = QLabel(_first_values(column))
        values.setTextFormat(Qt.TextFormat.PlainText)
        values.setObjectName("quiet")
        self._use, self._unit, self._gauge = DeliberateChoice(), DeliberateChoice(), DeliberateChoice()
        self._use.addItems([_OPEN, *(use.value for use in _USES)])
        self._gauge.addItems(list(_GAUGE_TEXTS.values()))
        self._boxes = {"used as": self._use, "unit": self._unit, "counts as": self._gauge}
        for what, box in self._boxes.items():
            box.setAccessibleName(f"{column.name}, {what}")
            box.setStyleSheet(_ASKED)
            box.setSizeAdjustPolicy(DeliberateChoice.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
            box.setMinimumContentsLength(_LETTERS[what])
        self._use.activated.connect(self._take_use)
        self._unit.activated.connect(self._take_unit)
        self._gauge.activated.connect(self._take_gauge)
        for place, widget in enumerate((self._name, values, *self._boxes.values())):
            widget.setToolTip(tip(why))
            grid.addWidget(widget, 2 * row - 1, place)
        if doubtful:
            reason = QLabel(f"guessed: {why}")
            reason.setTextFormat(Qt.TextFormat.PlainText)
            reason.setObjectName("quiet")
            reason.setWordWrap(True)
            grid.addWidget(reason, 2 * row, _VALUES_PLACE, 1, -1)

    @property
    def entries(self) -> tuple[QComboBox, ...]:
        """What can be chosen, from left to right."""
        return tuple(self._boxes.values())

    def show_assignment(self, assignment: Assignment, *, asked: bool) -> None:
        """Show what the column is taken for, and whether something about it is asked."""
        self._assignment = assignment
        self._use.setCurrentIndex(0 if assignment.use is None else 1 + _USES.index(assignment.use))
        units = self._units()
        self._unit.clear()
        self._unit.addItems(units)
        self._unit.setCurrentText(assignment.unit or _OPEN)
        self._unit.setEnabled(len(units) > 1)
        self._gauge.setCurrentIndex(list(_GAUGE_TEXTS).index(assignment.gauge))
        # Hidden boxes keep their place, so that the columns of the grid do not jump.
        for box, shown in (
            (self._unit, assignment.use is not Special.LEFT_OUT and units != [""]),
            (self._gauge, assignment.asks_gauge),
        ):
            policy = box.sizePolicy()
            policy.setRetainSizeWhenHidden(True)
            box.setSizePolicy(policy)
            box.setVisible(shown)
        self._mark(self._use, asked=asked and assignment.use is None)
        self._mark(
            self._unit,
            asked=asked
            and assignment.use is not None
            and not (assignment.unit and assignment.asks_gauge and assignment.gauge is None),
        )
        self._mark(self._gauge, asked=asked and assignment.asks_gauge and assignment.gauge is None)

    def _units(self) -> list[str]:
        kind, unit = self._assignment.kind, self._assignment.unit
        if kind is None:
            return [unit]
        if kind is Kind.TIME:
            known = ELAPSED if self._column.holds_numbers else TIME_UNITS[len(ELAPSED) :]
        else:
            known = offered_units(kind) + (_MORE_PRESSURES if kind is Kind.PRESSURE else ())
        units = [*known] if not unit or unit in known else [unit, *known]
        return units if unit else [_OPEN, *units]

    def _take_use(self, index: int) -> None:
        use = None if index == 0 else _USES[index - 1]
        changed = replace(self._assignment, use=use, confirmed=False)
        if changed.kind is not self._assignment.kind:
            fitting = changed.kind is None or self._column.unit in offered_units(changed.kind)
            changed = replace(changed, unit=self._column.unit if fitting else "")
        self.changed.emit(self._column.name, changed)

    def _take_unit(self, _: int) -> None:
        chosen = self._unit.currentText()
        unit = "" if chosen == _OPEN else chosen
        self.changed.emit(self._column.name, replace(self._assignment, unit=unit, confirmed=False))

    def _take_gauge(self, index: int) -> None:
        self.changed.emit(self._column.name, replace(self._assignment, gauge=list(_GAUGE_TEXTS)[index]))

    def _mark(self, box: QComboBox, *, asked: bool) -> None:
        if bool(box.property("asked")) != asked:
            box.setProperty("asked", asked)
            box.style().unpolish(box)
            box.style().polish(box)


def _first_values(column: Column) -> str:
    """The first two values, or the first where both need too much room."""
    two = ", ".join(column.examples[:2])
    return two if len(two) <= _LONGEST_VALUES else "".join(column.examples[:1])
