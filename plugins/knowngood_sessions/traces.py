"""Which channels a session can show, in what colour, and in the units shown."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood import formatting
from knowngood_refdata.quantities import Kind, UnknownUnit, unit
from knowngood_refdata.records import Quantity, Role
from knowngood_refdata.role_kinds import KIND_OF_ROLE
from knowngood_sessions.core.channels.brought import CONDENSING

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    import numpy as np
    from numpy.typing import NDArray

    from knowngood.formatting import Subject, System
    from knowngood_refdata.records import Channel, Recording
    from knowngood_sessions.core.channels.brought import Brought
    from knowngood_sessions.core.channels.derive import Derived

# Hose colours of SAE J2196: low side blue, high side red; what belongs to a side has its colour, paler.
LOW, HIGH, LOW_PALE, HIGH_PALE, GREEN, GREY, AMBER = (
    "#2f6fb0",
    "#b43a44",
    "#8fb4d9",
    "#dd9aa0",
    "#2a6a55",
    "#8b9094",
    "#a8741a",
)
_COLOURS = {
    Role.LOW_SIDE.value: LOW,
    Role.HIGH_SIDE.value: HIGH,
    Role.SUCTION_LINE.value: LOW,
    Role.LIQUID_LINE.value: HIGH,
    Role.DISCHARGE_LINE.value: "#7a3b1e",
    Role.VENT.value: GREEN,
    Role.AMBIENT.value: GREY,
    Role.INTAKE.value: "#6f9a8a",
    Role.ENGINE_SPEED.value: GREY,
    Quantity.EVAPORATING.value: LOW_PALE,
    CONDENSING: HIGH_PALE,
    Quantity.SUPERHEAT.value: LOW,
    Quantity.SUBCOOLING.value: HIGH,
    Quantity.CONDENSING_ABOVE_AMBIENT.value: HIGH_PALE,
}
_OTHERS = ("#7a5195", "#b5651d", "#3a7d8c", "#8a8d45", "#a0526d", "#4f6d9a", "#5b5b5b")
_PLAIN_DECIMALS = 2

_DERIVED = (
    (Quantity.EVAPORATING.value, Kind.TEMPERATURE, "evaporating_k"),
    (CONDENSING, Kind.TEMPERATURE, "condensing_k"),
    (Quantity.SUPERHEAT.value, Kind.TEMPERATURE_DIFFERENCE, "superheat_k"),
    (Quantity.SUBCOOLING.value, Kind.TEMPERATURE_DIFFERENCE, "subcooling_k"),
    (
        Quantity.CONDENSING_ABOVE_AMBIENT.value,
        Kind.TEMPERATURE_DIFFERENCE,
        "condensing_above_ambient_k",
    ),
)


@dataclass(frozen=True, slots=True, eq=False)
class Trace:
    """A channel that can be shown, recorded or worked out.

    Attributes
    ----------
    key
        Its name in layouts, the same from session to session: ``low side``.
    values
        In SI, pressures absolute, (n,); as recorded where ``what`` is None.
    what
        In which units it is written; None for a channel whose kind nobody knows, see ``symbol``.
    """

    key: str
    title: str
    values: NDArray[np.float64]
    colour: str
    what: Subject | None = None
    symbol: str = ""
    worked_out: bool = False


@dataclass(frozen=True, slots=True)
class Measure:
    """How a trace is written: what is shown is ``values * factor + offset``."""

    label: str
    decimals: int
    factor: float = 1.0
    offset: float = 0.0

    def of(self, value: float) -> float:
        """A value as it is shown."""
        return value * self.factor + self.offset

    def array(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        """Values as they are shown, (n,)."""
        if self.factor == 1.0 and self.offset == 0.0:
            return values
        shown = values * self.factor
        shown += self.offset
        return shown


def traces(
    recording: Recording,
    derived: Derived,
    known: Mapping[str, NDArray[np.float64]],
    brought: Iterable[Brought] = (),
) -> tuple[Trace, ...]:
    """Everything a session can show: recorded channels, then what follows from them.

    Parameters
    ----------
    known
        Channels in SI by role, as `knowngood_sessions.core.channels.brought.known_channels` gives them.
    brought
        Channels that plugins worked out; one that is derived here already is not taken twice.
    """
    found = [*_recorded(recording, known), *_derived(derived)]
    held = {one.key for one in found}
    found += [
        Trace(one.name, one.title, one.values, "", one.kind, worked_out=True)
        for one in brought
        if one.name not in held
    ]
    return tuple(_coloured(found))


def measure_of(trace: Trace, system: System, barometer_pa: float) -> Measure:
    """In which unit a trace is shown; pressures as a gauge vented to the local air reads them."""
    if trace.what is None:
        return Measure(trace.symbol, _PLAIN_DECIMALS)
    scale = formatting.scale_of(trace.what, system)
    zero, one = (formatting.value(at, trace.what, system, barometer_pa=barometer_pa) for at in (0.0, 1.0))
    decimals = scale.decimals
    # A curve is read more closely than a bare value is told.
    if trace.what is Kind.PRESSURE and formatting.System(system) is formatting.System.SI:
        decimals += 1
    return Measure(formatting.label(trace.what, system), decimals, one - zero, zero)


def _recorded(recording: Recording, known: Mapping[str, NDArray[np.float64]]) -> Iterator[Trace]:
    seen: set[str] = set()
    for channel in recording.channels:
        role = channel.role.value
        own = channel.role is Role.OTHER or role in seen
        seen.add(role)
        if own:
            key = f"{role}: {channel.name}"
            title = channel.name if channel.role is Role.OTHER else f"{role} ({channel.name})"
            values, what = _in_si(channel)
        else:
            key = title = role
            values = known.get(role, channel.values)
            what = _subject(channel.role) if role in known else None
        yield Trace(key, title, values, "", what, "" if what else channel.unit)


def _in_si(channel: Channel) -> tuple[NDArray[np.float64], Subject | None]:
    """A further channel of a role: as recorded, in SI where its unit fits and no air pressure is needed."""
    kind = KIND_OF_ROLE.get(channel.role)
    if kind is None or kind is Kind.PRESSURE:
        return channel.values, None
    try:
        return unit(channel.unit, kind).to_si(channel.values), kind
    except UnknownUnit:
        return channel.values, None


def _subject(role: Role) -> Subject | None:
    # The barometer has a unit of its own; every other role is written as its kind is.
    return role if role is Role.BAROMETER else KIND_OF_ROLE.get(role)


def _derived(derived: Derived) -> Iterator[Trace]:
    for name, kind, attribute in _DERIVED:
        values = getattr(derived, attribute)
        if values is not None:
            yield Trace(name, name, values, "", kind, worked_out=True)


def _coloured(found: Iterable[Trace]) -> Iterator[Trace]:
    count = 0
    for one in found:
        colour = _COLOURS.get(one.key)
        if colour is None:
            colour, count = _OTHERS[count % len(_OTHERS)], count + 1
        yield Trace(one.key, one.title, one.values, colour, one.what, one.symbol, one.worked_out)
