"""The local air pressure that a gauge counts from: measured, from the altitude, or the standard one."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, standard_barometer_pa
from knowngood_refdata.standard_uncertainty import from_limit
from knowngood_refdata.uncertainty import combine

if TYPE_CHECKING:
    from knowngood_refdata.records import Conditions

LOWEST_BAROMETER_PA, HIGHEST_BAROMETER_PA = 45_000.0, 110_000.0
"""Air pressures where people drive: from above 6,000 m up to more than the sea level record."""

REDUCED_PA = 5_000.0
"""Weather moves the air pressure by less than this in all but the rarest hours (common practice, no
source); a larger gap to the altitude's means that the two do not belong together."""

READ_PA = 300.0
"""Limit of error of a barometer that is read (common practice, no source)."""

KNOWN_M = 50.0
"""How well people know the altitude of a place (common practice, no source)."""

WEATHER_PA = 2_000.0
"""How far the weather takes the air pressure from that of the altitude (common practice, no source)."""

UNKNOWN_PA = from_limit(WEATHER_PA)
"""Standard uncertainty at sea level, of the weather alone; how far above it the place lies, nobody said."""

_SEA_LEVEL = "standard atmosphere at sea level"


@dataclass(frozen=True, slots=True)
class Barometer:
    """The local air pressure [Pa], and how well it is known."""

    pressure_pa: float
    standard_uncertainty_pa: float


def measured_barometer(pressure_pa: float, limit_pa: float) -> Barometer:
    """Air pressure read from a barometer with a limit of error [Pa] (JCGM 100:2008, 4.3.7).

    >>> round(measured_barometer(98_000.0, 300.0).standard_uncertainty_pa)
    173
    """
    return Barometer(pressure_pa, from_limit(limit_pa))


def barometer_at(altitude_m: float, limit_m: float, weather_pa: float = WEATHER_PA) -> Barometer:
    """Air pressure guessed from an altitude known to ± ``limit_m``, with what the weather may add.

    The pressure is that of the standard atmosphere (`standard_barometer_pa`, with its range and error); half
    of what it changes over the range of altitude is one limit and the weather the other.

    >>> guess = barometer_at(500.0, 100.0)
    >>> round(guess.pressure_pa), round(guess.standard_uncertainty_pa)
    (95461, 1330)
    """
    reach = standard_barometer_pa(altitude_m - limit_m) - standard_barometer_pa(altitude_m + limit_m)
    return Barometer(
        standard_barometer_pa(altitude_m), combine(from_limit(abs(reach) / 2.0), from_limit(weather_pa))
    )


@dataclass(frozen=True, slots=True)
class LocalAir:
    """The pressure used [Pa], where it comes from, what is wrong with the input, how well it is known."""

    pressure_pa: float
    origin: str
    problem: str = ""
    barometer: Barometer = Barometer(STANDARD_ATMOSPHERE_PA, UNKNOWN_PA)


def local_air(
    barometer_pa: float | None, altitude_m: float | None, session: Conditions | None = None
) -> LocalAir:
    """The local air pressure: what was typed, else that of the session in hand, else the standard one.

    A barometer [Pa] goes before an altitude [m], and a value that no place on the road has is named and
    not used.

    >>> local_air(None, 1000.0).origin
    'standard atmosphere at this altitude'
    """
    if barometer_pa is None and altitude_m is None and session is not None:
        recorded = _typed(session.barometer_pa, session.altitude_m)
        if recorded.origin != _SEA_LEVEL:
            return replace(recorded, origin=f"{recorded.origin}, from the session in hand")
    return _typed(barometer_pa, altitude_m)


def _typed(barometer_pa: float | None, altitude_m: float | None) -> LocalAir:
    altitude_pa, problem = _from_altitude(altitude_m)
    if barometer_pa is not None:
        if LOWEST_BAROMETER_PA <= barometer_pa <= HIGHEST_BAROMETER_PA:
            return LocalAir(
                barometer_pa,
                "the barometer",
                problem or _reduced(barometer_pa, altitude_pa),
                measured_barometer(barometer_pa, READ_PA),
            )
        problem = "no place on the road has such an air pressure: it is not used; check the unit"
    if altitude_pa is not None and altitude_m is not None:
        known = barometer_at(altitude_m, KNOWN_M)
        return LocalAir(altitude_pa, "standard atmosphere at this altitude", problem, known)
    return LocalAir(STANDARD_ATMOSPHERE_PA, _SEA_LEVEL, problem)


def _from_altitude(altitude_m: float | None) -> tuple[float | None, str]:
    if altitude_m is None:
        return None, ""
    try:
        pressure_pa = standard_barometer_pa(altitude_m)
    except ValueError:
        pressure_pa = 0.0
    if LOWEST_BAROMETER_PA <= pressure_pa <= HIGHEST_BAROMETER_PA:
        return pressure_pa, ""
    return None, "no road lies at such an altitude: it is not used; check the unit"


def _reduced(barometer_pa: float, altitude_pa: float | None) -> str:
    if altitude_pa is None or abs(barometer_pa - altitude_pa) < REDUCED_PA:
        return ""
    return (
        "barometer and altitude do not belong together: a weather report gives the pressure reduced to "
        "sea level. Clear the barometer to go by the altitude"
    )
