"""What the columns of a log are, what is still open, what is odd, and how it then looks: one live whole."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from knowngood.widgets import Card
from knowngood.widgets.form import words
from knowngood_refdata.local_air import local_air
from knowngood_refdata.refrigerants import UnknownRefrigerant, saturation
from knowngood_sessions.core.mapping.mapping_oddities import mapping_oddities
from knowngood_sessions.core.mapping.odd_units import Surroundings
from knowngood_sessions.panels.mapping_form import MappingForm
from knowngood_sessions.panels.mapping_preview import MappingPreview
from knowngood_sessions.panels.scrolled import scrolled

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from knowngood.units import Units
    from knowngood_refdata.quantities import Kind
    from knowngood_refdata.records import Conditions, Instruments, Role
    from knowngood_refdata.refrigerants import SaturationCurve
    from knowngood_sessions.core.mapping.assignment import Assignment
    from knowngood_sessions.core.mapping.importing import Prepared
    from knowngood_sessions.core.mapping.odd_units import Oddity
    from knowngood_sessions.core.mapping.questions import Question

_USUAL_REFRIGERANT = "R-134a"


class MappingSheet(QWidget):
    """Columns with the plot of the first minutes below them; `questions_card` goes beside them.

    Attributes
    ----------
    changed
        Signal without arguments: the mapping is another.
    """

    changed = Signal()

    def __init__(
        self,
        prepared: Prepared,
        units: Units,
        about: str,
        conditions: Callable[[], tuple[str, Conditions, Instruments]],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._prepared, self._units, self._conditions = prepared, units, conditions
        self.form = MappingForm(prepared)
        self.preview = MappingPreview(prepared.table, units)
        self.questions_card = Card("Must be answered")
        self._odd = words("notice")
        # Reached with Tab, what is odd comes into sight where there is little room.
        self._odd.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._lay_out(about)
        self.form.changed.connect(self._mapping_changed)
        self.form.question_list.answered.connect(lambda _: self.form.question_list.focus_first())
        units.changed.connect(self.judge)
        self.judge()
        self.preview.draw()

    @property
    def mapping(self) -> Mapping[str, Assignment]:
        """What every column is taken for."""
        return self.form.mapping

    @property
    def questions(self) -> tuple[Question, ...]:
        """What is still open."""
        return self.form.questions

    @property
    def oddities(self) -> str:
        """What is odd, in words; empty when nothing is."""
        return self._odd.text()

    def judge(self) -> None:
        """Look at the mapping again under the conditions as they are now."""
        refrigerant, conditions, instruments = self._conditions()
        barometer_pa = local_air(conditions.barometer_pa, conditions.altitude_m).pressure_pa
        shown = self.preview.show_mapping(self.mapping, barometer_pa)
        around = Surroundings(
            _curve(refrigerant),
            instruments,
            ambient_k=conditions.ambient_k,
            intake_k=conditions.intake_k,
            barometer_pa=barometer_pa,
        )

        def write(value: float, what: Role | Kind) -> str:
            return self._units.text(value, what, barometer_pa=barometer_pa)

        found = mapping_oddities(self._prepared.table, self.mapping, shown, around, write)
        # What is asked about a column need not be told about it as well.
        asked = {self.mapping[one.column].use for one in self.questions if one.column in self.mapping}
        self._show(tuple(one for one in found if not asked & set(one.roles)))

    def tab_order(self) -> list[QWidget]:
        """What takes the keyboard, in order: the columns, then the questions."""
        return [*self.form.entries, *self.form.question_list.answers, self._odd]

    def _mapping_changed(self) -> None:
        self.judge()
        self.changed.emit()

    def _show(self, found: tuple[Oddity, ...]) -> None:
        self._odd.setText("\n".join(f"\N{BULLET} {one.text}" for one in found))
        self._odd.setVisible(bool(found))
        asked = bool(self.questions)
        self.form.question_list.setVisible(asked)
        title = "Must be answered" if asked else "Worth a look"
        self.questions_card.set_title(title, "" if asked else "Nothing of this stands against going on.")
        self.questions_card.setVisible(asked or bool(found))

    def _lay_out(self, about: str) -> None:
        columns = Card("Columns of the log", about)
        columns.body.addWidget(scrolled(self.form))
        first = Card("", "The first minutes, as they are understood now")
        first.body.addWidget(self.preview)
        inside = QWidget()
        both = QVBoxLayout(inside)
        both.setContentsMargins(0, 0, 0, 0)
        both.addWidget(self.form.question_list)
        both.addWidget(self._odd)
        both.addStretch(1)
        self.questions_card.body.addWidget(scrolled(inside, sideways=False))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        # The columns take the room they need; the plot has what is left.
        layout.addWidget(columns)
        layout.addWidget(first, stretch=1)


def _curve(refrigerant: str) -> SaturationCurve:
    """That of the refrigerant; while none is chosen a usual one, which is near enough to judge units by."""
    try:
        return saturation(refrigerant)
    except UnknownRefrigerant:
        return saturation(_USUAL_REFRIGERANT)
