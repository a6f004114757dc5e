"""The left side of the page: words, filters, the list, and what can be done with the library."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from knowngood_refdata.queries import finding, vehicle_lines
from knowngood_specs.list_words import count_text
from knowngood_specs.panels.filters import FilterBar
from knowngood_specs.panels.vehicle_list import SearchField, VehicleList

if TYPE_CHECKING:
    from knowngood_refdata.queries.filters import Filters
    from knowngood_refdata.store import Store

MOST_SHOWN = 100
REST_MS = 150


class SearchSide(QWidget):
    """Finds as words are typed; the list follows every letter.

    Attributes
    ----------
    found_for
        The words for which the list was found.
    edited
        Signal without arguments: words or filters changed, and the list should be found anew.
    at_rest
        Signal without arguments: the list has not moved for a while, see `mark`.
    """

    edited = Signal()
    at_rest = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.found_for = ""
        self.search, self.filters, self.list = SearchField(), FilterBar(), VehicleList()
        self.add_button = QPushButton()
        self.vin_button = QPushButton("From &VIN...")
        self.more_button = QPushButton("&More")
        self._count = QLabel()
        self._count.setObjectName("quiet")
        self._count.setWordWrap(True)
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        # Letters that come while the last ones are being looked for are looked for together.
        self._soon.setInterval(0)
        self._at_rest = QTimer(self)
        self._at_rest.setSingleShot(True)
        self._at_rest.setInterval(REST_MS)
        self._lay_out()
        self._connect()
        self.setFocusProxy(self.search)

    @property
    def narrowed(self) -> bool:
        """Whether words or filters narrow the list."""
        return bool(self.search.text().strip()) or self.filters.set

    def fill(self, store: Store, held: int) -> None:
        """Fill the list with what is found; ``held`` is how many vehicles the library holds.

        Raises
        ------
        StoreError
            When the library cannot be read; the list stays as it was.
        """
        self._soon.stop()
        words = self.search.text()
        found = finding.find(store, words, filters=self.filters.filters, limit=MOST_SHOWN)
        self.found_for = words
        self.list.found.set_lines(found.lines)
        self._count.setText(count_text(len(found.lines), held, more=found.more, narrowed=self.narrowed))

    def mark(self, store: Store) -> None:
        """Mark the vehicles in sight whose values differ; it takes longer than finding them.

        Raises
        ------
        StoreError
            When the library cannot be read.
        """
        self._at_rest.stop()
        self.list.found.set_in_conflict(vehicle_lines.marks(store, self.list.in_sight).in_conflict)

    def sought(self) -> tuple[str, Filters]:
        """The words and filters that the list is found by."""
        return self.search.text(), self.filters.filters

    def stop_waiting(self) -> None:
        """Forget that the list was to be found anew: it is being found."""
        self._soon.stop()

    def clear(self) -> None:
        """Narrow nothing any more."""
        self.search.clear()
        self.filters.clear()

    def hasHeightForWidth(self) -> bool:  # noqa: N802 - Qt's name
        """No: a list and filters that scroll need no more height in less width."""
        return False

    def focus_search(self) -> None:
        """Go to the words, ready to be typed over."""
        self.search.setFocus()
        self.search.selectAll()

    def _lay_out(self) -> None:
        buttons = QHBoxLayout()
        buttons.setSpacing(8)
        buttons.addWidget(self.add_button, stretch=3)
        buttons.addWidget(self.vin_button, stretch=2)
        buttons.addWidget(self.more_button, stretch=1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(8)
        layout.addWidget(self.search)
        layout.addWidget(self.filters)
        layout.addWidget(self._count)
        layout.addWidget(self.list, stretch=1)
        layout.addLayout(buttons)

    def _connect(self) -> None:
        self.search.textChanged.connect(lambda: self._soon.start())
        self.filters.changed.connect(lambda: self._soon.start())
        self._soon.timeout.connect(self.edited)
        self.list.moved.connect(lambda: self._at_rest.start())
        self.list.found.modelReset.connect(lambda: self._at_rest.start())
        self._at_rest.timeout.connect(self.at_rest)
        find = QShortcut(QKeySequence(QKeySequence.StandardKey.Find), self)
        find.activated.connect(self.focus_search)
