"""The readings of a configuration: what they let expect, the readings themselves, and the sessions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QAbstractItemView, QHBoxLayout, QHeaderView, QPushButton, QWidget

from knowngood.widgets import Card
from knowngood.widgets.form import words
from knowngood.widgets.grid import Grid
from knowngood_refdata.errors import StoreError
from knowngood_refdata.local_air import local_air
from knowngood_refdata.queries import readings, sessions
from knowngood_refdata.records import Standing
from knowngood_specs.deciding import decide
from knowngood_specs.panels.decide_dialog import DecideDialog
from knowngood_specs.panels.labels import column
from knowngood_specs.panels.readings_expected import ExpectedCard
from knowngood_specs.panels.vehicle_tab import VehicleTab
from knowngood_specs.reading_words import MEANING, moved_words, reading_cells, session_cells

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtCore import QModelIndex

    from knowngood.api import Host
    from knowngood_refdata.records import Reading, SessionInfo, SteadyWindow, Vehicle
    from knowngood_specs.deciding import Moved

MOST_ROWS = 200
MOST_IN_SIGHT = 9
NO_SESSION = "No session of this configuration has been recorded or imported yet."
ORDER = (Standing.KNOWN_GOOD, Standing.CANDIDATE, Standing.IMPORTED, Standing.RETIRED)


class ReadingsTab(VehicleTab):
    """Follows the vehicle shown, and the session in hand when it is one of that vehicle."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self.expected = ExpectedCard(host)
        self.imported = ExpectedCard(host, Standing.IMPORTED)
        self.book = BookCard(host)
        self.sessions = SessionsCard(host)
        layout = column(self)
        for card in (self.expected, self.imported, self.book, self.sessions):
            layout.addWidget(card)
        layout.addStretch(1)
        host.units.changed.connect(self._show_again)
        self.book.decided.connect(self._reload)
        host.bench.session_changed.connect(self._reload)
        host.bench.findings_changed.connect(self._reload)

    def show_vehicle(self, vehicle: Vehicle) -> None:
        """Show the readings and sessions of a vehicle."""
        self._vehicle = vehicle
        store = self._host.store
        try:
            found = readings.readings(store, vehicle.id)
            recorded = sessions.list_sessions(store, vehicle.id, MOST_ROWS)
            session = self._host.bench.session
            mine = session if session is not None and session.vehicle_id == vehicle.id else None
            windows: Sequence[SteadyWindow] = ()
            if mine is not None:
                windows = sessions.findings(store, mine.id).windows
        except StoreError as error:
            self._host.say(str(error))
            return
        self.expected.show_known(vehicle, found, mine, windows)
        self.imported.show_known(vehicle, found, mine, windows)
        self.imported.setVisible(any(one.standing is Standing.IMPORTED for one in found))
        self.book.show_readings(found)
        self.sessions.show_sessions(recorded)

    def _reload(self) -> None:
        if self._vehicle is not None and self.isVisible():
            self.show_vehicle(self._vehicle)

    def _show_again(self) -> None:
        self.expected.show_again()
        self.imported.show_again()
        self.book.show_again()
        self.sessions.show_again()


