"""Which curves stand in which plot, in what colour, and in the units shown."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood import formatting
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from knowngood.formatting import System
    from knowngood_sessions.core.derive import Derived

# Hose colours of SAE J2196: low side blue, high side red.
LOW, HIGH, LOW_PALE, HIGH_PALE, GREEN, GREY, AMBER = (
    "#2f6fb0",
    "#b43a44",
    "#8fb4d9",
    "#dd9aa0",
    "#2a6a55",
    "#8b9094",
    "#a8741a",
)


@dataclass(frozen=True, slots=True, eq=False)
class Trace:
    """A curve in display units, (n,)."""

    name: str
    colour: str
    values: NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Plot:
    """Curves that share an axis; ``title`` and ``unit`` stand beside it."""

    title: str
    unit: str
    traces: tuple[Trace, ...]


def plots(derived: Derived, system: System, barometer_pa: float) -> tuple[Plot, ...]:
    """The plots of a session, only those for which there is a curve."""
    pressures = (("low side", LOW, derived.low_pa), ("high side", HIGH, derived.high_pa))
    temperatures = (
        ("suction line", LOW, derived.suction_line_k),
        ("evaporating", LOW_PALE, derived.evaporating_k),
        ("liquid line", HIGH, derived.liquid_line_k),
        ("condensing", HIGH_PALE, derived.condensing_k),
        ("vent", GREEN, derived.vent_k),
        ("ambient", GREY, derived.ambient_k),
    )
    differences = (("superheat", LOW, derived.superheat_k), ("subcooling", HIGH, derived.subcooling_k))
    speed = (("engine speed", GREY, derived.engine_rpm),)
    found = (
        _plot("Pressures", Kind.PRESSURE, pressures, system, barometer_pa),
        _plot("Temperatures", Kind.TEMPERATURE, temperatures, system),
        _plot("Superheat, subcooling", Kind.TEMPERATURE_DIFFERENCE, differences, system),
        _plot("Engine speed", Kind.ROTATION, speed, system),
    )
    return tuple(plot for plot in found if plot.traces)


def _plot(
    title: str,
    kind: Kind,
    curves: tuple[tuple[str, str, NDArray[np.float64] | None], ...],
    system: System,
    barometer_pa: float = 0.0,
) -> Plot:
    unit = formatting.scale_of(kind, system).unit
    zero = barometer_pa if kind is Kind.PRESSURE else 0.0
    traces = tuple(
        Trace(name, colour, unit.from_si(values - zero))
        for name, colour, values in curves
        if values is not None
    )
    return Plot(title, formatting.label(kind, system), traces)
