"""From what the book expects to what explanations are judged by: each window's deviations in kelvins."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, TypeVar

from knowngood_checkup.core.explain.evidence import CarKind, Deviation, Observed, Signal, WindowDeviations
from knowngood_refdata.expected.comparison import subject_of
from knowngood_refdata.expected.forecasts import Side
from knowngood_refdata.expected.outcome import Outcome
from knowngood_refdata.records import CompressorKind, MeteringDevice, Quantity

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.expected.comparison import QuantityComparison, WindowComparison
    from knowngood_refdata.records import Conditions, Vehicle

SIGNAL_OF = {
    Quantity.EVAPORATING: Signal.LOW,
    Quantity.CONDENSING_ABOVE_AMBIENT: Signal.HIGH,
    Quantity.SUPERHEAT: Signal.SUPERHEAT,
    Quantity.SUBCOOLING: Signal.SUBCOOLING,
    Quantity.VENT: Signal.VENT,
}
Kind = TypeVar("Kind", CompressorKind, MeteringDevice)

IDLE_RPM = 750.0
HALF_OF_90_PERCENT = 1.6449
"""Half the width of a normal distribution's 90 % interval in its standard deviations."""

REGULATES_AT, FULL_STROKE_AT = -0.05, -0.22
"""Fall of ln(low side) a doubling of engine speed: a compressor that holds it, and one at full stroke (common
practice, no source: at full stroke the low side of a healthy car drops by a fifth or more a doubling)."""
UNKNOWN_LOAD = 0.5


def observed_of(
    book: Book,
    vehicle: Vehicle,
    unit_id: int | None,
    conditions: Conditions,
    windows: Sequence[WindowComparison],
    answers: Mapping[str, str],
) -> Observed:
    """A session's comparable windows as deviations from the book, with the answers given so far."""
    car = car_kind(vehicle)
    kept = tuple(
        WindowDeviations(
            one.window.label,
            octaves_above_idle(one.window.engine_rpm, car),
            full_stroke(book, vehicle, unit_id, conditions, one, car),
            signals,
            dict(_expected(one.strips)),
            conditions.intake_k,
        )
        for one in windows
        if (signals := dict(_signals(one.strips)))
    )
    return Observed(car, kept, dict(answers))


def car_kind(vehicle: Vehicle) -> CarKind:
    """What the record says of compressor and metering device.

    >>> from knowngood_refdata.records import Vehicle
    >>> car_kind(Vehicle(1, "Tarn", "Skerry", "1.6", 2021, None))
    CarKind(compressor=None, metering=None)
    """
    compressor, metering = vehicle.spec("compressor"), vehicle.spec("metering device")
    return CarKind(
        _member(CompressorKind, compressor.as_printed if compressor else ""),
        _member(MeteringDevice, metering.as_printed if metering else ""),
    )


def octaves_above_idle(engine_rpm: float | None, car: CarKind) -> float:
    """Doublings of engine speed from idle, never below 0; none for what the engine does not turn.

    >>> octaves_above_idle(1500.0, CarKind())
    1.0
    """
    if engine_rpm is None or engine_rpm <= 0.0 or car.compressor is CompressorKind.ELECTRIC:
        return 0.0
    return max(math.log2(engine_rpm / IDLE_RPM), 0.0)


def full_stroke(
    book: Book,
    vehicle: Vehicle,
    unit_id: int | None,
    conditions: Conditions,
    compared: WindowComparison,
    car: CarKind,
) -> float:
    """Probability that a healthy car's compressor works at full stroke here.

    Its low side tells: at full stroke it falls with the engine speed, while regulated it stays.
    """
    if car.compressor is CompressorKind.FIXED:
        return 1.0
    if car.compressor is CompressorKind.ELECTRIC:
        return UNKNOWN_LOAD
    subject = subject_of(vehicle, unit_id, conditions, compared.window)
    answer = book.forecast(subject, Side.LOW)
    if answer.centre is None:
        return UNKNOWN_LOAD
    share = (answer.centre - REGULATES_AT) / (FULL_STROKE_AT - REGULATES_AT)
    return min(max(share, 0.02), 0.98)


def _signals(strips: Sequence[QuantityComparison]) -> Iterator[tuple[Signal, Deviation]]:
    for one in strips:
        forecast = one.forecast
        told = one.quantity in SIGNAL_OF and one.outcome is not Outcome.NOT_COMPARABLE
        if told and forecast.centre is not None and forecast.outer is not None:
            width = (forecast.outer.high - forecast.outer.low) / (2.0 * HALF_OF_90_PERCENT)
            # A book of one instrument shows less scatter than the instrument may be off.
            spread = max(width, one.reading.standard_uncertainty)
            yield SIGNAL_OF[one.quantity], Deviation(one.reading.value - forecast.centre, spread)


def _expected(strips: Sequence[QuantityComparison]) -> Iterator[tuple[Signal, float]]:
    for one in strips:
        if one.quantity in SIGNAL_OF and one.forecast.centre is not None:
            yield SIGNAL_OF[one.quantity], one.forecast.centre


def _member(kinds: type[Kind], printed: str) -> Kind | None:
    wanted = printed.strip().casefold()
    return next((one for one in kinds if one.value.casefold() == wanted), None)
