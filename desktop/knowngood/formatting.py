"""Write values for people, and read what people type: the part of the units that needs no Qt.

Pressures are shown as a gauge vented to the local air would read them, unless ``absolute`` is asked
for; values with an uncertainty carry the digits that the uncertainty allows.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from knowngood.parsing import ParseError, parse, parse_with_tolerance
from knowngood.scales import Scale, Shown, Subject, System, counts_from_zero, kind_of, scale_of
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind

if TYPE_CHECKING:
    from knowngood_refdata.records import Estimate

__all__ = [
    "COVERAGE_95",
    "MISSING",
    "ParseError",
    "Shown",
    "Subject",
    "System",
    "clock",
    "estimate_text",
    "kind_of",
    "label",
    "parse",
    "parse_with_tolerance",
    "scale_of",
    "text",
    "value",
]

COVERAGE_95 = 1.96
"""Coverage factor of a 95 % uncertainty when many small contributions make it up (JCGM 100:2008, 6.3)."""

MISSING = "\N{EN DASH}"
"""Stands where there is no value."""

_MINUS = "\N{MINUS SIGN}"
_MOST_EXTRA_DECIMALS = 2
_TWO_DIGITS_BELOW, _ROUNDS_UP = 3.545, 9.495


def value(
    value_si: float,
    what: Subject,
    system: System,
    *,
    barometer_pa: float = STANDARD_ATMOSPHERE_PA,
    absolute: bool = False,
    difference: bool = False,
) -> float:
    """A value in SI as the number that the display unit shows.

    Parameters
    ----------
    value_si
        The value in the SI unit of its kind; a pressure is absolute [Pa].
    barometer_pa
        The local air pressure that the gauge is vented to [Pa].
    absolute
        Show a pressure as absolute; the barometer itself always is.
    difference
        The value is a change or an uncertainty: no offset and no gauge zero apply.

    >>> round(value(308_000.0, Kind.PRESSURE, System.US), 1)
    30.0
    """
    scale = scale_of(what, system, difference=difference)
    if difference:
        return value_si / scale.unit.factor
    if _as_gauge(what, absolute=absolute):
        value_si -= barometer_pa
    return scale.unit.from_si(value_si)


def label(what: Subject, system: System, *, absolute: bool = False, difference: bool = False) -> str:
    """The unit as it stands behind a value: ``psig``, ``bar g``, ``°F``.

    >>> [label(Kind.PRESSURE, system) for system in System]
    ['psig', 'bar g']
    """
    scale = scale_of(what, system, difference=difference)
    symbol = "" if what is Shown.RATIO else scale.unit.symbol
    if kind_of(what) is not Kind.PRESSURE or difference or counts_from_zero(what):
        return symbol
    if system is System.US:
        return symbol + ("a" if absolute else "g")
    return symbol + (" abs" if absolute else " g")


def text(
    value_si: float | None,
    what: Subject,
    system: System,
    *,
    uncertainty_si: float | None = None,
    barometer_pa: float = STANDARD_ATMOSPHERE_PA,
    absolute: bool = False,
    difference: bool = False,
    decimals: int | None = None,
) -> str:
    """A value with its unit, and with ``± uncertainty`` when one is given.

    Parameters
    ----------
    value_si
        The value in SI, a pressure absolute; None or NaN gives a dash.
    uncertainty_si
        The expanded uncertainty (95 %) in SI, written as it is, with the digits that it deserves.
    decimals
        Digits after the decimal point, instead of the usual ones.

    >>> text(308_852.0, Kind.PRESSURE, System.US)
    '30.1 psig'
    >>> text(6.4, Kind.TEMPERATURE_DIFFERENCE, System.SI, uncertainty_si=2.93)
    '6.4 ± 2.9 K'
    """
    if value_si is None or not math.isfinite(value_si):
        return MISSING
    shown = value(value_si, what, system, barometer_pa=barometer_pa, absolute=absolute, difference=difference)
    unit = label(what, system, absolute=absolute, difference=difference)
    scale = scale_of(what, system, difference=difference)
    if uncertainty_si is None or not math.isfinite(uncertainty_si):
        return f"{_number(shown, scale.decimals if decimals is None else decimals)} {unit}".rstrip()
    width = uncertainty_si / scale.unit.factor
    places = _places(width, scale) if decimals is None else decimals
    return f"{_number(shown, places)} ± {_number(width, places)} {unit}".rstrip()


def estimate_text(
    estimate: Estimate,
    what: Subject,
    system: System,
    *,
    barometer_pa: float = STANDARD_ATMOSPHERE_PA,
    absolute: bool = False,
    difference: bool = False,
) -> str:
    """An estimate with its 95 % uncertainty, the standard uncertainty times `COVERAGE_95`."""
    return text(
        estimate.value,
        what,
        system,
        uncertainty_si=COVERAGE_95 * estimate.standard_uncertainty,
        barometer_pa=barometer_pa,
        absolute=absolute,
        difference=difference,
    )


def clock(time_s: float) -> str:
    """A moment of a session as minutes and seconds, hours only when needed.

    >>> [clock(271.0), clock(3725.4)]
    ['4:31', '1:02:05']
    """
    if not math.isfinite(time_s):
        return MISSING
    sign = _MINUS if round(time_s) < 0 else ""
    minutes, seconds = divmod(abs(round(time_s)), 60)
    hours, minutes = divmod(minutes, 60)
    head = f"{hours}:{minutes:02d}" if hours else f"{minutes}"
    return f"{sign}{head}:{seconds:02d}"


def _as_gauge(what: Subject, *, absolute: bool) -> bool:
    return kind_of(what) is Kind.PRESSURE and not absolute and not counts_from_zero(what)


def _places(width: float, scale: Scale) -> int:
    """Digits after the point that an uncertainty deserves, negative for tens and hundreds.

    By the rule of the Particle Data Group.

    Two significant digits when its first three are 100 to 354, one when they are 355 to 949, and from 950
    on it counts as the next power of ten, with two. Source: Review of Particle Physics, introduction,
    section 5.3 (from memory).
    """
    if width <= 0.0:
        return scale.decimals
    power = math.floor(math.log10(width))
    leading = width / 10.0**power
    if leading >= _ROUNDS_UP:
        power += 1
    two = leading < _TWO_DIGITS_BELOW or leading >= _ROUNDS_UP
    return min(int(two) - power, scale.decimals + _MOST_EXTRA_DECIMALS)


def _number(shown: float, decimals: int) -> str:
    # Adding 0.0 turns the negative zero of a small negative value into a plain one.
    return f"{round(shown, decimals) + 0.0:.{max(decimals, 0)}f}".replace("-", _MINUS)
