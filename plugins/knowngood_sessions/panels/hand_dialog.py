"""Type readings taken without a logger: steady points with their conditions, on one sheet."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QDialog, QFormLayout, QHBoxLayout, QLineEdit, QPushButton, QVBoxLayout, QWidget

from knowngood import formatting
from knowngood.widgets import Card
from knowngood.widgets.form import words
from knowngood.widgets.room import open_at
from knowngood_refdata.local_air import local_air
from knowngood_refdata.records import Role
from knowngood_sessions.core.finding.by_hand import HAND_ROLES, HandColumn, HandSheet
from knowngood_sessions.panels.conditions_form import ConditionsForm
from knowngood_sessions.panels.hand_answers import answers, oddities
from knowngood_sessions.panels.hand_points import HandPoints
from knowngood_sessions.panels.hand_when import WhenEdit
from knowngood_sessions.panels.leading_dialog import ENTER
from knowngood_sessions.panels.mapping_choice import DeliberateChoice
from knowngood_sessions.panels.mapping_dialog import REFRIGERANTS
from knowngood_sessions.panels.mapping_frame import chain
from knowngood_sessions.panels.scrolled import scrolled

if TYPE_CHECKING:
    from PySide6.QtGui import QKeyEvent

    from knowngood.units import Units

_CHOOSE = "choose"
_SETTLE_MS = 40
_SIDES = (Role.LOW_SIDE, Role.HIGH_SIDE)


class HandDialog(QDialog):
    """The sheet: points, who, when, conditions and instruments; what follows is shown as one types.

    Attributes
    ----------
    discarded
        Signal without arguments: what was typed is to be thrown away.
    """

    discarded = Signal()

    def __init__(
        self,
        units: Units,
        refrigerant: str | None,
        vehicle_name: str,
        technician: str,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Readings by hand")
        self._units, self._vehicle_name = units, vehicle_name
        self.points = HandPoints(units)
        self.conditions_form = ConditionsForm(units, without=("fan_stage",))
        self._refrigerant = DeliberateChoice()
        self._refrigerant.addItems([_CHOOSE, *REFRIGERANTS])
        self._refrigerant.setCurrentText(refrigerant if refrigerant in REFRIGERANTS else _CHOOSE)
        self._who, self._note = QLineEdit(technician), QLineEdit()
        self._when = WhenEdit()
        self._state = words("problem")
        self.save_button = QPushButton("&Save session")
        self.save_button.setObjectName("main")
        self._close, self._discard = QPushButton("Close"), QPushButton("Discard what was typed")
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(_SETTLE_MS)
        self._timer.timeout.connect(self.work_out)
        self._begun = ""
        self._lay_out()
        self._connect()
        self._begun = self._typed()
        self.work_out()
        self.points.columns[0].fields[0].setFocus()

    @property
    def refrigerant(self) -> str:
        """The refrigerant chosen, empty while there is none."""
        chosen = self._refrigerant.currentText()
        return "" if chosen == _CHOOSE else chosen

    @property
    def touched(self) -> bool:
        """Whether anything was typed or chosen since the sheet was empty."""
        return self._typed() != self._begun

    def what_is_missing(self) -> str:
        """Why the sheet cannot be stored yet, in words; empty when it can."""
        found = self._missing()
        return found[0] if found else ""

    def sheet(self) -> HandSheet:
        """Everything typed, as far as it can be read."""
        system = self._units.system
        gauge = {side: self.points.counts_from_air(side) for side in _SIDES}
        columns = tuple(
            HandColumn(
                role,
                formatting.scale_of(formatting.kind_of(role), system).unit.symbol,
                gauge.get(role, False),
            )
            for role in HAND_ROLES
        )
        return HandSheet(
            self.points.points,
            columns,
            self._when.moment or datetime.now(UTC).astimezone(),
            self.refrigerant,
            self.conditions_form.conditions(),
            self.conditions_form.instruments(),
            self._who.text().strip(),
            self._note.text().strip(),
            (("Vehicle", self._vehicle_name), *self.conditions_form.told()),
        )

    def work_out(self) -> None:
        """Show what follows from the points, what is odd about them, and what is missing."""
        self._timer.stop()
        air = local_air(*self._air())
        self.points.set_barometer(air.pressure_pa)
        # Fields that follow the air tell of it; that is no reason to come back.
        self._timer.stop()
        sheet = self.sheet()
        self.points.show_results(answers(sheet, self._units), oddities(sheet, self._units))
        missing = self.what_is_missing()
        self._state.setText(missing)
        self.save_button.setEnabled(not missing)
        self._discard.setVisible(self.touched)
        chain(
            [
                *self.points.tab_order,
                self._refrigerant,
                self._who,
                self._when,
                self._note,
                *self.conditions_form.entries,
                self.save_button,
                self._close,
                self._discard,
            ]
        )

    def accept(self) -> None:
        """Close when the sheet can be stored, else lead to what is missing."""
        self.work_out()
        found = self._missing()
        if found is None:
            super().accept()
        elif found[1] is not None:
            found[1].setFocus()
        else:
            self.conditions_form.focus_problem()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Let Enter lead to the next field: a sheet half typed must not be stored by it."""
        if event.key() in ENTER:
            self.focusNextChild()
        else:
            super().keyPressEvent(event)

    def snapshot(self) -> dict[str, Any]:
        """Everything entered, for the drafts."""
        return {
            "points": self.points.snapshot(),
            "form": self.conditions_form.snapshot(),
            "refrigerant": self._refrigerant.currentText(),
            "who": self._who.text(),
            "when": self._when.text(),
            "note": self._note.text(),
        }

    def restore(self, kept: dict[str, Any]) -> None:
        """Enter again what `snapshot` took."""
        self.conditions_form.restore(kept["form"])
        self.points.restore(kept["points"])
        self._refrigerant.setCurrentText(str(kept["refrigerant"]))
        self._who.setText(str(kept["who"]))
        self._note.setText(str(kept["note"]))
        self._when.setText(str(kept["when"]))
        self.work_out()

    def _air(self) -> tuple[float | None, float | None]:
        conditions = self.conditions_form.conditions()
        return conditions.barometer_pa, conditions.altitude_m

    def _missing(self) -> tuple[str, QWidget | None] | None:
        found = self.points.problem()
        if found is not None:
            return found
        if not self.refrigerant:
            words_ = "Choose the refrigerant: from the under-hood label, or as identified."
            return words_, self._refrigerant
        if self._when.problem:
            return f"When: {self._when.problem}", self._when
        problem = self.conditions_form.problem()
        return (problem, None) if problem else None

    def _typed(self) -> str:
        return repr({name: one for name, one in self.snapshot().items() if name != "when"})

    def _connect(self) -> None:
        self.save_button.clicked.connect(self.accept)
        self._close.clicked.connect(self.reject)
        self._discard.clicked.connect(self._throw_away)
        self._units.changed.connect(self._timer.start)
        for signal in (
            self.points.changed,
            self.conditions_form.changed,
            self._refrigerant.currentIndexChanged,
            self._who.textChanged,
            self._when.textChanged,
            self._note.textChanged,
        ):
            signal.connect(lambda *_: self._timer.start())

    def _throw_away(self) -> None:
        self.discarded.emit()
        self.reject()

    def _lay_out(self) -> None:
        self.points.name_fields()
        points = Card(
            "Steady points",
            "Read when nothing moves any more. Any unit may stand behind a value; Enter leads on.",
        )
        points.body.addWidget(self.points)
        conditions = Card(
            "Conditions", f"on {self._vehicle_name}. What is left empty counts as not recorded."
        )
        head = QFormLayout()
        for name, field in (
            ("&Refrigerant", self._refrigerant),
            ("Taken b&y", self._who),
            ("When", self._when),
            ("Note", self._note),
        ):
            field.setAccessibleName(name.replace("&", ""))
            head.addRow(name, field)
        self.conditions_form.align(head)
        inside = QWidget()
        both = QVBoxLayout(inside)
        both.setContentsMargins(0, 0, 0, 0)
        both.addLayout(head)
        both.addWidget(self.conditions_form)
        conditions.body.addWidget(scrolled(inside, sideways=False))
        conditions.setMaximumWidth(440)
        upper = QHBoxLayout()
        upper.addWidget(points, stretch=3)
        upper.addWidget(conditions, stretch=2)
        for button in (self._close, self._discard, self.points.add_button):
            button.setAutoDefault(False)
        lower = QHBoxLayout()
        lower.addWidget(self._state, stretch=1)
        for button in (self.points.add_button, self._discard, self.save_button, self._close):
            lower.addWidget(button)
        layout = QVBoxLayout(self)
        layout.addLayout(upper, stretch=1)
        layout.addLayout(lower)
        open_at(self, 1220, 740)
