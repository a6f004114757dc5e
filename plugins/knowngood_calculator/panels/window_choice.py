"""The steady windows of the session in hand, to take values from instead of typing them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox

from knowngood_refdata.errors import StoreError
from knowngood_refdata.records import Quantity

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_refdata.records import SteadyWindow
    from knowngood_refdata.refrigerants import SaturationCurve

INVITATION = "take a steady window of the session in hand"


class WindowChoice(QComboBox):
    """Lists the windows; hidden while no session with windows is in hand.

    Attributes
    ----------
    taken
        Signal without arguments: ask `window` for what was chosen.
    """

    taken = Signal()

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._host = host
        self._windows: tuple[SteadyWindow, ...] = ()
        self.setAccessibleName("Take a steady window")
        self.activated.connect(self._choose)
        host.bench.session_changed.connect(self._list)
        host.bench.findings_changed.connect(self._list)
        self._list()

    @property
    def window_in_hand(self) -> SteadyWindow | None:
        """The window that was chosen."""
        place = self.currentIndex() - 1
        return self._windows[place] if 0 <= place < len(self._windows) else None

    def _list(self) -> None:
        session = self._host.bench.session
        found = () if session is None else self._found(session.id)
        self._windows = tuple(one for one in found if Quantity.LOW_SIDE in one.values)
        self.clear()
        self.addItems([INVITATION, *(one.label for one in self._windows)])
        self.setVisible(bool(self._windows))

    def _found(self, session_id: int) -> tuple[SteadyWindow, ...]:
        # Without a session in hand the library is not needed, and its tools load for a quarter of a second.
        from knowngood_refdata.queries import sessions

        try:
            return sessions.findings(self._host.store, session_id).windows
        except StoreError as error:
            self._host.say(str(error))
            return ()

    def _choose(self, place: int) -> None:
        if place > 0:
            self.taken.emit()


def line_temperatures_k(curve: SaturationCurve, window: SteadyWindow) -> tuple[float | None, float | None]:
    """Suction and liquid line [K] of a window, from its superheat and subcooling; None where not found."""
    values = window.values
    suction = liquid = None
    if Quantity.LOW_SIDE in values and Quantity.SUPERHEAT in values:
        suction = curve.temperature_k(values[Quantity.LOW_SIDE].value) + values[Quantity.SUPERHEAT].value
    if Quantity.HIGH_SIDE in values and Quantity.SUBCOOLING in values:
        liquid = curve.temperature_k(values[Quantity.HIGH_SIDE].value) - values[Quantity.SUBCOOLING].value
    return suction, liquid
