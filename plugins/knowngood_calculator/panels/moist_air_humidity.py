"""The fields of one state of air: its dry bulb, and a humidity in the measure of one's choice."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QComboBox, QLabel, QStackedWidget

from knowngood.widgets import QuantityEdit
from knowngood.widgets.answer_line import sentence
from knowngood.widgets.form import form
from knowngood_calculator.core.air_measures import Measure
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from knowngood.units import Units


class HumidityForm(QObject):
    """One field a measure, of which the chosen one is seen and counts.

    ``letters`` lead, with Alt, to the dry bulb, to the choice of the measure, and to the measure: the first
    of them that a name has.

    Attributes
    ----------
    changed
        Signal without arguments: something was typed in a field that is seen.
    switched
        Signal without arguments: another measure was chosen.
    """

    changed = Signal()
    switched = Signal()

    def __init__(self, units: Units, letters: tuple[str, str, str], names_width: int) -> None:
        super().__init__()
        self._letters = letters[2]
        self.dry_bulb = QuantityEdit(Kind.TEMPERATURE, units)
        self.choice = QComboBox()
        self.choice.addItems(list(Measure))
        self._edits = {measure: QuantityEdit(measure.kind, units) for measure in Measure}
        self._stack = QStackedWidget()
        for edit in self._edits.values():
            self._stack.addWidget(edit)
        self.layout = form(
            (
                ((_marked("Dry bulb", letters[0]), self.dry_bulb),),
                ((_marked("Humidity by", letters[1]), self.choice),),
                (("", self._stack),),
            ),
            names_width,
        )
        self._name = self._label()
        self._switch()
        self.dry_bulb.changed.connect(self.changed)
        for edit in self._edits.values():
            edit.changed.connect(self._typed)
        self.choice.currentIndexChanged.connect(self._switch)

    @property
    def measure(self) -> Measure:
        """What the humidity is given by."""
        return Measure(self.choice.currentText())

    @property
    def edit(self) -> QuantityEdit:
        """The field of the chosen measure."""
        return self._edits[self.measure]

    def choose(self, measure: Measure) -> None:
        """Give the humidity by another measure."""
        self.choice.setCurrentText(measure)

    def _typed(self) -> None:
        # The fields that are not seen are written anew, too, when the unit system changes.
        if self.sender() is self.edit:
            self.changed.emit()

    def _switch(self) -> None:
        self._stack.setCurrentWidget(self.edit)
        title = sentence(self.measure)
        self._name.setText(_marked(title, self._letters))
        self._name.setBuddy(self.edit)
        self.edit.setAccessibleName(title)
        self.switched.emit()

    def _label(self) -> QLabel:
        item = self.layout.itemAtPosition(2, 0)
        label = None if item is None else item.widget()
        assert isinstance(label, QLabel)
        return label


def _marked(title: str, letters: str) -> str:
    """A title with ``&`` before the first of the letters that it has."""
    places = (title.lower().find(letter) for letter in letters)
    place = next(place for place in places if place >= 0)
    return f"{title[:place]}&{title[place:]}"
