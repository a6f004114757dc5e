"""Cars of the library that were built with either refrigerant: charge weights and known-good readings."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QStackedWidget, QVBoxLayout, QWidget

from knowngood.widgets import Card, EmptyState
from knowngood.widgets.form import named, words
from knowngood.widgets.printing import sheet
from knowngood_comparison.core.names import FIRST, SECOND
from knowngood_comparison.gather import Overlaid, overlaid
from knowngood_comparison.panels.charges_html import charges_html, otherwise_html
from knowngood_comparison.panels.cloud_card import CloudCard
from knowngood_comparison.panels.cloud_words import ranges_html
from knowngood_comparison.panels.part import GAP, MARGINS, Part

if TYPE_CHECKING:
    from knowngood.api import Host, Progress
    from knowngood_refdata.queries.pairs import Pair

EMPTY_LIBRARY = (
    "The library holds no vehicle yet.\nEnter a car with its refrigerant and charge weight from the "
    "under-hood label;\nonce a model is there with either refrigerant, both are laid over each other here."
)
NO_PAIR = (
    f"No model of the library was entered with both refrigerants.\nEnter the same make and model, or cars of "
    f"one system family,\nonce with {FIRST} and once with {SECOND}."
)
TO_SPECS = "Go to the vehicle specs"
LIKE = (
    "Like conditions: ambient within 4 K (7 °F), humidity within 15 points, engine speed within 100 rpm, "
    "the same fan stage and air source. The refrigerants are never pooled, and nothing here tells a charge."
)
NO_LIKE = "No reading of one has a like reading of the other: there is nothing to compare yet."


class LibraryPart(Part):
    """Reads the library off the GUI thread whenever it is shown."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self.empty = EmptyState("")
        self.pairs = QComboBox()
        self.likeness, self.charges, self.otherwise = words("quiet"), _rich(), _rich()
        self.cloud, self.ranges = CloudCard(host), _rich()
        self._like = words("quiet", LIKE)
        self._stack = QStackedWidget()
        self._found: Overlaid | None = None
        self._picked: tuple[int, int] | None = None
        self._asked = 0
        self._lay_out()
        self.pairs.activated.connect(self._pick)
        host.bench.vehicle_changed.connect(self._follow)
        self.cloud.speeds_changed.connect(self.refresh)
        self.empty.clicked.connect(lambda: host.show_page("specs"))
        self.setFocusProxy(self.pairs)

    @property
    def overlaid(self) -> Overlaid | None:
        """What is shown; None before the library was read."""
        return self._found

    def refresh(self) -> None:
        """Read the library again and show the pair that was chosen."""
        self._asked += 1
        asked, store, wanted, speeds = self._asked, self.host.store, self._picked, self.cloud.wanted_speeds
        vehicle = self.host.bench.vehicle
        in_hand = None if vehicle is None else vehicle.id

        def work(_progress: Progress) -> Overlaid:
            return overlaid(store, wanted, in_hand, speeds)

        def done(found: Overlaid) -> None:
            # An answer to an older question comes too late.
            if asked == self._asked:
                self._show(found)

        self.host.tasks.run(
            "Looking for cars with either refrigerant",
            work,
            done=done,
            failed=lambda error: self.host.say(str(error)),
        )

    def sheet_html(self) -> str:
        """The pair with its charges, the points, and what they show."""
        found = self._found
        if found is None or found.pair is None or found.clouds is None:
            return "<p>The library holds no model with both refrigerants.</p>"
        units = self.host.units
        return (
            f"<h2>{escape(_named(found.pair))}</h2>{charges_html(found.pair, units)}"
            f"{otherwise_html(found.pair)}{sheet(self.cloud)}"
            f"{ranges_html(found.clouds, units) or f'<p>{NO_LIKE}</p>'}<p>{LIKE}</p>"
        )

    def _pick(self, place: int) -> None:
        if self._found is not None and 0 <= place < len(self._found.pairs):
            pair = self._found.pairs[place]
            self._picked = pair.first.id, pair.second.id
            self.refresh()

    def _follow(self) -> None:
        """Another vehicle in hand goes before the pair that was picked."""
        self._picked = None

    def _show(self, found: Overlaid) -> None:
        self._found = found
        pair, clouds = found.pair, found.clouds
        if pair is None or clouds is None:
            self.empty.set_text(NO_PAIR if found.held else EMPTY_LIBRARY, TO_SPECS)
            self._stack.setCurrentIndex(0)
            return
        self.pairs.clear()
        self.pairs.addItems([_named(one) for one in found.pairs])
        self.pairs.setCurrentIndex(found.chosen)
        self.likeness.setText(_likeness(pair, len(found.pairs)))
        self.charges.setText(charges_html(pair, self.host.units))
        self.otherwise.setText(otherwise_html(pair))
        self.cloud.show_clouds(clouds)
        self.ranges.setText(ranges_html(clouds, self.host.units) or NO_LIKE)
        self._stack.setCurrentIndex(1)

    def _lay_out(self) -> None:
        self.pairs.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.pairs.setMinimumContentsLength(30)
        head = Card()
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(named("&Cars", self.pairs))
        row.addWidget(self.pairs, stretch=1)
        head.body.addLayout(row)
        head.body.addWidget(self.likeness)
        titles = ("Charge weight", "Under like conditions", "What else is different")
        charge, like, other = (Card(title) for title in titles)
        charge.body.addWidget(self.charges)
        like.body.addWidget(self.ranges)
        like.body.addWidget(self._like)
        other.body.addWidget(self.otherwise)
        left = QVBoxLayout()
        left.setSpacing(GAP)
        left.addWidget(charge)
        left.addWidget(like)
        left.addStretch(1)
        self.columns.addLayout(left, stretch=1)
        self.columns.addWidget(self.cloud, stretch=1)
        filled = QWidget()
        inner = QVBoxLayout(filled)
        inner.setContentsMargins(*MARGINS)
        inner.setSpacing(GAP)
        inner.addWidget(head)
        inner.addLayout(self.columns, stretch=1)
        inner.addWidget(other)
        self._stack.addWidget(self.empty)
        self._stack.addWidget(filled)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self._stack)


def _named(pair: Pair) -> str:
    """Both vehicles in one line, what they share said once."""
    first, second = pair.first, pair.second
    names = [first.name, second.name]
    if first.evaporators == second.evaporators:
        names = [name.removesuffix(f", {first.evaporators}") for name in names]
    shared = f"{first.make} {first.model}"
    if shared != f"{second.make} {second.model}":
        return f"{names[0]} ({FIRST}) and {names[1]} ({SECOND})"
    rest = [name.removeprefix(shared).strip(" ,") for name in names]
    return f"{shared}: {rest[0]} ({FIRST}) and {rest[1]} ({SECOND})"


def _likeness(pair: Pair, count: int) -> str:
    held = "the only pair" if count == 1 else f"one of {count} pairs"
    return f"{pair.likeness.capitalize()}; {held} in the library."


def _rich() -> QLabel:
    label = QLabel()
    label.setTextFormat(Qt.TextFormat.RichText)
    label.setWordWrap(True)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label
