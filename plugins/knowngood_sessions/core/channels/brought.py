"""Channels worked out by rules that anybody may bring, in the order in which they need one another."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from knowngood_refdata.quantities import UnknownUnit
from knowngood_refdata.records import Quantity, Role
from knowngood_refdata.role_kinds import KIND_OF_ROLE

from .derive import channel_si

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

    import numpy as np
    from numpy.typing import NDArray

    from knowngood_refdata.quantities import Kind
    from knowngood_refdata.records import Channel, Recording

    from .derive import Derived

CONDENSING = "condensing temperature"
EVAPORATING_BELOW_VENT = "evaporating below vent"
PRESSURE_RATIO = "pressure ratio"

HELD_AS = {
    Role.LOW_SIDE.value: "low_pa",
    Role.HIGH_SIDE.value: "high_pa",
    Role.SUCTION_LINE.value: "suction_line_k",
    Role.LIQUID_LINE.value: "liquid_line_k",
    Role.VENT.value: "vent_k",
    Role.AMBIENT.value: "ambient_k",
    Role.ENGINE_SPEED.value: "engine_rpm",
    Quantity.EVAPORATING.value: "evaporating_k",
    CONDENSING: "condensing_k",
    Quantity.SUPERHEAT.value: "superheat_k",
    Quantity.SUBCOOLING.value: "subcooling_k",
    Quantity.CONDENSING_ABOVE_AMBIENT.value: "condensing_above_ambient_k",
    EVAPORATING_BELOW_VENT: "evaporating_below_vent_k",
    PRESSURE_RATIO: "pressure_ratio",
}
"""Under which name of a `Derived` a channel is held that rules know by another one."""


class Rule(Protocol):
    """How a channel is worked out; everything in SI, each array (n,)."""

    @property
    def name(self) -> str:
        """How other rules name the channel."""

    @property
    def title(self) -> str:
        """How a person reads it."""

    @property
    def kind(self) -> Kind | None:
        """What kind of quantity it is, None for a plain number."""

    @property
    def needs(self) -> tuple[str, ...]:
        """The names of the channels that it is worked out of."""

    @property
    def compute(self) -> Callable[[Mapping[str, NDArray[np.float64]]], NDArray[np.float64]]:
        """Works it out; whatever it raises costs this channel alone."""


@dataclass(frozen=True, slots=True, eq=False)
class Brought:
    """A channel that was worked out, (n,) in SI; a pressure is absolute."""

    name: str
    title: str
    kind: Kind | None
    values: NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class WorkedOut:
    """The channels that could be worked out, and what failed, a sentence each."""

    channels: tuple[Brought, ...] = ()
    problems: tuple[str, ...] = ()


def known_channels(
    recording: Recording, derived: Derived, barometer_pa: float
) -> dict[str, NDArray[np.float64]]:
    """What rules can build on, (n,) by name: recorded channels by role in SI, and what is derived already.

    A channel whose role has no kind, such as a fan command, is given as recorded.
    """
    held = {name: getattr(derived, attribute) for name, attribute in HELD_AS.items()}
    found = {name: values for name, values in held.items() if values is not None}
    return {**found, **dict(_further(recording, barometer_pa))}


def _further(recording: Recording, barometer_pa: float) -> Iterator[tuple[str, NDArray[np.float64]]]:
    for role in Role:
        if role.value in HELD_AS:
            continue
        if role in KIND_OF_ROLE:
            try:
                values = channel_si(recording, role, barometer_pa)
            except UnknownUnit:
                continue
            if values is not None:
                yield role.value, values
        elif role is not Role.OTHER:
            yield from ((role.value, one.values) for one in _first(recording, role))


def _first(recording: Recording, role: Role) -> Iterable[Channel]:
    return [one for one in recording.channels if one.role is role][:1]


def work_out(rules: Sequence[Rule], known: Mapping[str, NDArray[np.float64]]) -> WorkedOut:
    """Every channel for which there is what it needs, in the order of the rules.

    A channel that is known already is taken and not worked out again. One that needs what the session does
    not hold is left out without a word; one whose rule raises is left out and told.
    """
    values = dict(known)
    problems: list[str] = []
    waiting = [rule for rule in rules if rule.name not in values]
    while ready := [rule for rule in waiting if all(name in values for name in rule.needs)]:
        waiting = [rule for rule in waiting if rule not in ready]
        for rule in ready:
            try:
                values[rule.name] = rule.compute(values)
            except Exception as error:  # noqa: BLE001 - a rule is another's code: it costs its channel alone
                problems.append(f"'{rule.title}' is missing. {error}")
    channels = [
        Brought(rule.name, rule.title, rule.kind, values[rule.name]) for rule in rules if rule.name in values
    ]
    return WorkedOut(tuple(channels), tuple(problems))
