"""The check-up page: strips of a steady window, response plane, match sheet, outcome."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QButtonGroup,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from knowngood.widgets import Card, EmptyState, RangeStripList, ResponsePlane
from knowngood_checkup.gather import SessionCheck, check_session
from knowngood_checkup.panels.offer_dialog import OfferDialog, keep
from knowngood_checkup.panels.session_card import SessionCard
from knowngood_checkup.panels.views import plane_view, strip_rows
from knowngood_checkup.words import CAUTION, response_text, sheet_text
from knowngood_refdata.queries import vehicles
from knowngood_refdata.store import StoreError

if TYPE_CHECKING:
    from PySide6.QtGui import QResizeEvent
    from PySide6.QtWidgets import QLayout

    from knowngood.api import Host
    from knowngood_checkup.core.checkup import ResponseComparison
    from knowngood_refdata.expected.comparison import WindowComparison

LEGEND = (
    "dot: this session, bar: its uncertainty (95 %)   \N{MIDDLE DOT}   green: 50 % and 90 % range   "
    "\N{MIDDLE DOT}   ticks: known-good readings   \N{MIDDLE DOT}   hollow, cannot tell: outside, "
    "by less than its uncertainty"
)
NARROW = 860
"""Pixels of width below which one column is easier to read than two."""

NO_SESSION = (
    "No session in hand. Take a vehicle in hand on the Vehicle specs page, then import a log or choose a "
    "session on the Session plotter page: its steady windows are compared here with known-good readings."
)
NO_WINDOW = (
    "This session holds no steady window, so there is nothing to compare. Let the system run until pressures "
    "and line temperatures stand still for half a minute, and record again."
)


class CheckupPage(QScrollArea):
    """Follows the session in hand, its findings and the unit system."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._host = host
        self._check: SessionCheck | None = None
        self._window = 0
        self._response = 0
        self.setWidgetResizable(True)
        self._build()
        host.bench.session_changed.connect(self.refresh)
        host.bench.findings_changed.connect(lambda _number: self.refresh())
        host.units.changed.connect(self._show)
        self.refresh()

    @property
    def check(self) -> SessionCheck | None:
        """The check-up that is shown."""
        return self._check

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Put the columns below one another where they do not fit side by side, as at 200 % scale."""
        side_by_side = self.viewport().width() >= NARROW
        direction = QHBoxLayout.Direction.LeftToRight if side_by_side else QHBoxLayout.Direction.TopToBottom
        self._columns.setDirection(direction)
        super().resizeEvent(event)

    def refresh(self) -> None:
        """Compare the session in hand anew."""
        session = self._host.bench.session
        if session is None:
            self._take(None)
            return
        number = session.id

        def work(_progress: object) -> SessionCheck:
            return check_session(self._host.store, number)

        def done(check: SessionCheck) -> None:
            still = self._host.bench.session
            # The session may have been put down while it was compared.
            if still is not None and still.id == number:
                self._take(check)

        self._host.tasks.run("Comparing with known-good readings", work, done=done)

    def _take(self, check: SessionCheck | None) -> None:
        changed = check is None or self._check is None or check.info.id != self._check.info.id
        self._check = check
        if changed:
            self._window = self._response = 0
        self._show()

    def _build(self) -> None:
        self._empty = EmptyState(NO_SESSION, "Open the session plotter")
        self._empty.clicked.connect(lambda: self._host.show_page("sessions"))
        self._strips, self._plane = RangeStripList(), ResponsePlane()
        self._range_card, self._response_card = Card(), Card()
        self._sheet, self._outcome, self._response_words = QLabel(), QLabel(), QLabel()
        for label in (self._sheet, self._outcome, self._response_words):
            label.setWordWrap(True)
            label.setTextFormat(Qt.TextFormat.PlainText)
        self._outcome.setObjectName("cardTitle")
        self._response_words.setObjectName("quiet")
        self._window_row, self._response_row = QHBoxLayout(), QHBoxLayout()
        self._session_card = SessionCard(self._host)
        self._fill_cards()
        self._columns = QHBoxLayout()
        self._columns.setSpacing(18)
        self._columns.addLayout(_column(self._range_card, self._session_card), stretch=7)
        self._columns.addLayout(_column(self._response_card, self._outcome_card()), stretch=5)
        full = QWidget()
        full.setObjectName("page")
        layout = QVBoxLayout(full)
        layout.setContentsMargins(20, 18, 20, 18)
        layout.addLayout(self._columns)
        self._stack = QStackedWidget()
        self._stack.setObjectName("page")
        self._stack.addWidget(self._empty)
        self._stack.addWidget(full)
        self.setWidget(self._stack)

    def _fill_cards(self) -> None:
        legend = QLabel(LEGEND)
        legend.setObjectName("quiet")
        legend.setWordWrap(True)
        for part in (self._strips, legend, self._sheet):
            self._range_card.body.addWidget(part)
        self._range_card.body.addLayout(self._window_row)
        self._range_card.body.addStretch(1)
        self._response_card.body.addWidget(self._plane, stretch=1)
        self._response_card.body.addWidget(self._response_words)
        self._response_card.body.addLayout(self._response_row)

    def _outcome_card(self) -> Card:
        card = Card("Outcome")
        caution = QLabel(CAUTION)
        caution.setObjectName("quiet")
        caution.setWordWrap(True)
        self._offer = QPushButton("Offer to the book...")
        self._offer.clicked.connect(self._offer_windows)
        report = QPushButton("Report as PDF...")
        report.clicked.connect(self._save_report)
        row = QHBoxLayout()
        for button in (self._offer, report):
            row.addWidget(button)
        row.addStretch(1)
        card.body.addWidget(self._outcome)
        card.body.addWidget(caution)
        card.body.addStretch(1)
        card.body.addLayout(row)
        return card

    def _show(self) -> None:
        check = self._check
        if check is None or not check.checkup.windows:
            self._empty.set_text(NO_SESSION if check is None else NO_WINDOW, "Open the session plotter")
            self._stack.setCurrentIndex(0)
            return
        self._stack.setCurrentIndex(1)
        windows, responses = check.checkup.windows, check.checkup.responses
        self._window = min(self._window, len(windows) - 1)
        self._show_window(check, windows[self._window])
        self._choices(
            self._window_row, [one.window.label for one in windows], self._window, self._pick_window
        )
        names = [_response_name(one) for one in responses]
        self._choices(self._response_row, names, self._response, self._pick_response)
        self._show_response(check)
        self._outcome.setText(check.checkup.outcome)
        self._session_card.show_check(check)

    def _show_window(self, check: SessionCheck, comparison: WindowComparison) -> None:
        window = comparison.window
        stage = "fan stage not known" if window.fan_stage is None else f"fan stage {window.fan_stage}"
        self._range_card.set_title(
            f"Against known-good readings of this vehicle, {window.label}, {stage}",
            _evidence(check, comparison),
        )
        self._strips.set_rows(strip_rows(comparison, self._host.units, check.barometer_pa))
        self._sheet.setText(sheet_text(comparison))

    def _show_response(self, check: SessionCheck) -> None:
        responses = check.checkup.responses
        if not responses:
            self._response_card.set_title(
                "Response to engine speed", "Needs steady windows at two engine speeds."
            )
            self._plane.set_view(None)
            self._response_words.setText("")
            return
        self._response = min(self._response, len(responses) - 1)
        chosen = responses[self._response]
        response = chosen.response
        self._response_card.set_title(
            f"Response to engine speed, {response.from_rpm:.0f} to {response.to_rpm:.0f} rpm"
        )
        start = next(
            (one.window for one in check.checkup.windows if one.window.engine_rpm == response.from_rpm), None
        )
        pressures = {name: one.value for name, one in start.values.items()} if start else {}
        self._plane.set_view(plane_view(chosen, pressures, self._host.units))
        self._response_words.setText(response_text(response, self._host.units.system) + _cloud_size(chosen))

    def _choices(self, row: QLayout, names: list[str], chosen: int, pick: object) -> None:
        while (item := row.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        if len(names) < 2 or not isinstance(row, QHBoxLayout) or not callable(pick):
            return
        row.addWidget(QLabel("Show:"))
        group = QButtonGroup(self)
        for index, name in enumerate(names):
            button = QPushButton(name)
            button.setObjectName("link")
            button.setCheckable(True)
            button.setChecked(index == chosen)
            button.clicked.connect(lambda _checked=False, index=index: pick(index))
            group.addButton(button)
            row.addWidget(button)
        row.addStretch(1)

    def _pick_window(self, index: int) -> None:
        self._window = index
        self._show()

    def _pick_response(self, index: int) -> None:
        self._response = index
        self._show()

    def _offer_windows(self) -> None:
        check = self._check
        if check is None or check.info.vehicle_id is None:
            self._host.say("Take the vehicle of this session in hand first: readings belong to a vehicle.")
            return
        units = vehicles.units(self._host.store, check.info.vehicle_id)
        dialog = OfferDialog(check.findings.windows, units, self)
        if dialog.exec() != OfferDialog.DialogCode.Accepted:
            return
        try:
            kept = keep(self._host.store, check.info, dialog.offer)
        except (StoreError, ValueError) as error:
            self._host.say(str(error))
            return
        self._host.say(f"{kept} readings were added to the book as {dialog.offer.standing}.")
        self.refresh()

    def _save_report(self) -> None:
        if self._check is None:
            return
        number = self._check.info.id
        path, _ = QFileDialog.getSaveFileName(
            self, "Report as PDF", f"report-session-{number}.pdf", "PDF (*.pdf)"
        )
        if not path:
            return
        try:
            self._host.print_report(number, Path(path))
        except OSError as error:
            self._host.say(
                f"The report could not be written to {path}: {error.strerror}. Choose another place."
            )
        else:
            self._host.say(f"The report was written to {path}.")


def _column(*cards: QWidget) -> QVBoxLayout:
    layout = QVBoxLayout()
    layout.setSpacing(14)
    for card in cards:
        layout.addWidget(card)
    layout.setStretch(0, 3)
    layout.setStretch(1, 2)
    return layout


def _evidence(check: SessionCheck, comparison: WindowComparison) -> str:
    matching = comparison.matches.comparable
    cars = len({one.reading.unit_id for one in matching})
    return (
        f"{len(matching)} known-good readings of {cars} cars match these conditions, "
        f"of {check.known_good_count} in the book for this configuration"
    )


def _response_name(comparison: ResponseComparison) -> str:
    response = comparison.response
    fan = "" if response.same_fan_stage else ", fan changed"
    return f"{response.from_rpm:.0f} to {response.to_rpm:.0f}{fan}"


def _cloud_size(comparison: ResponseComparison) -> str:
    if not comparison.known_good:
        return " No known-good response under these conditions to compare with."
    return f" Compared with {len(comparison.known_good)} known-good responses."
