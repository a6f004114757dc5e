"""What narrows the list beside the words: two filters in sight, the others below a word."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QIntValidator
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from knowngood.widgets.form import named
from knowngood_refdata.queries.filters import Choice, Filters

if TYPE_CHECKING:
    from collections.abc import Mapping

ANY = {Choice.MAKE: "any make", Choice.REFRIGERANT: "any refrigerant"}
"""The two filters in sight say themselves what they narrow."""
FURTHER = (Choice.COMPRESSOR, Choice.METERING, Choice.FAMILY, Choice.MARKET, Choice.MAKER)
TITLES = {
    Choice.COMPRESSOR: "Compressor",
    Choice.METERING: "Metering device",
    Choice.FAMILY: "System family",
    Choice.MARKET: "Market",
    Choice.MAKER: "Made by",
}
MORE, LESS = "More filters", "Fewer filters"


class FilterBar(QWidget):
    """The filters of the list.

    Attributes
    ----------
    changed
        Signal without arguments: ask `filters`.
    """

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.boxes = {one: _box(str(one), ANY.get(one, "any")) for one in (*ANY, *FURTHER)}
        self.year = QLineEdit()
        self.year.setValidator(QIntValidator(0, 9999, self))
        self.year.setPlaceholderText("any")
        self.known_good = QCheckBox("With &known-good readings")
        self.unreviewed = QCheckBox("With values not &reviewed")
        self.in_conflict = QCheckBox("With values that &differ")
        self.more_button, self.clear_button = _link(MORE), _link("Clear filters")
        self._further = _scrolling()
        self._lay_out()
        self._connect()
        self._show_further(shown=False)
        self._say()

    @property
    def filters(self) -> Filters:
        """What is chosen; a year that is not yet whole narrows nothing."""
        chosen = {one: str(box.currentData() or "") for one, box in self.boxes.items()}
        year = self.year.text()
        return Filters(
            maker=chosen[Choice.MAKER],
            make=chosen[Choice.MAKE],
            family=chosen[Choice.FAMILY],
            market=chosen[Choice.MARKET],
            refrigerant=chosen[Choice.REFRIGERANT],
            compressor=chosen[Choice.COMPRESSOR],
            metering=chosen[Choice.METERING],
            year=int(year) if len(year) == 4 else None,
            has_known_good=self.known_good.isChecked(),
            unreviewed=self.unreviewed.isChecked(),
            in_conflict=self.in_conflict.isChecked(),
        )

    @property
    def set(self) -> bool:
        """Whether anything is narrowed."""
        return self.filters != Filters()

    def offer(self, choices: Mapping[Choice, tuple[str, ...]]) -> None:
        """Offer what the library holds, leaving what is chosen as it is."""
        for one, texts in choices.items():
            box = self.boxes[one]
            chosen = str(box.currentData() or "")
            # What is chosen stays, even where the last vehicle with it was just changed.
            offered = sorted({*texts, chosen} - {""}, key=str.casefold)
            box.blockSignals(True)
            box.clear()
            box.addItem(ANY.get(one, "any"), "")
            for text in offered:
                box.addItem(text, text)
            box.setCurrentIndex(max(box.findData(chosen), 0))
            box.blockSignals(False)

    def clear(self) -> None:
        """Narrow nothing any more; told once."""
        if not self.set and not self.year.text():
            return
        watched = (*self.boxes.values(), self.year, self.known_good, self.unreviewed, self.in_conflict)
        for widget in watched:
            widget.blockSignals(True)
        for box in self.boxes.values():
            box.setCurrentIndex(0)
        self.year.clear()
        for check in (self.known_good, self.unreviewed, self.in_conflict):
            check.setChecked(False)
        for widget in watched:
            widget.blockSignals(False)
        self._tell()

    def _lay_out(self) -> None:
        row = QHBoxLayout()
        row.setSpacing(8)
        for one in ANY:
            row.addWidget(self.boxes[one], stretch=1)
        page = QWidget()
        page.setObjectName("page")
        grid = QGridLayout(page)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setVerticalSpacing(5)
        fields: list[tuple[str, QWidget]] = [(TITLES[one], self.boxes[one]) for one in FURTHER]
        for number, (title, field) in enumerate((*fields, ("Model year", self.year))):
            grid.addWidget(named(title, field), number, 0)
            grid.addWidget(field, number, 1)
        grid.setColumnStretch(1, 1)
        for number, check in enumerate((self.known_good, self.unreviewed, self.in_conflict), grid.rowCount()):
            grid.addWidget(check, number, 0, 1, 2)
        self._further.setWidget(page)
        links = QHBoxLayout()
        links.addWidget(self.more_button)
        links.addStretch(1)
        links.addWidget(self.clear_button)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(5)
        layout.addLayout(row)
        layout.addWidget(self._further)
        layout.addLayout(links)

    def _connect(self) -> None:
        for box in self.boxes.values():
            box.currentIndexChanged.connect(self._tell)
        self.year.textChanged.connect(self._tell)
        for check in (self.known_good, self.unreviewed, self.in_conflict):
            check.toggled.connect(self._tell)
        self.more_button.clicked.connect(lambda: self._show_further(shown=self._further.isHidden()))
        self.clear_button.clicked.connect(self.clear)

    def _show_further(self, *, shown: bool) -> None:
        self._further.setVisible(shown)
        self._say()

    def _tell(self) -> None:
        self._say()
        self.changed.emit()

    def _say(self) -> None:
        """Own up to the filters that are set and out of sight."""
        chosen = self.filters
        hidden = [chosen.maker, chosen.family, chosen.market, chosen.compressor, chosen.metering, chosen.year]
        hidden += [chosen.has_known_good, chosen.unreviewed, chosen.in_conflict]
        count = sum(bool(one) for one in hidden)
        shown = not self._further.isHidden()
        self.more_button.setText(LESS if shown else f"{MORE} ({count} set)" if count else MORE)
        self.clear_button.setVisible(self.set)


def _box(name: str, nothing: str) -> QComboBox:
    box = QComboBox()
    box.addItem(nothing, "")
    box.setAccessibleName(name)
    box.setMinimumContentsLength(6)
    box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    return box


def _scrolling() -> QScrollArea:
    # On a low screen the filters scroll and leave the list its room.
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setSizeAdjustPolicy(QScrollArea.SizeAdjustPolicy.AdjustToContents)
    area.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setMinimumHeight(60)
    return area


def _link(text: str) -> QPushButton:
    button = QPushButton(text)
    button.setObjectName("link")
    return button
