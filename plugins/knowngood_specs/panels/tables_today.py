"""Today's conditions for published tables: of a steady window of the session in hand, or typed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QSizePolicy

from knowngood.widgets import Card
from knowngood.widgets.form import named, words
from knowngood_refdata.errors import StoreError
from knowngood_refdata.local_air import LocalAir, local_air
from knowngood_refdata.published.set_up import Today
from knowngood_refdata.published.terms import Circuit
from knowngood_refdata.queries import sessions
from knowngood_refdata.records import Conditions, MeteringDevice, Opening, Role
from knowngood_specs.core.fields import METERING
from knowngood_specs.panels.tables_conditions import AT_REST, ConditionsForm, chosen

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_refdata.records import SessionInfo, SteadyWindow, Vehicle

TYPED = "the fields below, as typed"
ANOTHER = "The session in hand is of another vehicle, so its conditions are not taken."
HINT = "Type what you know, or take a session of this vehicle in hand."


class TodayCard(Card):
    """Fields for the conditions; a session of the vehicle fills them, and typing goes before it.

    Attributes
    ----------
    changed
        Signal without arguments: ask `today`, `steady_window` and `barometer_pa`.
    """

    changed = Signal()

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__("Today", "the system as it stands; nothing left empty is assumed", parent=parent)
        self._host = host
        self._vehicle: Vehicle | None = None
        self._session: SessionInfo | None = None
        self._windows: tuple[SteadyWindow, ...] = ()
        self._another = False
        self.source, self.form = QComboBox(), ConditionsForm(host.units)
        self._known, self._problem = words("quiet"), words("problem")
        self._lay_out()
        self.form.typed.connect(self._typed)
        self.source.activated.connect(self._take)
        host.bench.session_changed.connect(self._follow)
        host.bench.findings_changed.connect(self._follow)
        host.units.changed.connect(self._tell)

    @property
    def steady_window(self) -> SteadyWindow | None:
        """The steady window whose conditions these are; None when they were typed."""
        place = self.source.currentIndex() - 1
        return self._windows[place] if 0 <= place < len(self._windows) else None

    @property
    def barometer_pa(self) -> float:
        """The air pressure that gauge pressures count from."""
        return self._air().pressure_pa

    @property
    def today(self) -> Today:
        """The system as it stands, with what the record says of the vehicle."""
        vehicle, session = self._vehicle, self._session if self.steady_window is not None else None
        recorded = "" if vehicle is None else vehicle.refrigerant or ""
        form = self.form
        return Today(
            conditions=form.conditions,
            engine_rpm=form.engine.si(),
            at_rest=form.state.currentText() == AT_REST,
            refrigerant=session.refrigerant if session is not None else recorded,
            metering=metering_of(vehicle),
            circuit=chosen(form.circuit, Circuit),
            windows=chosen(form.windows, Opening),
            liquid_line_k=form.liquid_line.si(),
        )

    def show_vehicle(self, vehicle: Vehicle) -> None:
        """Follow another vehicle; a session of it that is in hand fills the fields."""
        self._vehicle = vehicle
        self._follow()

    def _follow(self) -> None:
        """List the windows of the session in hand, and take its first one unless something was typed."""
        held = self._host.bench.session
        mine = held is not None and self._vehicle is not None and held.vehicle_id == self._vehicle.id
        session = held if mine else None
        found = () if session is None else self._found(session.id)
        if (session, found) != (self._session, self._windows):
            was_filled = self.steady_window is not None
            self._session, self._windows = session, found
            self._list(was_filled=was_filled)
        self._another = held is not None and not mine
        self._tell()
        self.changed.emit()

    def _found(self, session_id: int) -> tuple[SteadyWindow, ...]:
        try:
            return sessions.findings(self._host.store, session_id).windows
        except StoreError as error:
            self._host.say(str(error))
            return ()

    def _list(self, *, was_filled: bool) -> None:
        typed = not self.form.empty and not was_filled
        title = "" if self._session is None else self._session.title or f"session {self._session.id}"
        self.source.clear()
        self.source.addItems([TYPED, *(f"{title}: {one.label}" for one in self._windows)])
        self.source.setEnabled(bool(self._windows))
        if self._windows and not typed:
            self.source.setCurrentIndex(1)
            self._fill()
        elif was_filled:
            self.form.fill(Conditions(), None)

    def _take(self) -> None:
        self._fill()
        self._tell()
        self.changed.emit()

    def _fill(self) -> None:
        window = self.steady_window
        if window is not None and self._session is not None:
            self.form.fill(self._session.conditions, window.engine_rpm)

    def _typed(self) -> None:
        # Conditions changed by hand are no longer those of the session.
        self.source.setCurrentIndex(0)
        self._tell()
        self.changed.emit()

    def _air(self) -> LocalAir:
        return local_air(self.form.barometer.si(), self.form.altitude.si())

    def _tell(self) -> None:
        today, air = self.today, self._air()
        known = [part for part in (today.refrigerant, today.metering) if part]
        said = f"Of this vehicle: {', '.join(known)}." if known else "Refrigerant and device not on record."
        pressure = self._host.units.text(air.pressure_pa, Role.BAROMETER)
        hint = ANOTHER if self._another else "" if self.steady_window is not None else HINT
        self._known.setText(f"{said} Gauges count from {pressure}: {air.origin}. {hint}".strip())
        problems = [edit.problem for edit in self.form.edits if edit.problem]
        if air.problem:
            problems.append(air.problem[:1].upper() + air.problem[1:] + ".")
        self._problem.setText(" ".join(problems))
        self._problem.setVisible(bool(problems))

    def _lay_out(self) -> None:
        self.source.addItem(TYPED)
        self.source.setEnabled(False)
        self.source.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.source.setMinimumContentsLength(12)
        self.source.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        row = QHBoxLayout()
        row.addWidget(named("&Conditions of", self.source))
        row.addWidget(self.source, stretch=1)
        self.body.addLayout(row)
        for part in (self.form, self._known, self._problem):
            self.body.addWidget(part)
        self._problem.hide()


def metering_of(vehicle: Vehicle | None) -> MeteringDevice | None:
    """The expansion device on record, None when none is or its words name none that tables know."""
    value = None if vehicle is None else vehicle.spec(METERING.name)
    text = "" if value is None else value.as_printed.casefold()
    # The longest name comes first, in case it holds a shorter one.
    by_length = sorted(MeteringDevice, key=len, reverse=True)
    return next((one for one in by_length if one in text), None)
