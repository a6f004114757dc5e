"""Read a typed value with any unit of its kind: ``30 psi``, ``2,1 bar``, ``75F``, ``1 lb 4 oz``."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from knowngood.scales import Subject, System, counts_from_zero, kind_of, scale_of
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind, MeasuringUnit, UnknownUnit, unit

_AMOUNT = re.compile(r"(?P<number>[+-]?(?:\d[\d.,]*|[.,]\d+)(?:e[+-]?\d+)?)\s*(?P<unit>.*)", re.IGNORECASE)
_POUNDS_AND_OUNCES = re.compile(r"(\S+)\s*(?:lbs?|pounds?)\s+(\S+)\s*(?:oz|ounces?)", re.IGNORECASE)
_DIGIT_GAP = re.compile(
    r"(?<=\d)[ \N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}\N{THIN SPACE}'](?=\d{3}(?!\d))"
)
_TOLERANCE_SIGN = re.compile(r"±|\+/-|\+-")
_GAUGE_WORDS = ("gauge", "gage", "(g)", "g")
_ABSOLUTE_WORDS = ("absolute", "abs.", "abs", "(a)", "a")
_VACUUM_WORDS = ("vacuum", "vac.", "vac")
_NEVER_NEGATIVE = (
    Kind.MASS,
    Kind.VOLUME,
    Kind.ROTATION,
    Kind.FRACTION,
    Kind.DENSITY,
    Kind.SPECIFIC_VOLUME,
    Kind.MASS_FLOW,
    Kind.VOLUME_FLOW,
    Kind.HUMIDITY_RATIO,
)


class ParseError(ValueError):
    """A typed text is no value of the wanted kind; the message says why, in words for the reader."""


@dataclass(frozen=True, slots=True)
class _Reference:
    """What a pressure unit counts from: ``None`` when the text does not say."""

    unit: MeasuringUnit
    absolute: bool | None = None
    vacuum: bool = False


def parse(
    text: str,
    what: Subject,
    system: System,
    *,
    barometer_pa: float = STANDARD_ATMOSPHERE_PA,
    absolute: bool = False,
    difference: bool = False,
) -> float:
    """The value in SI of a typed text; without a unit the display unit of the system is meant.

    Parameters
    ----------
    text
        A number with an optional unit; decimal point or comma. A pressure may say ``g``, ``abs`` or
        ``vac`` behind its unit (``psig``, ``bar abs``, ``inHg vac``).
    barometer_pa
        The local air pressure that a gauge pressure counts from [Pa].
    absolute
        Take a pressure that does not say as absolute; else as gauge.
    difference
        The text is a change: no offset and no gauge zero apply.

    Raises
    ------
    ParseError
        When the text is no such value, is ambiguous, or names something physically impossible.

    >>> round(parse("30 psi", Kind.PRESSURE, System.SI))
    308168
    >>> round(parse("75F", Kind.TEMPERATURE, System.SI), 2)
    297.04
    """
    kind = kind_of(what)
    pounds = _POUNDS_AND_OUNCES.fullmatch(text.strip()) if kind is Kind.MASS else None
    if pounds:
        return parse(f"{pounds[1]} lb", what, system) + parse(f"{pounds[2]} oz", what, system)
    number, name = _amount(text)
    reference = _reference(name, what, system, difference=difference)
    from_zero = absolute or counts_from_zero(what)
    si = _si(number, reference, barometer_pa, from_zero, difference)
    return _plausible(si, text.strip(), kind, difference=difference)


def parse_with_tolerance(
    text: str, what: Subject, system: System, *, barometer_pa: float = STANDARD_ATMOSPHERE_PA
) -> tuple[float, float | None]:
    """A typed value in SI and its tolerance, None when there is none; the last unit serves both.

    Raises
    ------
    ParseError
        As in `parse`.

    >>> parse_with_tolerance("1.5 ± 0.25 kg", Kind.MASS, System.US)
    (1.5, 0.25)
    """
    head, *rest = _TOLERANCE_SIGN.split(text)
    if not rest:
        return parse(text, what, system, barometer_pa=barometer_pa), None
    if len(rest) > 1:
        raise ParseError(f"'{text.strip()}' holds more than one tolerance")
    (_, head_unit), (_, tail_unit) = _amount(head), _amount(rest[0])
    main = parse(head if head_unit else f"{head} {tail_unit}", what, system, barometer_pa=barometer_pa)
    width = parse(rest[0] if tail_unit else f"{rest[0]} {head_unit}", what, system, difference=True)
    return main, abs(width)


def _amount(text: str) -> tuple[float, str]:
    """Split a text into its number and the name of the unit behind it, which may be empty."""
    clean = _DIGIT_GAP.sub("", text.replace("\N{MINUS SIGN}", "-").strip())
    if not clean:
        raise ParseError("there is no value")
    match = _AMOUNT.fullmatch(clean)
    if match is None:
        raise ParseError(f"'{text.strip()}' is no number with a unit")
    return _number(match["number"]), match["unit"].strip()


def _number(text: str) -> float:
    """Read a number with decimal point or comma; a comma that could be either is refused."""
    digits, mark, exponent = text.lower().partition("e")
    if "," in digits and "." in digits:
        group, decimal = (",", ".") if digits.rindex(".") > digits.rindex(",") else (".", ",")
        digits = digits.replace(group, "").replace(decimal, ".")
    elif re.fullmatch(r"[+-]?[1-9]\d{0,2},\d{3}", digits):
        either = digits.replace(",", ""), digits.replace(",", ".")
        raise ParseError(f"'{text}' could mean {either[0]} or {either[1]}: write it without the comma")
    elif digits.count(",") > 1:
        digits = digits.replace(",", "")
    else:
        digits = digits.replace(",", ".")
    try:
        number = float(digits + mark + exponent)
    except ValueError:
        raise ParseError(f"'{text}' is no number") from None
    if not math.isfinite(number):
        raise ParseError(f"'{text}' is too large")
    return number


def _reference(name: str, what: Subject, system: System, *, difference: bool) -> _Reference:
    kind = kind_of(what)
    if not name:
        return _Reference(scale_of(what, system, difference=difference).unit)
    if difference and kind is Kind.TEMPERATURE:
        kind = Kind.TEMPERATURE_DIFFERENCE
    try:
        return _Reference(_unit(name, kind))
    except UnknownUnit as unknown:
        reference = _pressure_reference(name) if kind is Kind.PRESSURE else None
        if reference is None:
            raise ParseError(str(unknown)) from None
        return reference


def _unit(name: str, kind: Kind) -> MeasuringUnit:
    if kind is not Kind.TEMPERATURE_DIFFERENCE:
        return unit(name, kind)
    try:
        return unit(name, kind)
    except UnknownUnit:
        # A difference of one degree Celsius is one kelvin; people write it either way.
        if unit(name, Kind.TEMPERATURE).symbol == "°C":
            return unit("K", kind)
        return unit(unit(name, Kind.TEMPERATURE).symbol, kind)


def _pressure_reference(name: str) -> _Reference | None:
    """A pressure unit with a word behind it that says what it counts from."""
    folded = name.casefold()
    for words, absolute, vacuum in (
        (_VACUUM_WORDS, False, True),
        (_ABSOLUTE_WORDS, True, False),
        (_GAUGE_WORDS, False, False),
    ):
        for word in words:
            if not folded.endswith(word):
                continue
            try:
                return _Reference(unit(folded.removesuffix(word), Kind.PRESSURE), absolute, vacuum)
            except UnknownUnit:
                continue
    return None


def _si(number: float, reference: _Reference, barometer_pa: float, absolute: bool, difference: bool) -> float:
    if reference.vacuum:
        number = -abs(number)
    if difference:
        return number * reference.unit.factor
    si = reference.unit.to_si(number)
    if reference.unit.kind is not Kind.PRESSURE:
        return si
    from_zero = absolute if reference.absolute is None else reference.absolute
    return si if from_zero else si + barometer_pa


def _plausible(si: float, text: str, kind: Kind, *, difference: bool) -> float:
    if not math.isfinite(si):
        raise ParseError(f"'{text}' is too large")
    if difference:
        return si
    if kind is Kind.TEMPERATURE and si < 0.0:
        raise ParseError(f"'{text}' lies below absolute zero")
    if kind is Kind.PRESSURE and si < 0.0:
        raise ParseError(f"'{text}' lies below a perfect vacuum")
    if kind in _NEVER_NEGATIVE and si < 0.0:
        raise ParseError(f"'{text}' is negative, which a {kind} cannot be")
    return si
