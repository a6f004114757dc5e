"""What to expect from this shop's known-good readings, under the conditions that are chosen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QSizePolicy, QWidget

from knowngood.widgets import Card, RangeStripList
from knowngood.widgets.form import named, words
from knowngood_refdata.records import Standing
from knowngood_specs.asking import Answered, Asked, answered
from knowngood_specs.core.met_points import met_points
from knowngood_specs.panels.readings_strips import compared_rows, expected_rows
from knowngood_specs.reading_words import NOTHING_KNOWN, point_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood.api import Host
    from knowngood.widgets import StripRow
    from knowngood_refdata.records import Reading, SessionInfo, SteadyWindow, Vehicle
    from knowngood_specs.core.met_points import MetPoint

TITLES = {
    Standing.KNOWN_GOOD: "Expected from this shop's known-good readings",
    Standing.IMPORTED: "Expected from readings of other shops, kept apart",
}
LEGEND = "green: 50 % and 90 % range of the next healthy car   \N{MIDDLE DOT}   ticks: the readings behind it"
MARKER = "   \N{MIDDLE DOT}   dot: this session, bar: its measuring uncertainty (95 %)"
MOST_POINTS = 12


class ExpectedCard(Card):
    """Offers the steady windows of the session in hand, and the conditions that readings were taken under.

    Readings of one standing alone stand behind it: those of other shops never count among this shop's. A
    vehicle without readings of its own borrows from its kin, and the card says so.
    """

    def __init__(
        self, host: Host, standing: Standing = Standing.KNOWN_GOOD, parent: QWidget | None = None
    ) -> None:
        super().__init__(TITLES[standing], parent=parent)
        self._standing = standing
        self._host = host
        self._vehicle: Vehicle | None = None
        self._answer: Answered | None = None
        self._known_good: tuple[Reading, ...] = ()
        self._session: SessionInfo | None = None
        self._windows: tuple[SteadyWindow, ...] = ()
        self._points: tuple[MetPoint, ...] = ()
        self.under = QComboBox()
        self.strips = RangeStripList()
        self.words, self._legend = words("quiet"), words("quiet")
        self._choice = QWidget()
        self._lay_out()
        self.under.activated.connect(lambda _place: self._ask())

    def show_known(
        self,
        vehicle: Vehicle,
        readings: Sequence[Reading],
        session: SessionInfo | None,
        windows: Sequence[SteadyWindow],
    ) -> None:
        """Show what the book gives for a vehicle; ``session`` is one of it that is in hand, if any.

        A session's own readings never stand behind what is expected of it.
        """
        self._vehicle = vehicle
        self._known_good = tuple(one for one in readings if one.standing is self._standing)
        self._session, self._windows = session, tuple(windows)
        self._points = met_points(self._known_good)[:MOST_POINTS]
        self._list()
        self._ask()

    def show_again(self) -> None:
        """Show the same in the units now chosen."""
        self._list()
        self._show()

    def _list(self) -> None:
        system = self._host.units.system
        before = self.under.currentIndex()
        title = "" if self._session is None else self._session.title or f"session {self._session.id}"
        entries = [f"{title}, {one.label}" for one in self._windows]
        entries += [f"{point_words(one.point, system)} ({one.readings} readings)" for one in self._points]
        kept = before if len(entries) == self.under.count() else 0
        self.under.clear()
        self.under.addItems(entries)
        self.under.setCurrentIndex(max(kept, 0))
        self._choice.setVisible(bool(entries))

    def _ask(self) -> None:
        """Ask the book off the GUI thread; its answer counts while the same is asked."""
        self._answer = None
        asked = self._asked()
        if asked is None:
            self._show()
            return

        def done(answer: Answered) -> None:
            if asked == self._asked():
                self._answer = answer
                self._show()

        store = self._host.store
        self._host.tasks.run(
            "Asking the book", lambda _progress: answered(store, asked), done=done, quiet=True
        )

    def _asked(self) -> Asked | None:
        place = self.under.currentIndex()
        if self._vehicle is None:
            return None
        if self._session is not None and 0 <= place < len(self._windows):
            return Asked(self._standing, self._vehicle, self._session, self._windows[place], None)
        if 0 <= place - len(self._windows) < len(self._points):
            met = self._points[place - len(self._windows)]
            return Asked(self._standing, self._vehicle, None, None, met)
        return None

    def _show(self) -> None:
        answer = self._answer
        if answer is None:
            nothing = not self._known_good and not self._windows
            lacking = "none of them records all the conditions that a comparison needs"
            said = (
                ""
                if self._asked()
                else NOTHING_KNOWN
                if nothing
                else f"Nothing can be expected yet: {lacking}."
            )
            self._write(said, [], "", "")
            return
        units = self._host.units
        if answer.compared is not None:
            rows = compared_rows(answer.compared, units, answer.barometer_pa)
            said = (
                f"Not comparable: {answer.compared.reason}." if answer.compared.reason else answer.sheet_words
            )
            rows = [] if answer.compared.reason else rows
            self._write(said, rows, answer.evidence, LEGEND + MARKER if rows else "")
        elif answer.expected is not None:
            rows = expected_rows(answer.expected, units, answer.barometer_pa)
            self._write(answer.sheet_words, rows, answer.evidence, LEGEND if rows else "")

    def _write(self, said: str, rows: list[StripRow], evidence: str, legend: str) -> None:
        self.set_title(TITLES[self._standing], evidence)
        self.strips.set_rows(rows)
        self.strips.setVisible(bool(rows))
        self.words.setText(said)
        self.words.setVisible(bool(said))
        self._legend.setText(legend)
        self._legend.setVisible(bool(legend))

    def _lay_out(self) -> None:
        self.under.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.under.setMinimumContentsLength(14)
        self.under.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        row = QHBoxLayout(self._choice)
        row.setContentsMargins(0, 0, 0, 0)
        label: QLabel = named("&Under the conditions of", self.under)
        row.addWidget(label)
        row.addWidget(self.under, stretch=1)
        for part in (self._choice, self.strips, self._legend, self.words):
            self.body.addWidget(part)
