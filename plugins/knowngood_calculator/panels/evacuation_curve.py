"""The curve of a decay test over time, with the levels that it is held against."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtWidgets import QVBoxLayout, QWidget

from knowngood.formatting import Shown
from knowngood.widgets import theme
from knowngood.widgets.form import words
from knowngood_calculator.core.decay_evidence import GOOD_PA, MOIST_PA

if TYPE_CHECKING:
    from knowngood.units import Units
    from knowngood.widgets import CurvePlot
    from knowngood_calculator.core.decay_hold import Decay

MINUTE_S = 60.0
LEVELS = ((GOOD_PA, theme.ACCENT), (MOIST_PA, theme.EVENT))


class DecayCurve(QWidget):
    """Empty until a record is shown: the plots' library is loaded with the first."""

    def __init__(self, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._units = units
        self._plot: CurvePlot | None = None
        self.readout = words("quiet")
        self._layout = QVBoxLayout(self)
        self._layout.setContentsMargins(0, 0, 0, 0)
        self._layout.setSpacing(0)
        self._layout.addWidget(self.readout)

    @property
    def plot(self) -> CurvePlot | None:
        """The plot, None before the first record."""
        return self._plot

    def clear(self) -> None:
        """Show nothing."""
        if self._plot is not None:
            self._plot.hide()
        self.readout.setText("")

    def show_decay(self, decay: Decay) -> None:
        """Draw a record in the units shown; one whose times run back is not drawn."""
        from knowngood.widgets import PlottedCurve

        if len(decay.times_s) < 2 or np.any(np.diff(decay.times_s) <= 0.0):
            self.clear()
            return
        plot = self._ready()
        minutes = decay.times_s / MINUTE_S
        scale = self._units.value(1.0, Shown.VACUUM)
        ends = minutes[[0, -1]]
        curves = [PlottedCurve("pressure", theme.INK, minutes, scale * decay.pressures_pa)]
        curves += [
            PlottedCurve(
                self._units.text(level_pa, Shown.VACUUM),
                colour,
                ends,
                np.full(2, scale * level_pa),
                dashed=True,
            )
            for level_pa, colour in LEVELS
        ]
        plot.show_content(curves, (), "time, min", f"pressure, {self._units.label(Shown.VACUUM)}")
        plot.show()

    def _ready(self) -> CurvePlot:
        if self._plot is None:
            from knowngood.widgets import CurvePlot

            self._plot = CurvePlot("Decay curve")
            self._plot.read.connect(self._tell)
            self._layout.insertWidget(0, self._plot, stretch=1)
        return self._plot

    def _tell(self, minutes: float) -> None:
        assert self._plot is not None
        name, value = self._plot.values()[0]
        if value is None:
            self.readout.setText("")
            return
        pascals = value / self._units.value(1.0, Shown.VACUUM)
        self.readout.setText(f"At {minutes:.1f} min: {name} {self._units.text(pascals, Shown.VACUUM)}")
