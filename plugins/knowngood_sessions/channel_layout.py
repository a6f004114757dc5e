"""Which channels stand on which plot, and the plots that follow from it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Quantity, Role
from knowngood_sessions.core.channels.brought import CONDENSING
from knowngood_sessions.traces import measure_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from knowngood.formatting import System
    from knowngood_sessions.traces import Measure, Trace

MOST_PLOTS = 8
_TITLES = {
    Kind.PRESSURE: "Pressures",
    Kind.TEMPERATURE: "Temperatures",
    Kind.TEMPERATURE_DIFFERENCE: "Temperature differences",
}
_SHARE, _SHARE_ALONE = 4, 3
_FLAT = 2
_NAMED = 3
_LOOKED_AT = 5_000

Layout = tuple[tuple[str, ...], ...]
"""For each plot, from the top, the keys of its channels."""

USUAL: Layout = (
    (Role.LOW_SIDE.value, Role.HIGH_SIDE.value),
    (
        Role.SUCTION_LINE.value,
        Quantity.EVAPORATING.value,
        Role.LIQUID_LINE.value,
        CONDENSING,
        Role.VENT.value,
        Role.AMBIENT.value,
    ),
    (Quantity.SUPERHEAT.value, Quantity.SUBCOOLING.value),
    (Role.ENGINE_SPEED.value,),
)


@dataclass(frozen=True, slots=True)
class Placed:
    """A trace on a plot; ``power`` is the power of ten by which it is divided there."""

    trace: Trace
    measure: Measure
    power: int = 0

    @property
    def name(self) -> str:
        """What stands beside the curve."""
        return self.trace.title

    @property
    def label(self) -> str:
        """The unit of the axis for this curve: ``psig``, ``100 rpm``."""
        if self.power == 0:
            return self.measure.label
        return f"{10.0**self.power:g} {self.measure.label}".rstrip()

    @property
    def on_axis(self) -> Measure:
        """From SI to the place on the axis."""
        part = 10.0**-self.power
        one = self.measure
        return type(one)(self.label, max(0, one.decimals + self.power), one.factor * part, one.offset * part)


@dataclass(frozen=True, slots=True)
class Plot:
    """Curves that share an axis; ``title`` and ``unit`` stand beside it."""

    title: str
    unit: str
    placed: tuple[Placed, ...]
    share: int


def plots(offered: Sequence[Trace], layout: Layout, system: System, barometer_pa: float) -> tuple[Plot, ...]:
    """The plots of a session, only those for which there is a curve."""
    by_key = {one.key: one for one in offered}
    found = (_plot([by_key[key] for key in keys if key in by_key], system, barometer_pa) for keys in layout)
    return tuple(one for one in found if one.placed)


def to_plain(layout: Layout) -> list[list[str]]:
    """A layout as JSON can hold it."""
    return [list(keys) for keys in layout]


def from_plain(kept: Any) -> Layout:
    """The layout that was kept, the usual one when it is none.

    >>> from_plain([["low side"], []]), from_plain(7) == USUAL
    ((('low side',),), True)
    """
    if not isinstance(kept, list) or not all(isinstance(keys, list) for keys in kept):
        return USUAL
    layout = tuple(tuple(str(key) for key in keys) for keys in kept[:MOST_PLOTS])
    return tuple(keys for keys in layout if keys) or USUAL


def toggled(layout: Layout, plot: int, key: str) -> Layout:
    """A channel put on a plot, or taken off it; a plot that is left empty goes.

    Parameters
    ----------
    plot
        Its number from the top; one past the last makes a new plot.

    >>> toggled((("low side",),), 1, "vent"), toggled((("low side",), ("vent",)), 0, "low side")
    ((('low side',), ('vent',)), (('vent',),))
    """
    plots_now = [list(keys) for keys in layout]
    if plot == len(plots_now):
        plots_now.append([])
    if key in plots_now[plot]:
        plots_now[plot].remove(key)
    else:
        plots_now[plot].append(key)
    return tuple(tuple(keys) for keys in plots_now if keys)


def _plot(chosen: Sequence[Trace], system: System, barometer_pa: float) -> Plot:
    placed = _side_by_side([Placed(one, measure_of(one, system, barometer_pa)) for one in chosen])
    labels = list(dict.fromkeys(one.label for one in placed))
    share = _FLAT if len(placed) == 1 and chosen[0].what is Kind.ROTATION else _SHARE
    if len(placed) == 1 or all(one.what is Kind.TEMPERATURE_DIFFERENCE for one in chosen):
        share = min(share, _SHARE_ALONE)
    return Plot(_title(chosen), ", ".join(filter(None, labels)), placed, share)


def _title(chosen: Sequence[Trace]) -> str:
    kinds = {one.what for one in chosen}
    kind = next(iter(kinds)) if len(kinds) == 1 and len(chosen) > 1 else None
    for known, title in _TITLES.items():
        if kind is known and (len(chosen) > _FLAT or kind is not Kind.TEMPERATURE_DIFFERENCE):
            return title
    joined = ", ".join(one.title for one in chosen[:_NAMED])
    return joined[:1].upper() + joined[1:]


def _side_by_side(placed: Sequence[Placed]) -> tuple[Placed, ...]:
    """Curves of several units on one axis, those of later units in tens or hundreds: all can be seen."""
    if len({one.measure.label for one in placed}) <= 1:
        return tuple(placed)
    sizes = [_size(one) for one in placed]
    first = next((size for size in sizes if size > 0.0), 1.0)
    base = placed[0].measure.label
    return tuple(
        Placed(one.trace, one.measure, 0 if one.measure.label == base else _power(size, first))
        for one, size in zip(placed, sizes, strict=True)
    )


def _power(size: float, first: float) -> int:
    return round(math.log10(size / first)) if size > 0.0 else 0


def _size(placed: Placed) -> float:
    """How far a curve reaches from zero, from some thousand of its samples."""
    values = placed.trace.values
    some = values[:: max(1, values.size // _LOOKED_AT)]
    shown = placed.measure.array(some[some == some])
    return float(abs(shown).max()) if shown.size else 0.0


def shown_keys(layout: Layout) -> Iterable[str]:
    """Every channel that stands on a plot, once each."""
    return dict.fromkeys(key for keys in layout for key in keys)
