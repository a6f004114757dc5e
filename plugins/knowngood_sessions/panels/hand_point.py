"""One column of the hand sheet: the fields of a steady point, and what follows from them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QLabel, QSizePolicy

from knowngood.formatting import MISSING
from knowngood.widgets import QuantityEdit
from knowngood_refdata.records import Role
from knowngood_sessions.core.finding.by_hand import HAND_ROLES, HandPoint
from knowngood_sessions.panels.mapping_choice import DeliberateChoice

if TYPE_CHECKING:
    from collections.abc import Mapping

    from PySide6.QtWidgets import QGridLayout, QWidget

    from knowngood.units import Units

FIELDS: tuple[tuple[Role | None, str], ...] = (
    (Role.ENGINE_SPEED, "&Engine speed"),
    (None, "&Fan stage"),
    (Role.LOW_SIDE, "&Low side"),
    (Role.HIGH_SIDE, "Hi&gh side"),
    (Role.SUCTION_LINE, "S&uction line"),
    (Role.LIQUID_LINE, "Li&quid line"),
    (Role.DISCHARGE_LINE, "Discharge line"),
    (Role.VENT, "&Vent"),
)
"""The fields of a point from top to bottom; None stands for the fan stage."""

RESULTS = ("Evaporating", "Superheat", "Condensing", "Subcooling", "Condensing above ambient")
STAGES: tuple[tuple[str, int | None], ...] = (
    ("not noted", None),
    ("off", 0),
    ("1", 1),
    ("2", 2),
    ("3", 3),
    ("4", 4),
)
_WIDTH = 122
_STAGE = "fan stage"


class HandPointColumn(QObject):
    """The fields of one point, put into a column of a grid.

    Attributes
    ----------
    changed
        Signal without arguments.
    """

    changed = Signal()

    def __init__(self, number: int, units: Units, grid: QGridLayout) -> None:
        super().__init__(grid)
        self._number = number
        self.edits = {role: QuantityEdit(role, units) for role in HAND_ROLES}
        self.stage = DeliberateChoice()
        self.stage.addItems([name for name, _ in STAGES])
        self._head = QLabel(f"Point {number}")
        self._head.setObjectName("quiet")
        self.results = {name: QLabel(MISSING) for name in RESULTS}
        self._place(grid)
        for edit in self.edits.values():
            edit.changed.connect(self.changed)
        self.stage.currentIndexChanged.connect(lambda _: self.changed.emit())

    @property
    def fields(self) -> tuple[QWidget, ...]:
        """What can be filled in, from top to bottom."""
        return tuple(self.stage if role is None else self.edits[role] for role, _ in FIELDS)

    @property
    def empty(self) -> bool:
        """Whether nothing was typed or chosen."""
        return not self.stage.currentIndex() and not any(edit.text().strip() for edit in self.edits.values())

    def point(self) -> HandPoint:
        """What was typed, as far as it can be read."""
        read = {role: edit.si() for role, edit in self.edits.items()}
        values = {role: value for role, value in read.items() if value is not None}
        words = {role: self.edits[role].text().strip() for role in values}
        return HandPoint(values, STAGES[self.stage.currentIndex()][1], words)

    def problem(self) -> tuple[str, QWidget] | None:
        """Why the point cannot be stored, in words, and the field; None when it can."""
        for role, edit in self.edits.items():
            if edit.problem:
                return f"Point {self._number}, {role.value}: {edit.problem}", edit
        if not set(self.point().values) - {Role.ENGINE_SPEED}:
            words = f"Point {self._number} holds no reading: type one, or clear its other fields."
            return words, self.edits[Role.LOW_SIDE]
        return None

    def show_results(self, results: Mapping[str, str]) -> None:
        """Write what follows from the fields; what is not named gets a dash."""
        for name, label in self.results.items():
            label.setText(results.get(name, MISSING))

    def set_barometer(self, barometer_pa: float) -> None:
        """Say what the gauges count from."""
        for role in (Role.LOW_SIDE, Role.HIGH_SIDE):
            self.edits[role].set_barometer(barometer_pa)

    def snapshot(self) -> dict[str, Any]:
        """Everything as typed."""
        return {role.value: edit.text() for role, edit in self.edits.items()} | {
            _STAGE: self.stage.currentIndex()
        }

    def restore(self, typed: Mapping[str, Any]) -> None:
        """Enter again what `snapshot` took."""
        for role, edit in self.edits.items():
            edit.setText(str(typed.get(role.value, "")))
        self.stage.setCurrentIndex(int(typed.get(_STAGE, 0)))

    def _place(self, grid: QGridLayout) -> None:
        column = self._number
        grid.addWidget(self._head, 0, column)
        for row, (field, (_, name)) in enumerate(zip(self.fields, FIELDS, strict=True), start=1):
            field.setAccessibleName(f"Point {self._number}, {name.replace('&', '').lower()}")
            field.setMinimumWidth(_WIDTH)
            field.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            grid.addWidget(field, row, column)
        for row, label in enumerate(self.results.values(), start=len(FIELDS) + 2):
            label.setTextFormat(Qt.TextFormat.PlainText)
            label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
            grid.addWidget(label, row, column)
