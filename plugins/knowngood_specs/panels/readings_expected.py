"""What to expect from this shop's known-good readings, under the conditions that are chosen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QSizePolicy, QWidget

from knowngood.widgets import Card, RangeStripList
from knowngood.widgets.form import named, words
from knowngood_refdata.expected.comparison import compare_window, expect
from knowngood_refdata.expected.match import Point
from knowngood_refdata.local_air import local_air
from knowngood_refdata.records import Standing
from knowngood_specs.core.met_points import met_points
from knowngood_specs.panels.readings_strips import compared_rows, expected_rows
from knowngood_specs.reading_words import (
    NOTHING_KNOWN,
    evidence_words,
    match_words,
    point_words,
    refusal_words,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood.api import Host
    from knowngood.widgets import StripRow
    from knowngood_refdata.records import Reading, SessionInfo, SteadyWindow
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

    Readings of one standing alone stand behind it: those of other shops never count among this shop's.
    """

    def __init__(
        self, host: Host, standing: Standing = Standing.KNOWN_GOOD, parent: QWidget | None = None
    ) -> None:
        super().__init__(TITLES[standing], parent=parent)
        self._standing = standing
        self._host = host
        self._known_good: tuple[Reading, ...] = ()
        self._session: SessionInfo | None = None
        self._windows: tuple[SteadyWindow, ...] = ()
        self._points: tuple[MetPoint, ...] = ()
        self.under = QComboBox()
        self.strips = RangeStripList()
        self.words, self._legend = words("quiet"), words("quiet")
        self._choice = QWidget()
        self._lay_out()
        self.under.activated.connect(lambda _place: self._show())

    def show_known(
        self, readings: Sequence[Reading], session: SessionInfo | None, windows: Sequence[SteadyWindow]
    ) -> None:
        """Show what the readings of a vehicle give; ``session`` is one of it that is in hand, if any.

        A session's own readings never stand behind what is expected of it.
        """
        self._known_good = tuple(one for one in readings if one.standing is self._standing)
        self._session, self._windows = session, tuple(windows)
        self._points = met_points(self._known_good)[:MOST_POINTS]
        self._list()
        self._show()

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
        self._choice.setVisible(bool(entries) and bool(self._known_good))

    def _show(self) -> None:
        place = self.under.currentIndex()
        if not self._known_good:
            self._write(NOTHING_KNOWN, [], "", "")
        elif self._session is not None and 0 <= place < len(self._windows):
            self._show_window(self._session, self._windows[place])
        elif 0 <= place - len(self._windows) < len(self._points):
            self._show_point(self._points[place - len(self._windows)])
        else:
            missing = "none of them records all the conditions that a comparison needs"
            self._write(f"Nothing can be expected yet: {missing}.", [], "", "")

    def _show_window(self, session: SessionInfo, window: SteadyWindow) -> None:
        now = session.conditions
        others = [one for one in self._known_good if one.session_id != session.id]
        compared = compare_window(window, now, others)
        air = local_air(now.barometer_pa, now.altitude_m).pressure_pa
        if compared.reason:
            self._write(f"Not comparable: {compared.reason}.", [], "", "")
            return
        at = point_words(Point(now, window.engine_rpm, window.fan_stage), self._host.units.system)
        rows = compared_rows(compared, self._host.units, air)
        self._write(
            match_words(compared.matches), rows, f"{evidence_words(compared.matches)}; {at}", LEGEND + MARKER
        )

    def _show_point(self, met: MetPoint) -> None:
        found = expect(met.point, self._known_good)
        rows = expected_rows(found, self._host.units, met.barometer_pa)
        said = refusal_words(found) or match_words(found.matches)
        self._write(said, rows, evidence_words(found.matches), LEGEND)

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