class BookCard(Card):
    """The readings of one standing at a time; a named person decides about the one that is chosen.

    Attributes
    ----------
    decided
        A reading changed its standing.
    """

    decided = Signal()

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__("Readings of this configuration", parent=parent)
        self._host = host
        self._listed: tuple[Reading, ...] = ()
        self.decide_button = QPushButton("Decide about the chosen reading...")
        self.decide_button.clicked.connect(self._decide)
        self._readings: tuple[Reading, ...] = ()
        self._standing = Standing.KNOWN_GOOD
        self.buttons = {one: QPushButton() for one in ORDER}
        self._meaning, self.grid = words("quiet"), Grid("Readings", words_first=True)
        row = QHBoxLayout()
        for standing, button in self.buttons.items():
            button.setObjectName("link")
            button.setCheckable(True)
            button.setAutoExclusive(True)
            button.setChecked(standing is self._standing)
            button.clicked.connect(lambda _on=False, standing=standing: self.choose(standing))
            row.addWidget(button)
        row.addStretch(1)
        self.body.addLayout(row)
        self.body.addWidget(self._meaning)
        self.body.addWidget(self.grid)
        self.body.addWidget(self.decide_button)

    def show_readings(self, found: Sequence[Reading]) -> None:
        """Show other readings."""
        self._readings = tuple(found)
        for standing, button in self.buttons.items():
            count = sum(one.standing is standing for one in self._readings)
            button.setText(f"{standing[:1].upper()}{standing[1:]} ({count})")
        self.show_again()

    def choose(self, standing: Standing) -> None:
        """Show the readings of another standing."""
        self._standing = standing
        self.buttons[standing].setChecked(True)
        self.show_again()

    def show_again(self) -> None:
        """Show the same in the units now chosen."""
        kept = [one for one in self._readings if one.standing is self._standing]
        latest = kept[-MOST_ROWS:]
        only = f" Only the latest {MOST_ROWS} of {len(kept)} are listed." if len(kept) > MOST_ROWS else ""
        none = "" if kept else " There are none."
        meaning = MEANING[self._standing]
        self._meaning.setText(f"{meaning[:1].upper()}{meaning[1:]}.{none}{only}")
        self._listed = tuple(reversed(latest))
        self.grid.setVisible(bool(kept))
        self.decide_button.setVisible(bool(kept))
        _write(self.grid, *reading_cells(latest, self._host.units.system))

    def _decide(self) -> None:
        row = self.grid.currentRow()
        if not 0 <= row < len(self._listed):
            self._host.say("Choose a reading in the list first.")
            return
        reading = self._listed[row]
        dialog = DecideDialog(reading, self)
        if dialog.exec() == DecideDialog.DialogCode.Accepted:
            self.decide(reading, dialog.standing, dialog.why)

    def decide(self, reading: Reading, standing: Standing, why: str) -> None:
        """Decide about a reading, and say how the ranges of its vehicle moved."""
        host, now = self._host, reading.conditions
        air_pa = local_air(now.barometer_pa, now.altitude_m).pressure_pa

        def done(moved: Moved) -> None:
            host.say(f"The reading is {standing} now. {moved_words(moved, host.units.system, air_pa)}")
            self.decided.emit()

        host.tasks.run(
            "Deciding about a reading",
            lambda _progress: decide(host.store, reading, standing, why),
            done=done,
            failed=lambda error: host.say(str(error)),
        )


class SessionsCard(Card):
    """The recorded sessions; one can be opened in the plotter."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__("Sessions of this configuration", parent=parent)
        self._host = host
        self._sessions: tuple[SessionInfo, ...] = ()
        self.grid = Grid("Sessions", words_first=True)
        self.grid.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self._none = words("", NO_SESSION)
        self.open_button = QPushButton("Open in the session plotter")
        row = QHBoxLayout()
        row.addWidget(self.open_button)
        row.addStretch(1)
        self.body.addWidget(self._none)
        self.body.addWidget(self.grid)
        self.body.addLayout(row)
        self.open_button.clicked.connect(lambda: self.open(self.grid.currentRow()))
        self.grid.doubleClicked.connect(self._open_at)

    def show_sessions(self, found: Sequence[SessionInfo]) -> None:
        """Show other sessions, the latest first."""
        self._sessions = tuple(found)
        self.show_again()

    def show_again(self) -> None:
        """Show the same in the units now chosen."""
        held = bool(self._sessions)
        chosen = max(self.grid.currentRow(), 0)
        cells = session_cells(self._sessions, self._host.units.system)
        _write(self.grid, *cells, stretched=True)
        if held:
            self.grid.setCurrentCell(min(chosen, len(self._sessions) - 1), 0)
        self.grid.setVisible(held)
        self.open_button.setVisible(held)
        self._none.setVisible(not held)

    def open(self, row: int) -> None:
        """Take a session in hand and show it in the plotter."""
        if 0 <= row < len(self._sessions):
            self._host.bench.take_session(self._sessions[row])
            self._host.show_page("sessions")

    def _open_at(self, index: QModelIndex) -> None:
        self.open(index.row())


def _write(grid: Grid, headings: list[str], rows: list[list[str]], *, stretched: bool = False) -> None:
    grid.write(headings, rows)
    header = grid.horizontalHeader()
    header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
    header.setStretchLastSection(stretched)
    grid.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
    rows_in_sight = min(max(len(rows), 1), MOST_IN_SIGHT)
    height = header.sizeHint().height() + rows_in_sight * grid.verticalHeader().defaultSectionSize()
    grid.setFixedHeight(height + grid.horizontalScrollBar().sizeHint().height() + 4)
