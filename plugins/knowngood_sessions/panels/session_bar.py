"""The line of actions above the plot, and the choice among the sessions of the vehicle in hand."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QPushButton, QWidget

from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import sessions

if TYPE_CHECKING:
    from knowngood.api import Host
    from knowngood_refdata.records import SessionInfo

_NONE = "none in hand"


class SessionBar(QWidget):
    """Buttons, and the sessions of the vehicle in hand.

    Attributes
    ----------
    import_wanted, conditions_wanted, report_wanted, whole_wanted
        Signals of the buttons.
    """

    import_wanted = Signal()
    conditions_wanted = Signal()
    report_wanted = Signal()
    whole_wanted = Signal()

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._host = host
        self._infos: tuple[SessionInfo, ...] = ()
        self.import_button = QPushButton("Import log...")
        self.import_button.setObjectName("main")
        self._conditions = QPushButton("Conditions...")
        self._whole = QPushButton("Whole session")
        self._report = QPushButton("Report to PDF...")
        self.sessions_box = QComboBox()
        self.sessions_box.setMinimumContentsLength(26)
        self.sessions_box.setAccessibleName("Sessions of this vehicle")
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.import_button)
        layout.addWidget(QLabel("Sessions of this vehicle"))
        layout.addWidget(self.sessions_box, stretch=1)
        for button, signal in (
            (self._conditions, self.conditions_wanted),
            (self._whole, self.whole_wanted),
            (self._report, self.report_wanted),
        ):
            layout.addWidget(button)
            button.clicked.connect(signal)
        self.import_button.clicked.connect(self.import_wanted)
        self.sessions_box.activated.connect(self._choose)

    def refresh(self) -> None:
        """List the sessions of the vehicle in hand anew."""
        vehicle, in_hand = self._host.bench.vehicle, self._host.bench.session
        self._infos = self._listed(vehicle.id if vehicle is not None else None)
        self.sessions_box.clear()
        self.sessions_box.addItems([_NONE, *(session_name(one) for one in self._infos)])
        ids = [one.id for one in self._infos]
        if in_hand is not None and in_hand.id in ids:
            self.sessions_box.setCurrentIndex(1 + ids.index(in_hand.id))
        self.sessions_box.setEnabled(bool(self._infos))
        self.import_button.setEnabled(vehicle is not None)
        for button in (self._conditions, self._whole, self._report):
            button.setEnabled(in_hand is not None)

    @property
    def holds_sessions(self) -> bool:
        """Whether there is a session to choose."""
        return bool(self._infos)

    def _listed(self, vehicle_id: int | None) -> tuple[SessionInfo, ...]:
        if vehicle_id is None:
            return ()
        try:
            return sessions.list_sessions(self._host.store, vehicle_id)
        except StoreError as error:
            self._host.say(str(error))
            return ()

    def _choose(self, index: int) -> None:
        self._host.bench.take_session(self._infos[index - 1] if index else None)


def session_name(info: SessionInfo) -> str:
    """A session in one line: title, and when it was recorded if that is known."""
    if info.started_at is None:
        return info.title
    return f"{info.title}, {info.started_at:%Y-%m-%d %H:%M}"
