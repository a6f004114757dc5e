"""What the session in hand offers as states of air: intake with its humidity, and the vent."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QPushButton

from knowngood_calculator.panels.window_choice import WindowChoice
from knowngood_refdata.records import Quantity

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host


class IntakeOffer(QPushButton):
    """Hidden while no session with an intake temperature and a humidity is in hand.

    Attributes
    ----------
    taken
        Signal with the intake temperature [K] and the relative humidity, 0 to 1.
    """

    taken = Signal(float, float)

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__("Take the intake of the &session in hand", parent)
        self._bench = host.bench
        self.setObjectName("link")
        self.clicked.connect(self._take)
        host.bench.session_changed.connect(self._follow)
        # Shown before it has a parent it would be a window of its own.
        if self._known() is None:
            self.hide()

    def _known(self) -> tuple[float, float] | None:
        session = self._bench.session
        if session is None or session.conditions.intake_k is None:
            return None
        humidity = session.conditions.relative_humidity
        return None if humidity is None else (session.conditions.intake_k, humidity)

    def _follow(self) -> None:
        self.setVisible(self._known() is not None)

    def _take(self) -> None:
        known = self._known()
        if known is not None:
            self.taken.emit(*known)


class VentOffer(WindowChoice):
    """The steady windows of the session in hand, for their vent temperature.

    Attributes
    ----------
    vent_taken
        Signal with the vent temperature [K] of the window that was chosen.
    """

    vent_taken = Signal(float)

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self.setMinimumContentsLength(8)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.taken.connect(self._take_vent)

    def _take_vent(self) -> None:
        window = self.window_in_hand
        vent = None if window is None else window.values.get(Quantity.VENT)
        if vent is None:
            self._host.say("This window holds no vent temperature; the outlet air was left as it is.")
        else:
            self.vent_taken.emit(vent.value)
