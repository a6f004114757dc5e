"""A form for the conditions of a session and the instruments used; an empty field means not recorded."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QFormLayout, QLabel, QSizePolicy, QWidget

from knowngood.widgets import QuantityEdit
from knowngood_refdata.local_air import local_air
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import AirSource, Conditions, Instruments, Opening, Role
from knowngood_sessions.panels.instruments import (
    AIR_PROBES,
    HIGH_GAUGES,
    LINE_PROBES,
    LOW_GAUGES,
    InstrumentChoice,
)
from knowngood_sessions.panels.mapping_choice import DeliberateChoice

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood.units import Subject, Units

NOT_RECORDED = "not recorded"
_QUANTITIES: tuple[tuple[str, str, Subject], ...] = (
    ("ambient_k", "&Ambient, at condenser", Kind.TEMPERATURE),
    ("intake_k", "Cabin inta&ke", Kind.TEMPERATURE),
    ("relative_humidity", "Relative &humidity", Kind.FRACTION),
    ("altitude_m", "Al&titude", Kind.LENGTH),
    ("barometer_pa", "or &barometer, absolute", Role.BAROMETER),
    ("blower", "Blo&wer, of full speed", Kind.FRACTION),
    ("run_time_s", "Ran bef&ore, for", Kind.TIME),
)
_CHOICES: tuple[tuple[str, str, tuple[tuple[str, Any], ...]], ...] = (
    ("fan_stage", "Fan &stage at start", (("off", 0), ("1", 1), ("2", 2), ("3", 3), ("4", 4))),
    ("air_source", "Air sour&ce", tuple((one.value, one) for one in AirSource)),
    ("doors", "&Doors", tuple((one.value, one) for one in Opening)),
    ("hood", "Hood (bonn&et)", tuple((one.value, one) for one in Opening)),
    ("sun", "In the su&n", (("no", False), ("yes", True))),
)
_EDGE, _BESIDE, _SPACING = 6, 8, 5
_SHARES = ("relative_humidity", "blower")
_LABELS = {name: label.replace("&", "") for name, label, _ in _QUANTITIES}
_ORDER = (
    "ambient_k",
    "intake_k",
    "relative_humidity",
    "altitude_m",
    "barometer_pa",
    "fan_stage",
    "air_source",
    "blower",
    "doors",
    "hood",
    "sun",
    "run_time_s",
)


class ConditionsForm(QWidget):
    """Conditions and instruments of one session.

    Parameters
    ----------
    without
        Names of conditions that are asked for elsewhere; they count as not recorded here.

    Attributes
    ----------
    changed
        Signal without arguments: something was typed or chosen.
    """

    changed = Signal()

    def __init__(self, units: Units, parent: QWidget | None = None, *, without: Sequence[str] = ()) -> None:
        super().__init__(parent)
        self._order = tuple(name for name in _ORDER if name not in without)
        self._edits = {name: QuantityEdit(what, units) for name, _, what in _QUANTITIES}
        self._combos: dict[str, QComboBox] = {}
        self._values = {name: (None, *(value for _, value in options)) for name, _, options in _CHOICES}
        for name, _, options in _CHOICES:
            combo = DeliberateChoice()
            combo.addItems([NOT_RECORDED, *(text for text, _ in options)])
            self._combos[name] = combo
        self._low, self._high = InstrumentChoice(LOW_GAUGES), InstrumentChoice(HIGH_GAUGES)
        self._line, self._air = InstrumentChoice(LINE_PROBES), InstrumentChoice(AIR_PROBES)
        self._lay_out()
        for edit in self._edits.values():
            edit.changed.connect(self.changed)
        for box in (*self._combos.values(), self._low, self._high, self._line, self._air):
            box.currentIndexChanged.connect(self._tell)

    def conditions(self) -> Conditions:
        """What was entered; an empty field is None."""
        entered: dict[str, Any] = {name: edit.si() for name, edit in self._edits.items()}
        entered |= {name: self._values[name][box.currentIndex()] for name, box in self._combos.items()}
        return Conditions(**entered)

    def instruments(self) -> Instruments:
        """The instruments chosen."""
        return Instruments(
            self._low.instrument(), self._high.instrument(), self._line.instrument(), self._air.instrument()
        )

    def told(self) -> tuple[tuple[str, str], ...]:
        """What was entered, as a name and its words each, for a file that people read."""
        labels = {name: label.replace("&", "") for name, label, _ in (*_QUANTITIES, *_CHOICES)}
        fields = {name: self._edits[name].text().strip() for name in self._order if name in self._edits}
        chosen = {
            name: box.currentText()
            for name, box in self._combos.items()
            if name in self._order and box.currentIndex()
        }
        entered = {name: text for name, text in (fields | chosen).items() if text}
        used = tuple((box.accessibleName(), box.currentText()) for box in self._instruments().values())
        return (*((labels[name], entered[name]) for name in self._order if name in entered), *used)

    def problem(self) -> str:
        """Why the form cannot be used, in words; empty when it can."""
        found = self._first_problem()
        return f"{_LABELS[found[0]]}: {found[1]}" if found else ""

    def focus_problem(self) -> bool:
        """Lead the keyboard to the field that stands against using the form; False when there is none."""
        found = self._first_problem()
        if found is None:
            return False
        self._edits[found[0]].setFocus()
        return True

    def _first_problem(self) -> tuple[str, str] | None:
        """Name of the first field that cannot be used, and why."""
        for name, edit in self._edits.items():
            value = edit.si()
            if edit.problem:
                return name, edit.problem
            if name in _SHARES and value is not None and not 0.0 <= value <= 1.0:
                return name, "a share lies between 0 and 100 %."
        barometer, altitude = self._edits["barometer_pa"].si(), self._edits["altitude_m"].si()
        airs = {"barometer_pa": local_air(barometer, None), "altitude_m": local_air(None, altitude)}
        for name, air in airs.items():
            if air.problem:
                return name, f"{air.problem}."
        return None

    @property
    def entries(self) -> tuple[QWidget, ...]:
        """What can be filled in, from top to bottom."""
        fields = [self._edits.get(name) or self._combos[name] for name in self._order]
        return (*fields, *self._instruments().values())

    def show_values(self, conditions: Conditions, instruments: Instruments) -> None:
        """Fill the form."""
        for name, edit in self._edits.items():
            edit.set_si(getattr(conditions, name))
        for name, box in self._combos.items():
            values = self._values[name]
            wanted = getattr(conditions, name)
            box.setCurrentIndex(values.index(wanted) if wanted in values else 0)
        self._low.set_instrument(instruments.low)
        self._high.set_instrument(instruments.high)
        self._line.set_instrument(instruments.line)
        self._air.set_instrument(instruments.air)

    def set_hint(self, name: str, text: str) -> None:
        """Show in an empty field where its value will come from."""
        self._edits[name].setPlaceholderText(text)

    def snapshot(self) -> dict[str, Any]:
        """Everything entered, as typed."""
        typed: dict[str, Any] = {name: edit.text() for name, edit in self._edits.items()}
        typed |= {name: box.currentIndex() for name, box in self._combos.items()}
        return typed | {name: box.currentText() for name, box in self._instruments().items()}

    def restore(self, typed: dict[str, Any]) -> None:
        """Enter again what `snapshot` took."""
        for name, edit in self._edits.items():
            edit.setText(str(typed.get(name, "")))
        for name, box in self._combos.items():
            box.setCurrentIndex(int(typed.get(name, 0)))
        for name, choice in self._instruments().items():
            choice.setCurrentIndex(max(choice.findText(str(typed.get(name, ""))), 0))

    def align(self, other: QFormLayout) -> None:
        """Let the fields of a form above stand in line with the ones of this form."""
        names = [label for label in self.findChildren(QLabel) if label.buddy() is not None]
        width = max(label.sizeHint().width() for label in names)
        for row in range(other.rowCount()):
            item = other.itemAt(row, QFormLayout.ItemRole.LabelRole)
            if item is not None and (label := item.widget()) is not None:
                label.setMinimumWidth(width)
        other.setContentsMargins(0, 0, _EDGE, 0)
        other.setHorizontalSpacing(_BESIDE)
        other.setVerticalSpacing(_SPACING)

    def _instruments(self) -> dict[str, QComboBox]:
        return {"low": self._low, "high": self._high, "line": self._line, "air": self._air}

    def _lay_out(self) -> None:
        form = QFormLayout(self)
        form.setContentsMargins(0, 0, _EDGE, 0)
        form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        form.setHorizontalSpacing(_BESIDE)
        form.setVerticalSpacing(_SPACING)
        labels = {name: label for name, label, _ in (*_QUANTITIES, *_CHOICES)}
        for name in self._order:
            field = self._edits.get(name) or self._combos[name]
            field.setAccessibleName(labels[name].replace("&", ""))
            form.addRow(labels[name], field)
        heading = QLabel("Measured with")
        heading.setObjectName("quiet")
        form.addRow(heading)
        names = {"low": "&Low side", "high": "Hi&gh side", "line": "Line &probes", "air": "Air probes"}
        for name, choice in self._instruments().items():
            choice.setAccessibleName(f"Measured with, {names[name].replace('&', '').lower()}")
            form.addRow(names[name], choice)
        for entry in self.entries:
            entry.setMinimumWidth(120)
            entry.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def _tell(self) -> None:
        self.changed.emit()
