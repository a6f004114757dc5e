"""The first minutes of a log as three small plots, live as roles and units change."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QLabel, QStackedWidget, QVBoxLayout, QWidget

from knowngood import formatting
from knowngood.formatting import clock
from knowngood.widgets import theme
from knowngood.widgets.form import words
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind
from knowngood_refdata.records import Role
from knowngood_refdata.role_kinds import roles_of
from knowngood_sessions.core.mapping.mapping_preview import Preview, preview

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from knowngood.units import Units
    from knowngood.widgets import PlotPanel
    from knowngood_sessions.core.mapping.assignment import Assignment
    from knowngood_sessions.core.reading.reader import LogTable

_SETTLE_MS = 60
_LOWEST_PX = 150
_COLOURS = {
    Role.LOW_SIDE: theme.LOW_SIDE,
    Role.HIGH_SIDE: theme.HIGH_SIDE,
    Role.SUCTION_LINE: theme.LOW_SIDE,
    Role.LIQUID_LINE: theme.HIGH_SIDE,
    Role.DISCHARGE_LINE: "#dd9aa0",
    Role.VENT: theme.ACCENT,
    Role.AMBIENT: theme.ENGINE,
    Role.INTAKE: theme.EVENT,
    Role.COOLANT: theme.CURVES[1],
    Role.ENGINE_SPEED: theme.ENGINE,
}
_PLOTS: tuple[tuple[str, Kind, tuple[Role, ...], int], ...] = (
    ("Pressures", Kind.PRESSURE, (Role.LOW_SIDE, Role.HIGH_SIDE), 3),
    ("Temperatures", Kind.TEMPERATURE, roles_of(Kind.TEMPERATURE), 3),
    ("Engine speed", Kind.ROTATION, (Role.ENGINE_SPEED,), 2),
)


class MappingPreview(QWidget):
    """Draws the first minutes of a table under a mapping; a change is drawn a moment later, not at each key.

    Attributes
    ----------
    shown
        The `Preview` that is drawn.
    """

    def __init__(self, table: LogTable, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        from knowngood.widgets import TimePlot

        self._table, self._units = table, units
        self._mapping: Mapping[str, Assignment] = {}
        self._barometer_pa = STANDARD_ATMOSPHERE_PA
        self.shown = Preview(np.empty(0), {}, "")
        self.plot = TimePlot()
        self._problem: QLabel = words("quiet")
        self._stack = QStackedWidget()
        self._stack.addWidget(self.plot)
        self._stack.addWidget(self._problem)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(_SETTLE_MS)
        self._timer.timeout.connect(self.draw)
        self.setAccessibleName("First minutes as they are understood")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self._stack)
        self.setMinimumHeight(_LOWEST_PX)

    def show_mapping(self, mapping: Mapping[str, Assignment], barometer_pa: float) -> Preview:
        """Take another mapping; what it gives is returned at once and drawn a moment later."""
        self._mapping, self._barometer_pa = mapping, barometer_pa
        self.shown = preview(self._table, mapping, barometer_pa)
        self._timer.start()
        return self.shown

    def draw(self) -> None:
        """Draw what is to be shown."""
        self._timer.stop()
        self._problem.setText(self.shown.problem and f"{self.shown.problem} The plot waits for it.")
        self._stack.setCurrentIndex(0 if self.shown.whole else 1)
        self.setAccessibleDescription("; ".join(self.in_words()) or self.shown.problem)
        self.setToolTip("\n".join(self.in_words()))
        if self.shown.whole:
            self.plot.set_panels(self.shown.time_s, self._panels())
            self.plot.zoom_out()

    def in_words(self) -> tuple[str, ...]:
        """The curves in words, for those who cannot see them: ``low side: 28.1 psig to 31.0 psig``."""
        told = []
        for _, kind, roles, _ in _PLOTS:
            for role in roles:
                values = self.shown.values.get(role)
                if values is not None and np.isfinite(values).any():
                    ends = (self._text(float(end), kind) for end in (np.nanmin(values), np.nanmax(values)))
                    told.append(f"{self._name(role)}: {' to '.join(ends)}")
        if told:
            told.append(f"in the first {clock(float(self.shown.time_s[-1]))}")
        return tuple(told)

    def _name(self, role: Role) -> str:
        """What a curve is called: ``low side``, or ``low side, if bar, gauge`` while that is asked."""
        supposed = self.shown.supposed.get(role)
        return f"{role.value}, if {supposed}" if supposed else role.value

    def _text(self, value: float, kind: Kind) -> str:
        return self._units.text(value, kind, barometer_pa=self._barometer_pa)

    def _panels(self) -> Sequence[PlotPanel]:
        from knowngood.widgets import Curve, PlotPanel

        panels = []
        for title, kind, roles, share in _PLOTS:
            unit = formatting.scale_of(kind, self._units.system).unit
            zero = self._barometer_pa if kind is Kind.PRESSURE else 0.0
            curves = tuple(
                Curve(self._name(role), unit.from_si(self.shown.values[role] - zero), _COLOURS[role])
                for role in roles
                if role in self.shown.values
            )
            if curves:
                label = formatting.label(kind, self._units.system)
                panels.append(PlotPanel(f"{title}, {label}", curves, share))
        return panels
