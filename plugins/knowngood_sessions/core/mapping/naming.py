"""What a column's name says about its use, in the words that loggers and technicians write."""

from __future__ import annotations

from dataclasses import dataclass

from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Role
from knowngood_refdata.role_kinds import KIND_OF_ROLE
from knowngood_sessions.core.reading.name_words import words_of

from .assignment import Special, Use

SURE, LIKELY = 0.95, 0.75

_PRESSURE_WORDS = frozenset({"p", "press", "pressure", "psi", "bar", "kpa", "gauge"})
_TEMPERATURE_WORDS = frozenset(
    {"t", "temp", "temps", "temperature", "thermocouple", "tc", "clamp", "pipe", "line"}
)
_LOW = frozenset({"low", "lo", "suction", "suct", "lp", "ls", "blue", "evaporator", "evap"})
_HIGH = frozenset({"high", "hi", "discharge", "disch", "head", "hp", "hs", "red", "liquid", "condenser"})
_WORDS: tuple[tuple[Use, frozenset[str]], ...] = (
    (Special.TIME, frozenset({"time", "timestamp", "elapsed", "seconds", "datetime", "clock", "uptime"})),
    (Role.ENGINE_SPEED, frozenset({"rpm", "revs"})),
    (Role.HUMIDITY, frozenset({"humidity", "rh"})),
    (Role.BAROMETER, frozenset({"barometer", "baro", "barometric", "atmospheric"})),
    (Role.COOLANT, frozenset({"coolant", "ect", "water"})),
    (Role.AMBIENT, frozenset({"ambient", "amb", "outside", "outdoor", "oat"})),
    (Role.FAN_COMMAND, frozenset({"fan"})),
    (Role.COMPRESSOR_COMMAND, frozenset({"compressor", "clutch", "duty", "solenoid"})),
    (Role.VENT, frozenset({"vent", "duct", "register", "outlet", "louver", "louvre"})),
    (Role.INTAKE, frozenset({"intake", "cabin", "return", "inlet", "recirc", "interior"})),
    (Role.SUCTION_LINE, frozenset({"suction", "suct"})),
    (Role.LIQUID_LINE, frozenset({"liquid", "liq"})),
    (Role.DISCHARGE_LINE, frozenset({"discharge", "disch"})),
)


_OTHER_TURNING = frozenset({"fan", "blower", "compressor", "pump", "turbine", "wheel", "vehicle"})
_PARTS = frozenset({"compressor", "condenser", "cond", "evaporator", "evap", "radiator", "engine", "charge"})
"""An inlet or outlet of one of these is no place in the cabin."""


@dataclass(frozen=True, slots=True)
class Named:
    """The use that a name speaks for, how sure that is (0 to 1), and the kind that the name hints at."""

    use: Use | None
    confidence: float
    kind: Kind | None


def named(name: str, kind: Kind | None) -> Named:
    """What a name says, given the kind of quantity that the unit tells (None: it tells nothing).

    >>> named("P_low", Kind.PRESSURE).use, named("Suction", Kind.TEMPERATURE).use, named("T1", None).use
    (<Role.LOW_SIDE: 'low side'>, <Role.SUCTION_LINE: 'suction line'>, None)
    """
    words = set(words_of(name))
    hinted = kind or _kind_in(words)
    if words & _OTHER_TURNING and (hinted is Kind.ROTATION or words & {"rpm", "speed"}):
        return Named(Role.OTHER, LIKELY, hinted)
    if hinted is Kind.PRESSURE:
        side = _side(words)
        if side is not None:
            return Named(side, SURE, hinted)
    for use, known in _WORDS:
        elsewhere = use in (Role.VENT, Role.INTAKE) and words & _PARTS
        if words & known and not elsewhere and _fits(use, hinted):
            return Named(use, SURE if hinted or use in _CLEAR else LIKELY, hinted)
    if {"engine", "speed"} <= words and _fits(Role.ENGINE_SPEED, hinted):
        return Named(Role.ENGINE_SPEED, SURE, hinted)
    if hinted is None:
        side = _side(words)
        if side is not None and "side" in words:
            return Named(side, LIKELY, None)
    if hinted is Kind.TEMPERATURE and words & {"low", "lo"}:
        return Named(Role.SUCTION_LINE, 0.5, hinted)
    return Named(None, 0.0, hinted)


_CLEAR = frozenset(
    {Special.TIME, Role.ENGINE_SPEED, Role.HUMIDITY, Role.FAN_COMMAND, Role.COMPRESSOR_COMMAND}
)


def _side(words: set[str]) -> Role | None:
    if words & {"barometer", "baro", "barometric", "atmospheric", "ambient"}:
        return Role.BAROMETER
    low, high = bool(words & _LOW), bool(words & _HIGH)
    if low == high:
        return None
    return Role.LOW_SIDE if low else Role.HIGH_SIDE


def _kind_in(words: set[str]) -> Kind | None:
    if words & _PRESSURE_WORDS:
        return Kind.PRESSURE
    if words & _TEMPERATURE_WORDS:
        return Kind.TEMPERATURE
    return None


def _fits(use: Use, kind: Kind | None) -> bool:
    if kind is None:
        return True
    if isinstance(use, Special):
        return kind is Kind.TIME
    wanted = KIND_OF_ROLE.get(use)
    if wanted is None:
        return kind is Kind.FRACTION
    return wanted is kind
