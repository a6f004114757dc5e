"""A small picture of the session on the check-up page: where its windows and events lie."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QLabel, QWidget

from knowngood.formatting import clock
from knowngood.widgets import Card, theme
from knowngood_refdata.quantities import Kind, UnknownUnit, unit
from knowngood_refdata.queries import sessions
from knowngood_refdata.records import EventKind, Role

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from knowngood.api import Host
    from knowngood_checkup.gather import SessionCheck
    from knowngood_refdata.records import Event, Recording

SIDES = ((Role.HIGH_SIDE, "high side", theme.HIGH_SIDE), (Role.LOW_SIDE, "low side", theme.LOW_SIDE))


class SessionCard(Card):
    """Both pressures over time, with windows and events; the plot is made when it is first needed."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__("Session", parent=parent)
        from knowngood.widgets import TimePlot

        self._host = host
        self._plot = TimePlot()
        self._plot.setMinimumHeight(140)
        self._note = QLabel()
        self._note.setObjectName("quiet")
        self.body.addWidget(self._plot, stretch=1)
        self.body.addWidget(self._note)
        self._recording: tuple[int, Recording] | None = None

    def show_check(self, check: SessionCheck) -> None:
        """Show the session of a check-up."""
        from knowngood.widgets import Curve, PlotPanel

        recording = self._fetch(check.info.id)
        curves = tuple(
            Curve(name, values, colour)
            for role, name, colour in SIDES
            if (values := self._gauge(recording, role, check.barometer_pa)) is not None
        )
        label = self._host.units.label(Kind.PRESSURE)
        self._plot.set_panels(recording.time_s, [PlotPanel(label, curves)])
        self._plot.set_windows([(one.start_s, one.end_s, one.label) for one in check.findings.windows])
        self._plot.set_events([(one.at_s, brief(one)) for one in check.findings.events])
        count = len(check.findings.windows)
        self._note.setText(
            f"0:00 to {clock(check.info.duration_s)}   \N{MIDDLE DOT}   {count} steady windows"
        )

    def _fetch(self, session_id: int) -> Recording:
        if self._recording is None or self._recording[0] != session_id:
            self._recording = session_id, sessions.recording(self._host.store, session_id)
        return self._recording[1]

    def _gauge(self, recording: Recording, role: Role, barometer_pa: float) -> NDArray[np.float64] | None:
        channel = next((one for one in recording.channels if one.role is role), None)
        if channel is None:
            return None
        try:
            absolute = unit(channel.unit, Kind.PRESSURE).to_si(channel.values)
        except UnknownUnit:
            return None
        if channel.gauge:
            absolute = absolute + barometer_pa
        scale = self._host.units.value(1.0, Kind.PRESSURE, difference=True)
        return (absolute - barometer_pa) * scale


def brief(event: Event) -> str:
    """An event in two or three words; an engine-speed step needs none between windows named by speed.

    >>> from knowngood_refdata.records import Event, EventKind
    >>> brief(Event(EventKind.FAN_STAGE_UP, 10.0, "fan switched to stage 2, seen by the high side"))
    'fan stage 2'
    """
    if event.kind is EventKind.ENGINE_SPEED_STEP:
        return ""
    return event.text.partition(",")[0].replace("switched to ", "")
