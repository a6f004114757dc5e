"""As found against as left: the session in hand beside another one of the same car."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox, QTableWidgetItem, QVBoxLayout, QWidget

from knowngood.widgets import Card
from knowngood.widgets.form import form, words
from knowngood.widgets.grid import Grid
from knowngood.widgets.sectioned_page import PageSection
from knowngood_checkup.leaving import FoundAndLeft, compare, others_of
from knowngood_checkup.left_words import CORRECTED, HEADS, difference_cells, pair_name, summary
from knowngood_refdata.errors import StoreError

if TYPE_CHECKING:
    from knowngood.api import Host
    from knowngood_checkup.core.left import Pair
    from knowngood_checkup.gather import SessionCheck
    from knowngood_refdata.records import SessionInfo

NO_OTHER = (
    "The library holds no other session of this car. Record one before the repair and one after it, under "
    "conditions as alike as can be, and name the car in both."
)


class LeftSection(PageSection):
    """Chooses the other session and shows every quantity that both hold."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self._check: SessionCheck | None = None
        self._both: FoundAndLeft | None = None
        self.other = QComboBox()
        self._choice = QWidget()
        self._choice.setLayout(form([[("&Compare with", self.other)]], 110))
        self._said, self._foot = words("cardTitle"), words("quiet", CORRECTED)
        self.card = Card("As found against as left")
        self._tables = QVBoxLayout()
        for part in (self._choice, self._said):
            self.card.body.addWidget(part)
        self.card.body.addLayout(self._tables)
        self.card.body.addWidget(self._foot)
        self.card.body.addStretch(1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 12, 20, 18)
        layout.addWidget(self.card)
        layout.addStretch(1)
        self.other.activated.connect(lambda _place: self._compare())

    @property
    def both(self) -> FoundAndLeft | None:
        """What is shown."""
        return self._both

    def show_check(self, check: SessionCheck) -> None:
        """Offer the other sessions of the car and compare with the latest."""
        before = self.other.currentData()
        self._check = check
        try:
            others = others_of(self.host.store, check.info)
        except StoreError as error:
            self.host.say(str(error))
            return
        self.other.clear()
        for one in others:
            self.other.addItem(_name(one), one.id)
        self._choice.setVisible(bool(others))
        if before in [one.id for one in others]:
            self.other.setCurrentIndex(self.other.findData(before))
        self._compare()

    def _compare(self) -> None:
        check, other = self._check, self.other.currentData()
        if check is None or other is None:
            self._show(None)
            return
        number = check.info.id

        def done(both: FoundAndLeft) -> None:
            if (
                self._check is not None
                and self._check.info.id == number
                and self.other.currentData() == other
            ):
                self._show(both)

        self.host.tasks.run(
            "Comparing two sessions",
            lambda _progress: compare(self.host.store, number, other, self.host),
            done=done,
        )

    def _show(self, both: FoundAndLeft | None) -> None:
        self._both = both
        while (item := self._tables.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        self._foot.setVisible(both is not None)
        if both is None:
            self._said.setText(NO_OTHER)
            return
        found, left = _name(both.found.info), _name(both.left.info)
        self._said.setText(f"As found: {found}. As left: {left}. {summary(both.pairs)}")
        for pair in both.pairs:
            self._tables.addWidget(words("body", pair_name(pair)))
            self._tables.addWidget(self._table(pair, both))

    def _table(self, pair: Pair, both: FoundAndLeft) -> Grid:
        grid = Grid(f"As found and as left, {pair_name(pair)}", words_first=True)
        cells = [
            difference_cells(one, self.host.units.system, both.found.barometer_pa, both.left.barometer_pa)
            for one in pair.differences
        ]
        grid.setColumnCount(len(HEADS))
        grid.setHorizontalHeaderLabels(list(HEADS))
        grid.setRowCount(len(cells))
        for row, line in enumerate(cells):
            for column, text in enumerate(line):
                grid.setItem(row, column, QTableWidgetItem(text))
        grid.resizeColumnsToContents()
        return grid


def _name(info: SessionInfo) -> str:
    date = f", {info.started_at:%Y-%m-%d %H:%M}" if info.started_at else ""
    return f"{info.title or f'session {info.id}'}{date}"
