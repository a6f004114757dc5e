"""What about a steady point cannot be, or hardly, and what would explain it: a slip of unit, hose or zero.

Nothing is corrected and nothing refused: a sick system has odd values, too. Limits marked so are common
practice, without a source; the rest follows from the saturation curve and the direction in which heat flows.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Role
from knowngood_refdata.uncertainty import (
    combine,
    pressure_limit_pa,
    thermometer_standard_uncertainty_k,
)
from knowngood_sessions.core.finding.by_hand_findings import saturated_at

from .odd_units import Oddity, Surroundings, Writer, odd_units, reread

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from knowngood_refdata.records import Estimate, Thermometer

LEVEL_PA = 0.3e5
"""Sides closer than this are level: at rest, or nothing is pumped (common practice, no source)."""

RUNNING_RPM = 300.0
MOST_K = 45.0
"""A superheat or subcooling beyond it is likelier a clamp or a unit than the system (common practice, no
source)."""

SUSPECT_K, USUAL_K = 25.0, 20.0
"""Beyond the first, and within the second when the line is read in the other unit, the unit is in doubt
(common practice, no source)."""

AT_REST_K = 4.0
"""How far a saturation temperature at rest may be from the air's before it is told: an engine bay is warm
after a drive (common practice, no source)."""

_COVERAGE = 2.0


def odd_values(point: Mapping[Role, float], around: Surroundings, write: Writer) -> tuple[Oddity, ...]:
    """Everything odd about a steady point, SI by role, pressures absolute.

    Parameters
    ----------
    write
        Writes the values that the words name.
    """
    found: list[Oddity] = []
    for check in (odd_units, _sides, _suction, _liquid, _discharge, _ambient, _vent, _rest):
        found += check(point, around, write)
    return tuple(found)


def running(point: Mapping[Role, float]) -> bool:
    """Whether the compressor pumps, as far as the two sides tell; else whether the engine turns."""
    low, high = point.get(Role.LOW_SIDE), point.get(Role.HIGH_SIDE)
    if low is not None and high is not None:
        return high - low > LEVEL_PA
    return point.get(Role.ENGINE_SPEED, RUNNING_RPM) >= RUNNING_RPM


def _sides(point: Mapping[Role, float], around: Surroundings, write: Writer) -> Iterator[Oddity]:
    low, high = point.get(Role.LOW_SIDE), point.get(Role.HIGH_SIDE)
    if low is None or high is None:
        return
    both = (Role.LOW_SIDE, Role.HIGH_SIDE)
    reach = combine(pressure_limit_pa(around.instruments.low), pressure_limit_pa(around.instruments.high))
    if low - high > reach:
        told = f"({write(low, both[0])}) lies above the high side ({write(high, both[1])})"
        yield Oddity(both, f"The low side {told}: were the two swapped?")
    elif not running(point) and point.get(Role.ENGINE_SPEED, 0.0) >= RUNNING_RPM:
        yield Oddity(
            both,
            "Both sides are level although the engine runs: either the compressor does not pump, or one "
            "value stands twice.",
        )


def _suction(point: Mapping[Role, float], around: Surroundings, write: Writer) -> Iterator[Oddity]:
    low, line = point.get(Role.LOW_SIDE), point.get(Role.SUCTION_LINE)
    if low is None or line is None or not running(point):
        return
    saturated = saturated_at(around.curve, low, around.instruments.low)
    evaporating = saturated.value
    apart = line - evaporating
    reach = _reach(saturated, around.instruments.line)
    roles = (Role.SUCTION_LINE, Role.LOW_SIDE)
    if apart < -reach:
        told = f"lies {write(-apart, Kind.TEMPERATURE_DIFFERENCE)} below the evaporating temperature"
        yield Oddity(
            roles,
            f"The suction line {told} ({write(evaporating, Kind.TEMPERATURE)}), which it cannot: look at its "
            "unit, the refrigerant, and gauge or absolute.",
        )
    elif words := _far(apart, reread(line, roles[0], around) - evaporating, "superheat", write):
        yield Oddity(roles, words)


def _liquid(point: Mapping[Role, float], around: Surroundings, write: Writer) -> Iterator[Oddity]:
    high, line = point.get(Role.HIGH_SIDE), point.get(Role.LIQUID_LINE)
    if high is None or line is None or not running(point):
        return
    condensing = saturated_at(around.curve, high, around.instruments.high)
    apart = condensing.value - line
    reach = _reach(condensing, around.instruments.line)
    roles = (Role.LIQUID_LINE, Role.HIGH_SIDE)
    if apart < -reach:
        told = f"lies {write(-apart, Kind.TEMPERATURE_DIFFERENCE)} above the condensing temperature"
        yield Oddity(
            roles,
            f"The liquid line {told} ({write(condensing.value, Kind.TEMPERATURE)}): vapour may stand there; "
            "else look at its unit, the place of the clamp, and gauge or absolute.",
        )
    elif words := _far(apart, condensing.value - reread(line, roles[0], around), "subcooling", write):
        yield Oddity(roles, words)


def _reach(saturated: Estimate, probe: Thermometer) -> float:
    """How far apart [K] a saturation temperature and a probe may read and still be one temperature."""
    return _COVERAGE * combine(saturated.standard_uncertainty, thermometer_standard_uncertainty_k(probe))


def _far(apart_k: float, reread_k: float, quantity: str, write: Writer) -> str:
    """Words about a difference that is too large, or that only the other unit makes usual; else nothing."""
    if apart_k > SUSPECT_K and 0.0 <= reread_k <= USUAL_K:
        return (
            f"That makes a {quantity} of {write(apart_k, Kind.TEMPERATURE_DIFFERENCE)}; in the other unit it "
            f"would be {write(reread_k, Kind.TEMPERATURE_DIFFERENCE)}: look at the unit of the line."
        )
    if apart_k > MOST_K:
        return (
            f"That makes a {quantity} of {write(apart_k, Kind.TEMPERATURE_DIFFERENCE)}, which is hardly ever "
            "seen: look at the units and at the clamp."
        )
    return ""


def _discharge(point: Mapping[Role, float], around: Surroundings, write: Writer) -> Iterator[Oddity]:
    high, line = point.get(Role.HIGH_SIDE), point.get(Role.DISCHARGE_LINE)
    if high is None or line is None or not running(point):
        return
    condensing = saturated_at(around.curve, high, around.instruments.high)
    if condensing.value - line > _reach(condensing, around.instruments.line):
        yield Oddity(
            (Role.DISCHARGE_LINE, Role.HIGH_SIDE),
            f"The discharge line is colder than the condensing temperature "
            f"({write(condensing.value, Kind.TEMPERATURE)}): look at the unit and at the place of the clamp.",
        )


def _ambient(point: Mapping[Role, float], around: Surroundings, write: Writer) -> Iterator[Oddity]:
    high, ambient = point.get(Role.HIGH_SIDE), around.ambient_k
    if high is None or ambient is None or not running(point):
        return
    condensing = saturated_at(around.curve, high, around.instruments.high)
    if ambient - condensing.value > _reach(condensing, around.instruments.air):
        yield Oddity(
            (Role.HIGH_SIDE, Role.AMBIENT),
            f"The condensing temperature ({write(condensing.value, Kind.TEMPERATURE)}) lies below the "
            f"ambient ({write(ambient, Kind.TEMPERATURE)}), where no heat could leave: look at the high "
            "side, its unit, and where the ambient was taken.",
        )


def _vent(point: Mapping[Role, float], around: Surroundings, write: Writer) -> Iterator[Oddity]:
    vent, low = point.get(Role.VENT), point.get(Role.LOW_SIDE)
    if vent is None or not running(point):
        return
    reach = _COVERAGE * thermometer_standard_uncertainty_k(around.instruments.air)
    intake = around.intake_k
    if intake is not None and vent - intake > reach:
        yield Oddity(
            (Role.VENT, Role.INTAKE),
            f"The vent ({write(vent, Kind.TEMPERATURE)}) is warmer than the air that goes in "
            f"({write(intake, Kind.TEMPERATURE)}): heat is mixed in, or a unit is wrong.",
        )
    if low is not None and (evaporating := float(around.curve.temperature_k(low))) - vent > 2.0 * reach:
        yield Oddity(
            (Role.VENT, Role.LOW_SIDE),
            f"The vent ({write(vent, Kind.TEMPERATURE)}) is colder than the evaporating temperature "
            f"({write(evaporating, Kind.TEMPERATURE)}): look at the unit, and at gauge or absolute.",
        )


def _rest(point: Mapping[Role, float], around: Surroundings, write: Writer) -> Iterator[Oddity]:
    """At rest both sides stand at the saturation pressure of the air around them."""
    high, low, ambient = point.get(Role.HIGH_SIDE), point.get(Role.LOW_SIDE), around.ambient_k
    stopped = point.get(Role.ENGINE_SPEED, 0.0) < RUNNING_RPM
    if high is None or low is None or ambient is None or running(point) or not stopped:
        return
    at_rest = 0.5 * (low + high)
    saturated = float(around.curve.temperature_k(at_rest))
    if not math.isfinite(saturated) or abs(saturated - ambient) <= AT_REST_K:
        return
    told = (
        f"At rest both sides stand at {write(at_rest, Role.LOW_SIDE)}: saturation at "
        f"{write(saturated, Kind.TEMPERATURE)}, but the ambient is {write(ambient, Kind.TEMPERATURE)}."
    )
    yield Oddity((Role.LOW_SIDE, Role.HIGH_SIDE), f"{told} {_why_at_rest(at_rest, ambient, around)}")


def _why_at_rest(at_rest_pa: float, ambient_k: float, around: Surroundings) -> str:
    """Which other reading of the gauge's zero would fit the ambient."""
    shifts = {
        "Taken as gauge it would fit: look at gauge or absolute.": around.barometer_pa,
        "Taken as absolute it would fit: look at gauge or absolute.": -around.barometer_pa,
    }
    for words, shift_pa in shifts.items():
        moved = float(around.curve.temperature_k(at_rest_pa + shift_pa))
        if abs(moved - ambient_k) <= 0.5 * AT_REST_K:
            return words
    return "The car may be warm or cold from before, or holds no liquid; else look at the refrigerant."
