"""From a VIN to the vehicle: what it tells, which vehicles fit and why, and the question that settles it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
)

from knowngood.widgets import Card
from knowngood.widgets.form import named
from knowngood.widgets.room import open_at
from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import vehicles
from knowngood_refdata.queries.filters import Choice, choices
from knowngood_refdata.vin import read_vin
from knowngood_refdata.vin_months import read_build_month
from knowngood_refdata.vin_points import Known
from knowngood_specs.core.vin_search import Outcome, new_vehicle
from knowngood_specs.panels.form_dialog import choice_entry
from knowngood_specs.panels.labels import plain
from knowngood_specs.panels.vin_facts import VinFacts
from knowngood_specs.panels.vin_fits import FitList
from knowngood_specs.panels.vin_question import QuestionBar
from knowngood_specs.vin_lookup import VinAnswer, look_up_vin

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from PySide6.QtWidgets import QLayout, QWidget

    from knowngood.api import Host
    from knowngood_refdata.queries.vin_candidates import Candidate
    from knowngood_refdata.vin_question import Answer

LOOK_AFTER_MS = 150
NONE_FITS = "No vehicle of the library fits. Add the vehicle: what the VIN tells is filled in."
LOOKING = "Looking..."


class VinDialog(QDialog):
    """Asks for a VIN and offers what fits.

    Nothing that is wrong with a VIN stands in the way of choosing a vehicle or of keeping the car.

    Parameters
    ----------
    keep
        Keeps what is typed, at every change.
    kept
        What was kept of an earlier attempt.

    Attributes
    ----------
    taken
        The id of the vehicle that was chosen, None without one.
    to_add
        The entries of the vehicle to be added instead, None when none is to be added.
    """

    def __init__(
        self,
        host: Host,
        keep: Callable[[dict[str, str]], None],
        kept: Mapping[str, object] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._keep_typed = keep
        self.setWindowTitle("Find a vehicle by its VIN")
        self.taken: int | None = None
        self.to_add: dict[str, str] | None = None
        self._host = host
        self._vin = read_vin("")
        self._answers: list[Answer[Candidate]] = []
        self._asked = self._shown = 0
        self.entry, self.month, self.fleet_number = QLineEdit(), QLineEdit(), QLineEdit()
        self.make = choice_entry((), name="make")
        self.facts, self.question, self.fits = VinFacts(), QuestionBar(), FitList()
        self.keep = QCheckBox("&Keep this car with its VIN")
        self._state, self._month_words, self._trouble = plain(), plain(name="problem"), plain(name="problem")
        self.show_button, self.add_button = (
            QPushButton("&Show this vehicle"),
            QPushButton("&Add a vehicle..."),
        )
        self._wait = QTimer(self)
        self._wait.setSingleShot(True)
        self._wait.setInterval(LOOK_AFTER_MS)
        self._lay_out()
        self._connect()
        self._say_trouble("")
        self._offer_makes()
        self._begin(kept or {})
        open_at(self, 980, 560)

    @property
    def looking(self) -> bool:
        """Whether the library is still to be compared with what was typed last."""
        return self._wait.isActive() or self._shown != self._asked

    def keep_car(self, vehicle_id: int) -> None:
        """Keep the car with its VIN, when the reader asked for that; trouble is said in words."""
        if not self.keep.isChecked() or not self.keep.isEnabled():
            return
        fleet_number = self.fleet_number.text().strip()
        try:
            vehicles.add_unit(
                self._host.store, vehicle_id, vin=self._vin.characters, fleet_number=fleet_number
            )
        except (StoreError, ValueError) as error:
            self._host.say(f"The car was not kept. {error}")
        else:
            self._host.say(f"The car with the VIN {self._vin.characters} was kept.")

    def _lay_out(self) -> None:
        self.entry.setPlaceholderText("17 characters, or a part")
        self.month.setPlaceholderText("door label, 06/21")
        self.fleet_number.setPlaceholderText("if it has one")
        typed = QHBoxLayout()
        typed.setSpacing(8)
        for name, field, share in (
            ("V&IN", self.entry, 3),
            ("&Make", self.make, 2),
            ("&Build month", self.month, 1),
        ):
            typed.addWidget(named(name, field))
            typed.addWidget(field, stretch=share)
        fitting = Card("Vehicles that fit")
        for widget in (self.question, self._state, self.fits):
            fitting.body.addWidget(widget)
        beside = QHBoxLayout()
        beside.setSpacing(16)
        beside.addWidget(_scrolling(self.facts))
        beside.addWidget(fitting, stretch=1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(18, 16, 18, 16)
        layout.setSpacing(12)
        layout.addLayout(typed)
        layout.addWidget(self._month_words)
        layout.addLayout(beside, stretch=1)
        layout.addWidget(self._trouble)
        layout.addLayout(self._buttons())

    def _buttons(self) -> QLayout:
        close = QPushButton("Close")
        self.show_button.setObjectName("main")
        self.show_button.setDefault(True)
        for button in (self.add_button, close):
            button.setAutoDefault(False)
        close.clicked.connect(self.reject)
        kept, row = QHBoxLayout(), QHBoxLayout()
        for widget in (self.keep, named("F&leet number", self.fleet_number), self.fleet_number):
            kept.addWidget(widget)
        kept.addStretch(1)
        row.addWidget(self.add_button)
        row.addStretch(1)
        row.addWidget(close)
        row.addWidget(self.show_button)
        both = QVBoxLayout()
        both.setSpacing(10)
        both.addLayout(kept)
        both.addLayout(row)
        return both

    def _connect(self) -> None:
        self.entry.textChanged.connect(self._read)
        self.month.textChanged.connect(self._read)
        self.make.currentTextChanged.connect(self._read)
        self.facts.meant.connect(self.entry.setText)
        self._wait.timeout.connect(self._look)
        self.question.answered.connect(self._narrow)
        self.question.again.connect(self._start_over)
        self.fits.chosen.connect(self._say_what_can_be_done)
        self.fits.taken.connect(self.accept)
        self.show_button.clicked.connect(self.accept)
        self.add_button.clicked.connect(self._add)
        self.fleet_number.textEdited.connect(lambda: self.keep.setChecked(True))

    def accept(self) -> None:
        """Take the vehicle chosen, and keep the car when that was asked for."""
        if self.looking or (chosen := self.fits.chosen_id) is None:
            return
        self.keep_car(chosen)
        self.taken = chosen
        super().accept()

    def _add(self) -> None:
        known = {"make": self.make.currentText().strip()}
        self.to_add = new_vehicle(self._vin) | {name: text for name, text in known.items() if text}
        super().accept()

    def _offer_makes(self) -> None:
        try:
            makes = choices(self._host.store, Choice.MAKE)
        except StoreError as error:
            self._say_trouble(str(error))
        else:
            self.make.addItems(makes)
        if (line := self.make.lineEdit()) is not None:
            line.setPlaceholderText("any")

    def _begin(self, kept: Mapping[str, object]) -> None:
        """Fill in what was typed before the dialog was closed without a choice."""
        self.month.setText(str(kept.get("month", "")))
        self.make.setEditText(str(kept.get("make", "")))
        self.entry.setText(str(kept.get("vin", "")))
        self._read()

    def _read(self) -> None:
        self._vin = read_vin(self.entry.text())
        self.facts.show_vin(self._vin)
        self._answers = []
        typed = {"vin": self.entry.text(), "month": self.month.text(), "make": self.make.currentText()}
        self._keep_typed({name: text for name, text in typed.items() if text})
        self._wait.start()
        self._say_what_can_be_done()

    def _known(self) -> Known:
        try:
            month, words = read_build_month(self.month.text()), ""
        except ValueError as error:
            month, words = "", str(error)
        self._month_words.setText(words)
        self._month_words.setVisible(bool(words))
        return Known(build_month=month, make=self.make.currentText().strip())

    def _look(self) -> None:
        """Compare with the library off the GUI thread; only the last question's answer is shown."""
        self._wait.stop()
        self._asked += 1
        vin, known, asked = self._vin, self._known(), self._asked
        left = tuple(fit.vehicle for fit in self._answers[-1].left) if self._answers else None
        if not vin.usable and not (known.build_month or known.make):
            self._show(VinAnswer(Outcome((), 0, None)), asked)
            return
        self._state.setText(LOOKING)
        self._host.tasks.run(
            "VIN",
            lambda _progress: look_up_vin(self._host.store, vin, known, left),
            done=lambda answer: self._show(answer, asked),
            failed=lambda error: self._fail(error, asked),
            quiet=True,
        )

    def _show(self, answer: VinAnswer, asked: int) -> None:
        if asked != self._asked:
            return
        self._shown = asked
        outcome = answer.outcome
        self._say_trouble("")
        self.question.ask(outcome.question, tuple(one.words for one in self._answers))
        self.fits.show_fits(outcome.fits, answer.cars)
        searched = bool(outcome.fits or outcome.excluded) or self._vin.usable
        self._state.setText(_state(answer) if searched else "")
        self._state.setVisible(bool(self._state.text()))
        self.keep.setEnabled(self._can_keep(answer))
        self._say_what_can_be_done()

    def _fail(self, error: BaseException, asked: int) -> None:
        if asked == self._asked:
            self._shown = asked
            self._state.clear()
            self._say_trouble(str(error))

    def _say_trouble(self, words: str) -> None:
        self._trouble.setText(words)
        self._trouble.setVisible(bool(words))

    def _can_keep(self, answer: VinAnswer) -> bool:
        return bool(self._vin.characters) and not answer.cars

    def _narrow(self, answer: Answer[Candidate]) -> None:
        self._answers.append(answer)
        self._look()

    def _start_over(self) -> None:
        self._answers = []
        self._look()

    def _say_what_can_be_done(self) -> None:
        self.show_button.setEnabled(self.fits.chosen_id is not None and not self.looking)
        self.keep.setEnabled(self.keep.isEnabled() and bool(self._vin.characters))

    def done(self, result: int) -> None:
        """Ask nothing more of the library once the dialog is closed."""
        self._wait.stop()
        self._asked += 1
        super().done(result)


def _scrolling(facts: VinFacts) -> QScrollArea:
    # On a low screen many warnings scroll and leave the buttons in sight.
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setWidget(facts)
    area.setFixedWidth(310)
    return area


def _state(answer: VinAnswer) -> str:
    outcome = answer.outcome
    if answer.left_aside:
        return (
            f"{answer.left_aside:,} vehicles have no VIN pattern on record: choose the make to compare them."
        )
    if not outcome.fits:
        return NONE_FITS
    others = f"; {outcome.excluded:,} compared and left out" if outcome.excluded else ""
    count = len(outcome.fits)
    return f"{count:,} vehicle{'s' if count > 1 else ''} may be meant{others}."
