"""Conditions and instruments in words, and what their absence, or a missing channel, leaves untested."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.formatting import clock, text
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Role

if TYPE_CHECKING:
    from collections.abc import Sequence
    from collections.abc import Set as AbstractSet

    from knowngood.scales import System
    from knowngood_refdata.records import Conditions, Instruments, PressureInstrument, Thermometer

NOT_RECORDED = "not recorded"

_NEEDED: tuple[tuple[str, tuple[Role, ...]], ...] = (
    ("low side", (Role.LOW_SIDE,)),
    ("high side", (Role.HIGH_SIDE,)),
    ("superheat", (Role.LOW_SIDE, Role.SUCTION_LINE)),
    ("subcooling", (Role.HIGH_SIDE, Role.LIQUID_LINE)),
    ("vent temperature", (Role.VENT,)),
    ("response to engine speed", (Role.LOW_SIDE, Role.HIGH_SIDE, Role.ENGINE_SPEED)),
)
"""What a recording can show, and the channels that each needs."""

_ALWAYS_UNTESTED = (
    "The charge weight, the kind and purity of the refrigerant, and leaks: a recording does not show them."
)


def condition_rows(conditions: Conditions, system: System) -> tuple[tuple[str, str], ...]:
    """Every condition with its value in words; what was not recorded says so."""

    def shown(value_si: float | None, what: Kind | Role) -> str:
        return NOT_RECORDED if value_si is None else text(value_si, what, system)

    air, stage = conditions.air_source, conditions.fan_stage
    return (
        ("ambient", shown(conditions.ambient_k, Kind.TEMPERATURE)),
        ("cabin intake", shown(conditions.intake_k, Kind.TEMPERATURE)),
        ("relative humidity", shown(conditions.relative_humidity, Kind.FRACTION)),
        _air_pressure(conditions, system),
        ("blower", shown(conditions.blower, Kind.FRACTION)),
        ("air source", NOT_RECORDED if air is None else str(air)),
        ("fan stage at start", NOT_RECORDED if stage is None else str(stage)),
        ("doors, hood", f"{conditions.doors or NOT_RECORDED}, {conditions.hood or NOT_RECORDED}"),
        ("in the sun", {None: NOT_RECORDED, True: "yes", False: "no"}[conditions.sun]),
        ("run before", NOT_RECORDED if conditions.run_time_s is None else clock(conditions.run_time_s)),
    )


def instrument_rows(instruments: Instruments, system: System) -> tuple[tuple[str, str], ...]:
    """Every instrument with the limits that its uncertainty comes from."""
    return (
        ("low side", _gauge(instruments.low, system)),
        ("high side", _gauge(instruments.high, system)),
        ("line probes", _probe(instruments.line, system)),
        ("air probes", _probe(instruments.air, system)),
    )


def not_tested(roles: AbstractSet[Role], conditions: Conditions) -> tuple[str, ...]:
    """What this session cannot tell, each with the reason, for the reader of the report.

    >>> from knowngood_refdata.records import Conditions
    >>> not_tested({Role.LOW_SIDE, Role.HIGH_SIDE, Role.SUCTION_LINE}, Conditions())[0]
    'Subcooling: no liquid line was recorded.'
    """
    missing_channels = [
        f"{_sentence_case(what)}: no {_listed([role for role in needed if role not in roles], 'or')} "
        "was recorded."
        for what, needed in _NEEDED
        if not roles >= set(needed)
    ]
    missing = [
        name
        for name, value in (
            ("ambient", conditions.ambient_k),
            ("humidity", conditions.relative_humidity),
            ("fan stage", conditions.fan_stage),
            ("air source", conditions.air_source),
            ("blower", conditions.blower),
        )
        if value is None
    ]
    unknown = [f"Not recorded, and so not matched: {_listed(missing, 'and')}."] if missing else []
    return (*missing_channels, *unknown, _ALWAYS_UNTESTED)


def _air_pressure(conditions: Conditions, system: System) -> tuple[str, str]:
    if conditions.barometer_pa is not None:
        return "barometer", text(conditions.barometer_pa, Role.BAROMETER, system)
    if conditions.altitude_m is not None:
        return "altitude", text(conditions.altitude_m, Kind.LENGTH, system)
    return "barometer", f"{NOT_RECORDED}, sea level taken"


def _gauge(one: PressureInstrument, system: System) -> str:
    span = text(one.full_scale_pa, Kind.PRESSURE, system, difference=True, decimals=0)
    limits = f"± {one.class_percent:g} % of {span}"
    return f"{one.name} ({limits})" if one.name else limits


def _probe(one: Thermometer, system: System) -> str:
    limits = f"± {text(one.limit_k, Kind.TEMPERATURE_DIFFERENCE, system)}"
    return f"{one.name} ({limits})" if one.name else limits


def _listed(names: Sequence[str], word: str) -> str:
    return f"{', '.join(names[:-1])} {word} {names[-1]}" if len(names) > 1 else "".join(names)


def _sentence_case(words: str) -> str:
    return words[:1].upper() + words[1:]
