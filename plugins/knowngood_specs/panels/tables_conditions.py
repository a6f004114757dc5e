"""The fields of today's conditions, and what they say together."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, TypeVar

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QComboBox, QVBoxLayout, QWidget

from knowngood.widgets import QuantityEdit
from knowngood_refdata.published.terms import Circuit
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import AirSource, Conditions, Opening, Role
from knowngood_specs.core.tables.set_up import SUN
from knowngood_specs.panels.labels import link
from knowngood_specs.panels.named_fields import NamedFields

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from knowngood.units import Units

Word = TypeVar("Word", bound=StrEnum)

NOT_SAID = "not recorded"
RUNNING, AT_REST = "running", "at rest"


class ConditionsForm(QWidget):
    """The usual conditions, and under a link the others.

    Attributes
    ----------
    typed
        Signal without arguments: somebody changed a value. A change of units, or `fill`, is none.
    """

    typed = Signal()

    def __init__(self, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._filling = False
        self.state = _choice((RUNNING, AT_REST), empty=False)
        self.ambient = QuantityEdit(Kind.TEMPERATURE, units)
        self.intake = QuantityEdit(Kind.TEMPERATURE, units)
        self.humidity = QuantityEdit(Kind.FRACTION, units)
        self.engine = QuantityEdit(Kind.ROTATION, units)
        self.blower = QuantityEdit(Kind.FRACTION, units)
        self.run_time = QuantityEdit(Kind.TIME, units)
        self.liquid_line = QuantityEdit(Kind.TEMPERATURE, units)
        self.altitude = QuantityEdit(Kind.LENGTH, units)
        self.barometer = QuantityEdit(Role.BAROMETER, units)
        self.air_source, self.doors = _choice(AirSource), _choice(Opening)
        self.windows, self.hood = _choice(Opening), _choice(Opening)
        self.sun, self.circuit = _choice(SUN), _choice(Circuit)
        self._more = link("More conditions", self._show_rest)
        self._lay_out()
        self._before = self._values()
        for edit in self.edits:
            edit.changed.connect(self._changed)
        for box in self._boxes:
            box.currentIndexChanged.connect(self._changed)

    @property
    def conditions(self) -> Conditions:
        """What is recorded; an empty field is None."""
        return Conditions(
            ambient_k=self.ambient.si(),
            intake_k=self.intake.si(),
            relative_humidity=self.humidity.si(),
            barometer_pa=self.barometer.si(),
            altitude_m=self.altitude.si(),
            blower=self.blower.si(),
            air_source=chosen(self.air_source, AirSource),
            doors=chosen(self.doors, Opening),
            hood=chosen(self.hood, Opening),
            sun=SUN.get(self.sun.currentText()),
            run_time_s=self.run_time.si(),
        )

    @property
    def edits(self) -> Sequence[QuantityEdit]:
        """The fields with a number."""
        return (
            self.ambient, self.intake, self.humidity, self.engine, self.blower,
            self.run_time, self.liquid_line, self.altitude, self.barometer,
        )  # fmt: skip

    @property
    def empty(self) -> bool:
        """Whether nothing is filled in."""
        return not any(edit.text().strip() for edit in self.edits) and not any(
            box.currentIndex() > 0 for box in self._boxes
        )

    def fill(self, known: Conditions, engine_rpm: float | None) -> None:
        """Write recorded conditions of a running system into the fields; those not recorded become empty."""
        self._filling = True
        for field, value in (
            (self.ambient, known.ambient_k),
            (self.intake, known.intake_k),
            (self.humidity, known.relative_humidity),
            (self.engine, engine_rpm),
            (self.blower, known.blower),
            (self.run_time, known.run_time_s),
            (self.barometer, known.barometer_pa),
            (self.altitude, known.altitude_m),
            (self.liquid_line, None),
        ):
            field.set_si(value)
        sun = next((name for name, is_sun in SUN.items() if is_sun is known.sun), "")
        for box, text in (
            (self.state, RUNNING),
            (self.air_source, known.air_source or ""),
            (self.doors, known.doors or ""),
            (self.hood, known.hood or ""),
            (self.sun, sun),
        ):
            box.setCurrentIndex(max(box.findText(text), 0))
        self._filling = False
        self._before = self._values()
        self._tell_rest()

    @property
    def _boxes(self) -> Sequence[QComboBox]:
        return self.state, self.air_source, self.doors, self.windows, self.hood, self.sun, self.circuit

    def _changed(self) -> None:
        values = self._values()
        # A change of units writes the same values anew: nobody has typed.
        if self._filling or values == self._before:
            return
        self._before = values
        self._tell_rest()
        self.typed.emit()

    def _values(self) -> tuple[object, ...]:
        typed = [(edit.si(), edit.problem) for edit in self.edits]
        return (*typed, *(box.currentIndex() for box in self._boxes))

    def _show_rest(self) -> None:
        self._rest.setVisible(self._rest.isHidden())
        self._tell_rest()

    def _tell_rest(self) -> None:
        known = sum(edit.si() is not None for edit in self.edits if self._rest.isAncestorOf(edit))
        known += sum(box.currentIndex() > 0 for box in self._boxes if self._rest.isAncestorOf(box))
        more = f"More conditions ({known} known)" if known else "More conditions"
        self._more.setText(more if self._rest.isHidden() else "Fewer conditions")

    def _lay_out(self) -> None:
        usual = NamedFields(
            [
                ("System", self.state),
                ("Ambient", self.ambient),
                ("Cabin intake", self.intake),
                ("Humidity", self.humidity),
                ("Engine speed", self.engine),
                ("Air source", self.air_source),
                ("Doors", self.doors),
                ("Hood", self.hood),
            ]
        )
        self._rest = NamedFields(
            [
                ("Windows", self.windows),
                ("Blower", self.blower),
                ("Sun", self.sun),
                ("Run time", self.run_time),
                ("Circuit", self.circuit),
                ("Liquid line", self.liquid_line),
                ("Altitude", self.altitude),
                ("or barometer", self.barometer),
            ]
        )
        self._rest.hide()
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(8)
        layout.addWidget(usual)
        layout.addWidget(self._more, alignment=Qt.AlignmentFlag.AlignLeft)
        layout.addWidget(self._rest)


def chosen(box: QComboBox, words: type[Word]) -> Word | None:
    """The word that a box shows, None while it says that nothing is recorded."""
    text = box.currentText()
    return None if text == NOT_SAID else words(text)


def _choice(choices: Iterable[str], *, empty: bool = True) -> QComboBox:
    box = QComboBox()
    box.addItems([*([NOT_SAID] if empty else []), *map(str, choices)])
    box.setMinimumContentsLength(8)
    box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    return box
