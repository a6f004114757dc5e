"""Offer steady windows of a session to the book: which, of which car, and why they are known-good."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from knowngood.formatting import clock
from knowngood_checkup.core.admission import State
from knowngood_refdata.drafts import ReadingDraft
from knowngood_refdata.queries import readings, vehicles
from knowngood_refdata.records import Standing

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_checkup.core.admission import Requirement
    from knowngood_refdata.records import SessionInfo, SteadyWindow, Unit
    from knowngood_refdata.store import Store

NEW_CAR = "another car, named below"
BASIS = (
    "Known-good needs a reason: a weighed-in charge with identified gas and no complaint, "
    "a new vehicle, or a repair that was verified afterwards."
)


@dataclass(frozen=True, slots=True)
class Offer:
    """What the user decided: windows, the car they were measured on, standing and reason."""

    windows: tuple[SteadyWindow, ...]
    unit_id: int | None
    new_car: str
    standing: Standing
    why: str


class OfferDialog(QDialog):
    """Asks which windows go into the book. `offer` holds the answer once it was accepted."""

    def __init__(
        self,
        windows: Sequence[SteadyWindow],
        units: Sequence[Unit],
        parent: QWidget | None = None,
        asked: Sequence[Requirement] = (),
        unit_id: int | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Offer to the book of known-good readings")
        self._boxes = [(_window_box(one), one) for one in windows]
        self._car = QComboBox()
        for unit in units:
            self._car.addItem(car_name(unit), unit.id)
        self._car.addItem(NEW_CAR, None)
        if unit_id is not None:
            self._car.setCurrentIndex(self._car.findData(unit_id))
        self._new_car = QLineEdit()
        self._new_car.setPlaceholderText("VIN or fleet number")
        self._known_good = QCheckBox("I decide that these readings are known-good")
        self._why = QPlainTextEdit()
        self._why.setPlaceholderText("Why, in a sentence")
        self._why.setTabChangesFocus(True)
        self._why.setMaximumHeight(70)
        self._lacking = QLabel(lacking_words(asked))
        self._lacking.setWordWrap(True)
        self._problem = QLabel()
        self._problem.setObjectName("problem")
        self._problem.setWordWrap(True)
        self._lay_out()

    @property
    def offer(self) -> Offer:
        """What is chosen at the moment."""
        unit_id = self._car.currentData()
        return Offer(
            windows=tuple(window for box, window in self._boxes if box.isChecked()),
            unit_id=unit_id,
            new_car="" if unit_id is not None else self._new_car.text().strip(),
            standing=Standing.KNOWN_GOOD if self._known_good.isChecked() else Standing.CANDIDATE,
            why=self._why.toPlainText().strip(),
        )

    def accept(self) -> None:
        """Close when the offer is complete, otherwise say what is missing."""
        problem = what_is_missing(self.offer)
        self._problem.setText(problem)
        if not problem:
            super().accept()

    def _lay_out(self) -> None:
        form = QFormLayout()
        form.addRow("Measured on", self._car)
        form.addRow("", self._new_car)
        form.addRow("", self._known_good)
        form.addRow("Reason", self._why)
        buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Save | QDialogButtonBox.StandardButton.Cancel
        )
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        basis = QLabel(BASIS)
        basis.setWordWrap(True)
        layout = QVBoxLayout(self)
        layout.addWidget(QLabel("Steady windows to keep as readings:"))
        for box, _ in self._boxes:
            layout.addWidget(box)
        layout.addLayout(form)
        layout.addWidget(basis)
        layout.addWidget(self._lacking)
        self._lacking.setVisible(bool(self._lacking.text()))
        layout.addWidget(self._problem)
        layout.addWidget(buttons, alignment=Qt.AlignmentFlag.AlignRight)
        self._car.currentIndexChanged.connect(self._ask_for_the_name)
        self._ask_for_the_name()

    def _ask_for_the_name(self) -> None:
        self._new_car.setEnabled(self._car.currentData() is None)


def what_is_missing(offer: Offer) -> str:
    """The sentence that tells what an offer still needs; empty when it is complete."""
    if not offer.windows:
        return "Choose at least one steady window."
    if offer.unit_id is None and not offer.new_car:
        return "Name the car: readings of unnamed cars cannot stand behind a range."
    if offer.standing is Standing.KNOWN_GOOD and not offer.why:
        return "Say why these readings are known-good."
    return ""


def lacking_words(asked: Sequence[Requirement]) -> str:
    """What is missing of what is asked, for whoever decides all the same; empty when nothing is."""
    lacking = [f"{one.needed} ({one.why})" for one in asked if one.state in (State.MISSING, State.AGAINST)]
    return "Missing or against it: " + "; ".join(lacking) + "." if lacking else ""


def keep(store: Store, info: SessionInfo, offer: Offer) -> int:
    """Write the offered windows into the book; return how many readings were kept.

    Raises
    ------
    ValueError
        When the session belongs to no vehicle.
    """
    if info.vehicle_id is None:
        raise ValueError("a session without a vehicle has no place in the book")
    unit_id = offer.unit_id
    if unit_id is None:
        unit_id = vehicles.add_unit(store, info.vehicle_id, fleet_number=offer.new_car)
    for window in offer.windows:
        reading_id = readings.add(store, _draft(info, window, unit_id))
        if offer.standing is not Standing.CANDIDATE:
            readings.decide(store, reading_id, 1, offer.standing, offer.why)
    return len(offer.windows)


def car_name(unit: Unit) -> str:
    """How a car is called in lists."""
    return unit.fleet_number or unit.vin or unit.note or f"car {unit.id}"


def _draft(info: SessionInfo, window: SteadyWindow, unit_id: int) -> ReadingDraft:
    return ReadingDraft(
        vehicle_id=info.vehicle_id or 0,
        unit_id=unit_id,
        session_id=info.id,
        taken_at=info.started_at or datetime.now(UTC),
        conditions=info.conditions,
        engine_rpm=window.engine_rpm,
        fan_stage=window.fan_stage,
        values=window.values,
    )


def _window_box(window: SteadyWindow) -> QCheckBox:
    box = QCheckBox(f"{window.label}, {clock(window.start_s)} to {clock(window.end_s)}")
    box.setChecked(window.fan_stage is not None)
    return box
