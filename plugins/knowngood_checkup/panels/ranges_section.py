"""The session against its ranges: strips of a steady window, match sheet, response plane, outcome."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QButtonGroup,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from knowngood.widgets import Card, RangeStripList, ResponsePlane
from knowngood.widgets.grid import Grid
from knowngood.widgets.sectioned_page import PageSection
from knowngood_checkup.panels.notes_list import NotesList
from knowngood_checkup.panels.session_card import SessionCard
from knowngood_checkup.panels.views import plane_view, strip_rows
from knowngood_checkup.published_words import published_lines
from knowngood_checkup.sheet_words import HEADS, sheet_rows
from knowngood_checkup.words import (
    CAUTION,
    behind_rows,
    expected_response_text,
    response_text,
    sheet_text,
)
from knowngood_refdata.records import Quantity

if TYPE_CHECKING:
    from PySide6.QtWidgets import QLayout

    from knowngood.api import Host
    from knowngood_checkup.core.checkup import ResponseComparison
    from knowngood_checkup.gather import SessionCheck
    from knowngood_refdata.expected.comparison import WindowComparison

LEGEND = (
    "dot: this session, bar: its uncertainty (95 %)   \N{MIDDLE DOT}   green: 50 % and 90 % range   "
    "\N{MIDDLE DOT}   ticks: known-good readings   \N{MIDDLE DOT}   hollow, cannot tell: outside, "
    "by less than its uncertainty"
)


SHEET, BEHIND = "match sheet", "readings behind"
BEHIND_HEADS = ("Reading", "Subcooling", "Weight", "")


class RangesSection(PageSection):
    """Shows a check-up in the units of the screen.

    Attributes
    ----------
    offered
        The user wants a window in the book.
    """

    offered = Signal()

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self._check: SessionCheck | None = None
        self._window = 0
        self._response = 0
        self._build()

    def show_check(self, check: SessionCheck) -> None:
        """Show a check-up that holds at least one steady window."""
        if self._check is None or check.info.id != self._check.info.id:
            self._window = self._response = 0
        self._check = check
        self._show()

    def _build(self) -> None:
        self._strips, self._plane = RangeStripList(), ResponsePlane()
        self._range_card, self._response_card = Card(), Card()
        self._sheet, self._outcome, self._response_words = QLabel(), QLabel(), QLabel()
        self._published = QLabel()
        self.grid = Grid("Match sheet", words_first=True, words_last=True)
        self.grid.hide()
        self.behind = Grid("Readings behind the ranges", words_first=True, words_last=True)
        self.behind.hide()
        self.sheet_link = _link(SHEET, self.grid)
        self.behind_link = _link(BEHIND, self.behind)
        for label in (self._sheet, self._outcome, self._response_words, self._published):
            label.setWordWrap(True)
            label.setTextFormat(Qt.TextFormat.PlainText)
        self._outcome.setObjectName("cardTitle")
        self._response_words.setObjectName("quiet")
        self._window_row, self._response_row = QHBoxLayout(), QHBoxLayout()
        self._session_card = SessionCard(self.host)
        self._fill_cards()
        columns = self.side_by_side()
        columns.addLayout(_column(self._range_card, self._session_card), stretch=7)
        columns.addLayout(_column(self._outcome_card(), self._response_card, stretch=(2, 3)), stretch=5)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 12, 20, 18)
        layout.addLayout(columns)

    def _fill_cards(self) -> None:
        legend = QLabel(LEGEND)
        legend.setObjectName("quiet")
        legend.setWordWrap(True)
        for part in (self._strips, legend, self._sheet, self._published):
            self._range_card.body.addWidget(part)
        self._range_card.body.addWidget(self.grid)
        self._range_card.body.addWidget(self.behind)
        self._range_card.body.addLayout(self._window_row)
        links = QHBoxLayout()
        links.addWidget(self.behind_link)
        links.addWidget(self.sheet_link)
        links.addStretch(1)
        self._range_card.body.addLayout(links)
        self._range_card.body.addStretch(1)
        self._response_card.body.addWidget(self._plane, stretch=1)
        self._response_card.body.addWidget(self._response_words)
        self._response_card.body.addLayout(self._response_row)

    def _outcome_card(self) -> Card:
        card = Card("Outcome")
        caution = QLabel(CAUTION)
        caution.setObjectName("quiet")
        caution.setWordWrap(True)
        self.notes = NotesList()
        self._offer = QPushButton("Into the book")
        self._offer.clicked.connect(self.offered)
        report = QPushButton("Report as PDF...")
        report.clicked.connect(self._save_report)
        row = QHBoxLayout()
        for button in (self._offer, report):
            row.addWidget(button)
        row.addStretch(1)
        for part in (self._outcome, self.notes, caution):
            card.body.addWidget(part)
        card.body.addStretch(1)
        card.body.addLayout(row)
        return card

    def _show(self) -> None:
        check = self._check
        if check is None:
            return
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
        self.notes.show_notes(check.notes)
        self._session_card.show_check(check)

    def _show_window(self, check: SessionCheck, comparison: WindowComparison) -> None:
        window = comparison.window
        stage = "fan stage not known" if window.fan_stage is None else f"fan stage {window.fan_stage}"
        self._range_card.set_title(
            f"Against known-good readings of this vehicle, {window.label}, {stage}",
            _evidence(check, comparison),
        )
        self._strips.set_rows(strip_rows(comparison, self.host.units, check.barometer_pa))
        place = check.checkup.windows.index(comparison)
        told = published_lines(check.published[place], self.host.units.system, check.barometer_pa)
        self._published.setText("\n".join(told))
        self._published.setVisible(bool(told))
        self.grid.write(HEADS, sheet_rows(comparison.sheet, self.host.units.system))
        self.grid.fit_rows()
        self.behind.write(BEHIND_HEADS, behind_rows(comparison, Quantity.SUBCOOLING, self.host.units.system))
        self.behind.fit_rows()
        self._sheet.setText(sheet_text(comparison, self.host.units.system))

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
        self._plane.set_view(plane_view(chosen, pressures, self.host.units))
        self._response_words.setText(
            response_text(response, self.host.units.system) + _cloud_size(chosen) + _expected(chosen)
        )

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
            self.host.print_report(number, Path(path))
        except OSError as error:
            self.host.say(
                f"The report could not be written to {path}: {error.strerror}. Choose another place."
            )
        else:
            self.host.say(f"The report was written to {path}.")


def _link(name: str, table: QWidget) -> QPushButton:
    """A word that shows and hides a table."""
    link = QPushButton(f"Show {name}")
    link.setObjectName("link")

    def turn() -> None:
        table.setVisible(table.isHidden())
        link.setText(f"{'Show' if table.isHidden() else 'Hide'} {name}")

    link.clicked.connect(turn)
    return link


def _column(*cards: QWidget, stretch: tuple[int, int] = (3, 2)) -> QVBoxLayout:
    layout = QVBoxLayout()
    layout.setSpacing(14)
    for card in cards:
        layout.addWidget(card)
    for place, share in enumerate(stretch):
        layout.setStretch(place, share)
    return layout


def _evidence(check: SessionCheck, comparison: WindowComparison) -> str:
    known = next((one.forecast for one in comparison.strips if one.forecast.known), None)
    if known is None:
        return f"{check.known_good_count} known-good readings in the book for this configuration"
    return f"ranges stand on {known.stands_on}"


def _response_name(comparison: ResponseComparison) -> str:
    response = comparison.response
    fan = "" if response.same_fan_stage else ", fan changed"
    return f"{response.from_rpm:.0f} to {response.to_rpm:.0f}{fan}"


def _expected(comparison: ResponseComparison) -> str:
    text = expected_response_text(comparison)
    return f" {text}" if text else ""


def _cloud_size(comparison: ResponseComparison) -> str:
    if not comparison.known_good:
        return " No known-good response under these conditions to compare with."
    return f" Compared with {len(comparison.known_good)} known-good responses."
