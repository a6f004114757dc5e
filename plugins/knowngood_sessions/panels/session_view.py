"""A session on screen: its plots, what was found, the channels to choose, the numbers at the cursor."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSplitter, QVBoxLayout, QWidget

from knowngood.formatting import clock
from knowngood.widgets import Annotation, Card, TimePlot
from knowngood.widgets.elided import ElidedLabel
from knowngood_sessions.channel_layout import USUAL
from knowngood_sessions.expected_bands import Expected
from knowngood_sessions.findings_words import Counting, lines, short_words
from knowngood_sessions.panels.channel_chooser import ChannelChooser
from knowngood_sessions.panels.overlay_chooser import OverlayChooser
from knowngood_sessions.panels.scrolled import scrolled
from knowngood_sessions.panels.session_findings import SessionFindings
from knowngood_sessions.panels.session_side import SessionSide
from knowngood_sessions.panels.session_tools import SessionTools
from knowngood_sessions.panels.session_values import SessionValues
from knowngood_sessions.session_panels import SLOW_SAMPLES, Overlay, Ready, bands, ready

if TYPE_CHECKING:
    from knowngood.api import Host
    from knowngood.widgets.time_plot import CursorReading, Measurement
    from knowngood_refdata.records import SteadyWindow
    from knowngood_sessions.channel_layout import Layout
    from knowngood_sessions.findings_words import Line
    from knowngood_sessions.gather import Session

_PLOT_PX, _SIDE_PX = 664, 390


class SessionView(QWidget):
    """Shows one session, and another one laid over it.

    Attributes
    ----------
    layout_changed
        Signal: the user put channels on other plots.
    window_set
        Signal with a window of the findings, or None for a new one, and its start and end [s].
    drawn
        Signal: the plots show what was asked for last.
    """

    layout_changed = Signal()
    window_set = Signal(object, float, float)
    drawn = Signal()

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._host = host
        self.session: Session | None = None
        self.overlay: Overlay | None = None
        self.layout_now: Layout = USUAL
        self._expected = Expected()
        self._ready: Ready | None = None
        self._asked = self._drawn = 0
        self.plot = TimePlot()
        self.tools = SessionTools(self.plot)
        self.findings = SessionFindings()
        self.channels = ChannelChooser()
        self.overlays = OverlayChooser()
        self.values = SessionValues()
        self._title, self._subtitle = QLabel(), ElidedLabel()
        self._title.setObjectName("cardTitle")
        self._title.setTextFormat(Qt.TextFormat.PlainText)
        self._subtitle.setObjectName("quiet")
        self._lay_out()
        self._connect()

    def show_session(self, session: Session) -> None:
        """Show a session, or the same one with other findings."""
        before = self.session
        if before is None or before.info.id != session.info.id:
            self.overlay, self._expected = None, Expected()
            self.plot.set_cursor(None)
            self.plot.clear_highlight()
            self.values.show_nothing()
        self.session = session
        if before is not None and before.traces is session.traces and self._ready is not None:
            self._write()
            self._draw_marks()
        else:
            self.refresh()

    def show_expected(self, session: Session, expected: Expected) -> None:
        """Show what known-good readings say of a session, if it is the one on screen."""
        if self.session is session:
            self._expected = expected
            self._draw_marks()

    def forget(self) -> None:
        """Show nothing any more."""
        self.session = self.overlay = self._ready = None
        self._asked += 1
        self.plot.set_panels(np.empty(0), ())

    def grow(self, session: Session) -> None:
        """Show the same session with further samples at its end."""
        if self.session is None or self.session.info.id != session.info.id:
            return
        self.session = session
        self._catch_up()
        self._tell_title()

    def lay_over(self, other: Session | None) -> None:
        """Lay another session over the one shown, or none."""
        if self.session is not None and other is not None:
            self.overlays.show_ways(self.session.findings.events, other.findings.events)
        self.overlay = None if other is None else Overlay(other, self.overlays.shift_s)
        self._draw()

    def set_layout(self, layout: Layout) -> None:
        """Put channels on other plots."""
        self.layout_now = layout
        self._draw()

    def refresh(self) -> None:
        """Write and draw everything anew, in the units in hand."""
        if self.session is not None:
            self._write()
            self._draw()
            self._read()

    def _write(self) -> None:
        session = self.session
        assert session is not None
        found = session.findings
        counting = Counting(self._host.units.system, session.barometer_pa, self._count)
        self.findings.show_lines(lines(found, counting), found)

    def _tell_title(self) -> None:
        session = self.session
        assert session is not None
        info = session.info
        self._title.setText(info.title)
        told = f"{clock(info.duration_s)}, {info.sample_count:,} samples, {info.refrigerant}"
        self._subtitle.set_full_text(" \N{MIDDLE DOT} ".join(filter(None, (told, self._range_words()))))

    def shown_span(self) -> tuple[float, float]:
        """The stretch in view, cut to the samples there are."""
        assert self.session is not None
        time_s = self.session.recording.time_s
        whole = (float(time_s[0]), float(time_s[-1])) if time_s.size else (0.0, 0.0)
        return self.plot.visible_range() or whole

    def moment(self) -> float:
        """Where the cursor stands, else the middle of what is in view."""
        start_s, end_s = self.shown_span()
        return 0.5 * (start_s + end_s) if self.plot.cursor_s is None else self.plot.cursor_s

    def _lay_out(self) -> None:
        card = Card()
        card.setContentsMargins(-8, -4, -8, -6)
        head = QHBoxLayout()
        head.setSpacing(12)
        head.addWidget(self._title)
        head.addWidget(self._subtitle, stretch=1)
        card.body.setSpacing(3)
        card.body.addLayout(head)
        card.body.addWidget(self.tools)
        card.body.addWidget(self.plot, stretch=1)
        self.side = SessionSide(
            (
                ("Findings", self.findings),
                ("Channels", self.channels),
                ("Overlay", scrolled(self.overlays, sideways=False)),
            ),
            self.values,
        )
        split = QSplitter()
        split.setChildrenCollapsible(False)
        split.addWidget(card)
        split.addWidget(self.side)
        split.setStretchFactor(0, 1)
        split.setSizes([_PLOT_PX, _SIDE_PX])
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(split)

    def _connect(self) -> None:
        self.tools.whole_wanted.connect(self._show_whole)
        self.tools.measuring.connect(self._measure)
        self.tools.editing.connect(self.plot.set_windows_editable)
        self.tools.ranges.connect(lambda _: self._draw_marks())
        self.findings.chosen.connect(self._show_line)
        self.channels.changed.connect(self._choose_channels)
        self.overlays.moved.connect(self._move_overlay)
        self.plot.cursor_moved.connect(self._cursor_moved)
        self.plot.measured.connect(self._measured)
        self.plot.window_clicked.connect(self.findings.list.choose_window)
        self.plot.event_clicked.connect(lambda place: self._event_clicked(place, by_hand=False))
        self.plot.annotation_clicked.connect(lambda place: self._event_clicked(place, by_hand=True))
        self.plot.window_moved.connect(self._window_moved)
        self.plot.window_drawn.connect(lambda start, end: self.window_set.emit(None, start, end))

    def _count(self, from_s: float, until_s: float) -> int:
        assert self.session is not None
        time_s = self.session.recording.time_s
        first, last = np.searchsorted(time_s, from_s, "left"), np.searchsorted(time_s, until_s, "right")
        return int(last - first)

    def _draw(self) -> None:
        """Make the curves ready, off this thread where there are many samples, and draw them."""
        session = self.session
        if session is None:
            return
        self._asked += 1
        asked, overlay = self._asked, self.overlay
        layout, system = self.layout_now, self._host.units.system
        self.channels.show_channels(session.traces, layout)
        samples = session.recording.time_s.size * len(session.traces)
        if samples <= SLOW_SAMPLES:
            self._put(ready(session, overlay, layout, system), asked)
            return
        self._host.tasks.run(
            f"Drawing {session.info.title}",
            lambda _: ready(session, overlay, layout, system),
            done=lambda made: self._put(made, asked),
            quiet=True,
        )

    def _put(self, made: Ready, asked: int) -> None:
        if asked != self._asked or self.session is None:
            return
        self._ready = made
        self.plot.set_prepared(made.drawable)
        self._drawn = made.time_s.size
        self._catch_up()
        self._draw_marks()
        self.drawn.emit()

    def _catch_up(self) -> None:
        """Draw the samples that have come since the curves were made ready."""
        session, made, first = self.session, self._ready, self._drawn
        if session is None or made is None or session.recording.time_s.size <= first:
            return
        values = {one.key: one.values for one in session.traces}
        placed = [one for plot in made.plots for one in plot.placed if one.trace.key in values]
        new = {one.trace.key: one.on_axis.array(values[one.trace.key][first:]) for one in placed}
        self.plot.append(session.recording.time_s[first:], new)
        self._drawn = session.recording.time_s.size

    def _draw_marks(self) -> None:
        session, made = self.session, self._ready
        if session is None or made is None:
            return
        found = session.findings
        self.plot.set_windows([(one.start_s, one.end_s, _window_name(one)) for one in found.windows])
        self.plot.set_events([(one.at_s, short_words(one)) for one in found.events if not one.by_hand])
        self.plot.set_annotations([Annotation(one.at_s, one.text) for one in found.events if one.by_hand])
        wanted = self._expected.bands if self.tools.bands.isChecked() else ()
        for place, plot in enumerate(made.plots):
            self.plot.set_bands(place, bands(plot, wanted))
        self._tell_title()

    def _range_words(self) -> str:
        """What stands behind the curves as expected ranges, or why nothing does."""
        reason = self._expected.reason
        if not self.tools.bands.isChecked():
            return ""
        if self._expected.bands:
            words = f"known-good ranges behind ({self._expected.basis})"
            return words + (f"; not comparable: {reason}" if reason else "")
        return f"no known-good range: {reason}" if reason else ""

    def _show_whole(self) -> None:
        self.plot.clear_highlight()
        self.plot.zoom_out()

    def _show_line(self, line: Line | None) -> None:
        if line is None or line.span_s is None:
            return
        start_s, end_s = line.span_s
        self.plot.zoom_to(start_s, end_s)
        if line.exact:
            self.plot.highlight(start_s, end_s)
        elif line.event is not None and self.session is not None:
            event = self.session.findings.events[line.event]
            self.plot.highlight(event.at_s, event.at_s if event.until_s is None else event.until_s)
        else:
            self.plot.clear_highlight()

    def _event_clicked(self, place: int, *, by_hand: bool) -> None:
        if self.session is not None:
            events = self.session.findings.events
            places = [number for number, one in enumerate(events) if one.by_hand is by_hand]
            self.findings.list.choose_event(places[place])

    def _choose_channels(self, layout: Layout) -> None:
        self.set_layout(layout)
        self.layout_changed.emit()

    def _move_overlay(self) -> None:
        if self.overlay is not None:
            self.overlay = Overlay(self.overlay.session, self.overlays.shift_s)
            self._draw()

    def _measure(self, on: bool) -> None:
        self.plot.set_measuring(on)
        self._read()

    def _cursor_moved(self, reading: CursorReading | None) -> None:
        self._read(() if reading is None else reading.marks)

    def _measured(self, _: Measurement | None) -> None:
        self._read()

    def _read(self, marks: tuple[str, ...] = ()) -> None:
        """Write the numbers at the cursor, or between the measuring lines."""
        session, system = self.session, self._host.units.system
        if session is None:
            return
        between = self.plot.measurement()
        if between is not None:
            self.values.show_between(session, between.a_s, between.b_s, system)
        elif self.plot.cursor_s is not None:
            laid = None if self.overlay is None else (self.overlay.session, self.overlay.shift_s)
            self.values.show_cursor(session, self.plot.cursor_s, system, laid, marks)
        else:
            self.values.show_nothing()

    def _window_moved(self, place: int, start_s: float, end_s: float) -> None:
        if self.session is not None:
            self.window_set.emit(self.session.findings.windows[place], start_s, end_s)


def _window_name(window: SteadyWindow) -> str:
    return f"{window.label}, by hand" if window.by_hand else window.label
