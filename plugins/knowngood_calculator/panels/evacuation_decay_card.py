"""The card of the decay test: the record, its curve, the verdict and why."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy

from knowngood.formatting import COVERAGE_95, Shown
from knowngood.widgets import Card
from knowngood.widgets.answer_line import AnswerLine
from knowngood.widgets.form import words
from knowngood_calculator.core.decay import USUAL_K, DecayFinding, judge_decay
from knowngood_calculator.core.decay_text import DecayUnreadable, read_decay
from knowngood_calculator.core.evacuation import STANDING_CAUTIONS
from knowngood_calculator.panels.evacuation_curve import DecayCurve
from knowngood_calculator.panels.evacuation_record import RecordInput
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_calculator.core.decay_hold import Decay

NAMES_WIDTH = 84
INVITATION = "Close the valve to the pump, hold at least 10 min, and paste, type or import its readings."
LONG_TEXT, PAUSE_MS = 20_000, 150
"""A text of so many letters is judged when the typing pauses."""

TEN_MINUTES_S = 600.0
LEFT_OUT, MOST_LINES = "Line ", 2
"""How the notice on a line begins, and how many of them are shown."""


class DecayCard(Card):
    """Judges as one types, for the coldest part given last to `refresh`."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(
            "Decay test", "the pressure behind the closed valve: tight, moisture or leak", parent
        )
        self._units = host.units
        self._coldest_k: float | None = None
        self.record = RecordInput(host)
        self.curve = DecayCurve(host.units)
        self.verdict = AnswerLine("Verdict", host.units, NAMES_WIDTH)
        self.level, self.rise, self.plateau = (
            AnswerLine(name, host.units, NAMES_WIDTH, compact=True)
            for name in ("Level at end", "Rise at end", "Levels off at")
        )
        self.notices, self.basis = words("quiet"), words("quiet")
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(PAUSE_MS)
        self._lay_out()
        self._pause.timeout.connect(self._answer)
        self.record.changed.connect(self._typed)

    def refresh(self, coldest_k: float | None) -> None:
        """Judge anew for the coldest part [K], None where it is not known, and in the units shown."""
        self._coldest_k = coldest_k
        self._answer()

    def _typed(self) -> None:
        if len(self.record.text) > LONG_TEXT:
            self._pause.start()
        else:
            self._answer()

    def _answer(self) -> None:
        self._pause.stop()
        if not self.record.text.strip():
            self._show_nothing("")
            self.verdict.say("", INVITATION)
            return
        try:
            decay = read_decay(
                self.record.text, time_unit=self.record.time_unit, pressure_unit=self.record.pressure_unit
            )
        except DecayUnreadable as error:
            self._show_nothing(str(error))
            return
        self._show(decay, judge_decay(decay, USUAL_K if self._coldest_k is None else self._coldest_k))

    def _show_nothing(self, problem: str) -> None:
        self.verdict.clear(problem)
        for line in (self.level, self.rise, self.plateau):
            line.hide()
        self.curve.clear()
        self._tell(())
        self.basis.hide()

    def _show(self, decay: Decay, found: DecayFinding) -> None:
        self.verdict.say(found.verdict, found.reason)
        self._show_numbers(found)
        self.curve.show_decay(decay)
        self._tell(decay.notices)
        coldest = self._units.text(USUAL_K if self._coldest_k is None else self._coldest_k, Kind.TEMPERATURE)
        taken = ", taken where none is known" if self._coldest_k is None else ""
        self.basis.setText(f"Water is judged for the coldest part at {coldest}{taken}.")
        self.basis.show()

    def _show_numbers(self, found: DecayFinding) -> None:
        units = self._units
        self.level.say(units.text(found.level_pa, Shown.VACUUM) if found.level_pa is not None else "")
        rise = ""
        if found.rate_pa_s is not None and found.rate_uncertainty_pa_s is not None:
            width = COVERAGE_95 * TEN_MINUTES_S * found.rate_uncertainty_pa_s
            told = units.text(TEN_MINUTES_S * found.rate_pa_s, Shown.VACUUM, uncertainty_si=width)
            rise = f"{told} in 10 min"
        self.rise.say(rise)
        self.plateau.say(units.text(found.plateau_pa, Shown.VACUUM) if found.plateau_pa is not None else "")
        for line in (self.level, self.rise, self.plateau):
            line.setVisible(bool(line.text))

    def _tell(self, notices: tuple[str, ...]) -> None:
        """Show the notices; of the lines that were left out the first, and how many more there are."""
        left_out = [one for one in notices if one.startswith(LEFT_OUT)]
        shown = left_out[:MOST_LINES]
        if len(left_out) > MOST_LINES:
            shown.append(f"{len(left_out) - MOST_LINES} more lines were left out.")
        shown += [one for one in notices if not one.startswith(LEFT_OUT)]
        self.notices.setText("\n".join(shown))
        self.notices.setVisible(bool(shown))

    def _lay_out(self) -> None:
        middle = QHBoxLayout()
        middle.setSpacing(14)
        middle.addWidget(self.record, stretch=3)
        middle.addWidget(self.curve, stretch=7)
        self.body.addLayout(self.record.bar())
        self.body.addWidget(self.record.told)
        self.body.addLayout(middle, stretch=1)
        for widget in (self.notices, self.verdict, self.level, self.rise, self.plateau, self.basis):
            self.body.addWidget(widget)
        for caution in STANDING_CAUTIONS:
            self.body.addWidget(words("quiet", caution))
        self.body.setSpacing(4)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Expanding)
