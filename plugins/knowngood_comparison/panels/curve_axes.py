"""The axes of the curves in the units shown: what is drawn where, and how a reading is written."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood.formatting import MISSING, Shown, scale_of
from knowngood.widgets.answer_line import sentence
from knowngood_comparison.core.curves import Along
from knowngood_comparison.panels.numbers import in_units, percent, signed
from knowngood_refdata.quantities import Kind
from knowngood_refdata.refrigerants import saturation

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    from knowngood.formatting import Subject
    from knowngood.units import Units
    from knowngood_comparison.core.assumptions import Assumptions
    from knowngood_comparison.core.curves import Curve
    from knowngood_comparison.core.figures import Figure

    Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class CurveAxes:
    """A figure over a temperature, or over its pressure as a gauge at the local air shows it."""

    units: Units
    barometer_pa: float
    figure: Figure
    along: Along
    as_pressure: bool

    @property
    def x_label(self) -> str:
        """The words below the axis, with the unit."""
        kind = self._x_kind
        return f"{self.along} {kind}, {self.units.label(kind)}"

    @property
    def y_label(self) -> str:
        """The words beside the axis, with the unit where the figure has one."""
        unit = self.units.label(self._subject)
        return f"{self.figure.title}, {unit}" if unit else self.figure.title

    def x(self, curve: Curve) -> Floats:
        """Where the points of a curve lie across."""
        return self._shown(curve.pressure_pa if self.as_pressure else curve.saturation_k, self._x_kind)

    def y(self, values: Floats) -> Floats:
        """Values of the figure in SI as they are drawn."""
        return self._shown(values, self._subject)

    def place(self, given: Assumptions, refrigerant: str) -> float:
        """Where the conditions entered lie across, for one refrigerant."""
        kelvin = given.evaporating_k if self.along is Along.EVAPORATING else given.condensing_k
        si = saturation(refrigerant).pressure_pa(kelvin) if self.as_pressure else kelvin
        return self.units.value(si, self._x_kind, barometer_pa=self.barometer_pa)

    def reading(self, at: float, values: Sequence[tuple[str, float | None]]) -> str:
        """What the curves have at a place, with the difference of the second from the first."""
        x = self._written(at, self._x_kind, self._x_kind)
        each = ", ".join(f"{name} {self._y_written(value)}" for name, value in values)
        return f"{sentence(self.along)} {x}: {each}{self._compared([value for _, value in values])}"

    @property
    def _x_kind(self) -> Kind:
        return Kind.PRESSURE if self.as_pressure else Kind.TEMPERATURE

    @property
    def _subject(self) -> Subject:
        return self.figure.kind or Shown.RATIO

    def _shown(self, values: Floats, what: Subject) -> Floats:
        return in_units(values, what, self.units, self.barometer_pa)

    def _y_written(self, value: float | None) -> str:
        return MISSING if value is None else self._written(value, self._subject, self._subject)

    def _written(self, shown: float, what: Subject, unit_of: Subject) -> str:
        decimals = scale_of(what, self.units.system).decimals
        number = f"{shown:.{decimals}f}".replace("-", "\N{MINUS SIGN}")
        return f"{number} {self.units.label(unit_of)}".strip()

    def _compared(self, values: Sequence[float | None]) -> str:
        if len(values) != 2 or values[0] is None or values[1] is None:
            return "."
        if self.figure.has_share and self.figure.kind is not Kind.PRESSURE and values[0]:
            return f" ({signed(percent(values[1] / values[0] - 1.0))}\N{NO-BREAK SPACE}%)."
        unit = self.units.label(self._subject, difference=True)
        decimals = scale_of(self._subject, self.units.system).decimals
        apart = f"{values[1] - values[0]:.{decimals}f}".replace("-", "\N{MINUS SIGN}")
        return f" ({signed(apart)} {unit})."
