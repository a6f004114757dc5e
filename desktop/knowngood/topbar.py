"""The top bar: the vehicle in hand, the session in hand with its conditions, and the unit system."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QButtonGroup, QFrame, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from knowngood.scales import System
from knowngood.widgets.elided import ElidedLabel
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Conditions, Role

if TYPE_CHECKING:
    from knowngood.bench import Bench
    from knowngood.units import Units
    from knowngood_refdata.records import SessionInfo, Vehicle

DOT = "   \N{MIDDLE DOT}   "
NAMES = {System.US: "US units", System.SI: "SI"}


class TopBar(QFrame):
    """Follows the bench and the unit system; the two buttons at the right switch the latter."""

    def __init__(self, bench: Bench, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("topBar")
        self._bench, self._units = bench, units
        self._vehicle, self._spec = ElidedLabel(), ElidedLabel()
        self._session, self._conditions = ElidedLabel(120), QLabel()
        self._vehicle.setObjectName("inHand")
        self._spec.setObjectName("quiet")
        self._conditions.setObjectName("quiet")
        self._conditions.setTextFormat(Qt.TextFormat.PlainText)
        self._buttons = {system: self._button(system) for system in System}
        self._lay_out()
        for signal in (bench.vehicle_changed, bench.session_changed, units.changed):
            signal.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Write everything anew."""
        vehicle, session = self._bench.vehicle, self._bench.session
        self._vehicle.set_full_text(vehicle.name if vehicle else "No vehicle in hand")
        self._spec.set_full_text(spec_line(vehicle) if vehicle else "Choose one on the Vehicle specs page.")
        self._vehicle.setToolTip(charge_source(vehicle) if vehicle else "")
        self._session.set_full_text(session_line(session) if session else "No session in hand")
        self._conditions.setText(weather_line(session.conditions, self._units) if session else "")
        self._conditions.setToolTip(conditions_line(session.conditions, self._units) if session else "")
        for system, button in self._buttons.items():
            button.setChecked(system is self._units.system)

    def _lay_out(self) -> None:
        upper, lower = QHBoxLayout(), QHBoxLayout()
        self._session.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        upper.addWidget(self._vehicle, stretch=3)
        upper.addWidget(self._session, stretch=2)
        lower.addWidget(self._spec, stretch=1)
        lower.addWidget(self._conditions)
        lower.addSpacing(10)
        for button in self._buttons.values():
            lower.addWidget(button)
        for row in (upper, lower):
            row.setSpacing(6)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(22, 7, 18, 6)
        layout.setSpacing(1)
        layout.addLayout(upper)
        layout.addLayout(lower)

    def _button(self, system: System) -> QPushButton:
        button = QPushButton(NAMES[system])
        button.setObjectName("link")
        button.setCheckable(True)
        button.setAccessibleName(f"show {NAMES[system]}")
        if not hasattr(self, "_group"):
            self._group = QButtonGroup(self)
        self._group.addButton(button)
        button.clicked.connect(lambda: self._units.set_system(system))
        return button


def spec_line(vehicle: Vehicle) -> str:
    """Refrigerant, charge weight with its kind of source, compressor, metering device and fan, in a line."""
    parts = []
    charge = vehicle.spec("charge")
    head = "  ".join(
        part
        for part in (
            vehicle.refrigerant or "",
            f"{charge.as_printed} ({charge.source_kind})" if charge else "charge weight not on record",
        )
        if part
    )
    parts.append(head)
    parts += [
        value.as_printed
        for name in ("compressor", "metering device", "fan")
        if (value := vehicle.spec(name)) is not None
    ]
    return DOT.join(parts)


def charge_source(vehicle: Vehicle) -> str:
    """Where the charge weight comes from, in a sentence."""
    charge = vehicle.spec("charge")
    if charge is None:
        return (
            "No charge weight is on record: read the under-hood label and enter it on the Vehicle specs page."
        )
    revision = f", revision {charge.revision}" if charge.revision else ""
    return f"Charge {charge.as_printed}: {charge.source_kind}, {charge.citation}{revision}"


def session_line(session: SessionInfo) -> str:
    """The session's title and when it was recorded."""
    if session.started_at is None:
        return session.title
    return f"{session.title}, {session.started_at.day} {session.started_at:%b %Y, %H:%M}"


def weather_line(conditions: Conditions, units: Units) -> str:
    """What the air was like and how high the shop lies: the short form of `conditions_line`."""
    only = Conditions(
        ambient_k=conditions.ambient_k,
        relative_humidity=conditions.relative_humidity,
        altitude_m=conditions.altitude_m,
    )
    return conditions_line(only, units) if only != Conditions() else "conditions not recorded"


def conditions_line(conditions: Conditions, units: Units) -> str:
    """The conditions that every comparison asks for, in a line."""
    parts = [
        units.text(conditions.ambient_k, Role.AMBIENT) if conditions.ambient_k is not None else "",
        f"{100 * conditions.relative_humidity:.0f} % RH" if conditions.relative_humidity is not None else "",
        units.text(conditions.altitude_m, Kind.LENGTH) if conditions.altitude_m is not None else "",
        str(conditions.air_source) if conditions.air_source else "",
        f"fan stage {conditions.fan_stage} at start" if conditions.fan_stage is not None else "",
    ]
    return ", ".join(part for part in parts if part) or "conditions not recorded"
