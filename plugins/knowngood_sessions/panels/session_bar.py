"""The line of actions above the plots, and the choice among the sessions of the vehicle in hand."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal, SignalInstance
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QMenu, QPushButton, QWidget

from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import sessions

if TYPE_CHECKING:
    from knowngood.api import Host
    from knowngood_refdata.records import SessionInfo

_NONE = "no session in hand"


class SessionBar(QWidget):
    """Buttons, and the sessions of the vehicle in hand.

    Attributes
    ----------
    import_wanted, typing_wanted, following_wanted, removed_wanted
        Signals of what makes a new session or brings one back.
    conditions_wanted, columns_wanted, history_wanted, report_wanted, remove_wanted
        Signals of what is done with the one in hand.
    """

    import_wanted = Signal()
    typing_wanted = Signal()
    following_wanted = Signal()
    removed_wanted = Signal()
    conditions_wanted = Signal()
    columns_wanted = Signal()
    history_wanted = Signal()
    report_wanted = Signal()
    remove_wanted = Signal()

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._host = host
        self.infos: tuple[SessionInfo, ...] = ()
        self.import_button = QPushButton("Import log...")
        self.import_button.setObjectName("main")
        self.new_button = QPushButton("Other readings")
        self.new_button.setToolTip("Typed by hand, from a log that is still being written, or removed before")
        self._menu(
            self.new_button,
            (
                ("Type readings...", self.typing_wanted),
                ("Follow a growing log...", self.following_wanted),
                ("Removed sessions...", self.removed_wanted),
            ),
        )
        self.session_button = QPushButton("This session")
        self._menu(
            self.session_button,
            (
                ("Conditions and instruments...", self.conditions_wanted),
                ("What its columns mean...", self.columns_wanted),
                ("History...", self.history_wanted),
                ("Report to PDF...", self.report_wanted),
                ("Remove...", self.remove_wanted),
            ),
        )
        self.sessions_box = QComboBox()
        self.sessions_box.setSizeAdjustPolicy(
            QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        self.sessions_box.setMinimumContentsLength(16)
        self.sessions_box.setToolTip("The sessions of the vehicle in hand")
        self.sessions_box.setAccessibleName("Sessions of this vehicle")
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.import_button)
        layout.addWidget(self.new_button)
        layout.addWidget(self.sessions_box, stretch=1)
        layout.addWidget(self.session_button)
        self.import_button.clicked.connect(self.import_wanted)
        self.sessions_box.activated.connect(self._choose)

    def refresh(self) -> None:
        """List the sessions of the vehicle in hand anew."""
        vehicle, in_hand = self._host.bench.vehicle, self._host.bench.session
        self.infos = self._listed(vehicle.id if vehicle is not None else None)
        self.sessions_box.clear()
        self.sessions_box.addItems([_NONE, *(session_name(one) for one in self.infos)])
        ids = [one.id for one in self.infos]
        if in_hand is not None and in_hand.id in ids:
            self.sessions_box.setCurrentIndex(1 + ids.index(in_hand.id))
        self.sessions_box.setEnabled(bool(self.infos))
        for button in (self.import_button, self.new_button):
            button.setEnabled(vehicle is not None)
        self.session_button.setEnabled(in_hand is not None)

    @property
    def holds_sessions(self) -> bool:
        """Whether there is a session to choose."""
        return bool(self.infos)

    def _menu(self, button: QPushButton, entries: tuple[tuple[str, SignalInstance], ...]) -> None:
        menu = QMenu(button)
        for text, signal in entries:
            action = QAction(text, self)
            action.triggered.connect(signal)
            menu.addAction(action)
        button.setMenu(menu)

    def _listed(self, vehicle_id: int | None) -> tuple[SessionInfo, ...]:
        if vehicle_id is None:
            return ()
        try:
            return sessions.list_sessions(self._host.store, vehicle_id)
        except StoreError as error:
            self._host.say(str(error))
            return ()

    def _choose(self, index: int) -> None:
        self._host.bench.take_session(self.infos[index - 1] if index else None)


def session_name(info: SessionInfo) -> str:
    """A session in one line: title, and when it was recorded if that is known."""
    cut = " (part)" if info.parent_id is not None else ""
    if info.started_at is None:
        return f"{info.title}{cut}"
    return f"{info.title}{cut}, {info.started_at:%Y-%m-%d %H:%M}"
