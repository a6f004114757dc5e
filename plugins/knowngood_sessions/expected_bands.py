"""What known-good readings say that each steady window of a session should show."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.expected.comparison import blocking_words, expect, subject_of
from knowngood_refdata.expected.model.forecast import Basis
from knowngood_refdata.queries import vehicles
from knowngood_refdata.queries.known_book import known_book
from knowngood_refdata.records import Quantity, Role

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.expected.comparison import Expectation
    from knowngood_refdata.expected.forecasts import Forecast
    from knowngood_refdata.records import SessionInfo, SteadyWindow, Vehicle
    from knowngood_refdata.store import Store

KEY_OF = {
    Quantity.LOW_SIDE: Role.LOW_SIDE.value,
    Quantity.HIGH_SIDE: Role.HIGH_SIDE.value,
    Quantity.SUPERHEAT: Quantity.SUPERHEAT.value,
    Quantity.SUBCOOLING: Quantity.SUBCOOLING.value,
    Quantity.CONDENSING_ABOVE_AMBIENT: Quantity.CONDENSING_ABOVE_AMBIENT.value,
    Quantity.EVAPORATING: Quantity.EVAPORATING.value,
    Quantity.VENT: Role.VENT.value,
}
"""The channel that each quantity is compared on."""


@dataclass(frozen=True, slots=True)
class ExpectedBand:
    """The range of a channel over a steady window, in SI; ``whose`` says in short what it stands on."""

    key: str
    start_s: float
    end_s: float
    outer: tuple[float, float]
    inner: tuple[float, float]
    whose: str


@dataclass(frozen=True, slots=True)
class Expected:
    """The bands of a session.

    ``reason`` says in one line why there is none, or where there is none; ``basis`` what they stand on.
    """

    bands: tuple[ExpectedBand, ...] = ()
    reason: str = ""
    basis: str = ""


def expected_of(
    store: Store,
    info: SessionInfo,
    windows: Sequence[SteadyWindow],
    proceed: Callable[[float], None] = lambda _: None,
) -> Expected:
    """The ranges for each steady window under a session's conditions. Not for the GUI thread.

    Raises
    ------
    knowngood_refdata.store.StoreError
        When the library cannot be read.
    """
    if info.vehicle_id is None:
        return Expected(reason="the session belongs to no vehicle")
    if not windows:
        return Expected(reason="there is no steady window to compare")
    book = known_book(store)
    proceed(0.5)
    return bands(book, vehicles.vehicle(store, info.vehicle_id), info, windows)


def bands(book: Book, vehicle: Vehicle, info: SessionInfo, windows: Sequence[SteadyWindow]) -> Expected:
    """The ranges for each steady window out of a book."""
    if not book.readings:
        return Expected(reason="the book holds no known-good reading")
    found: list[ExpectedBand] = []
    bases: dict[str, None] = {}
    reasons: dict[str, list[str]] = {}
    for window in _apart(windows):
        expected = expect(book, subject_of(vehicle, info.unit_id, info.conditions, window), KEY_OF)
        blocked = blocking_words(expected.sheet)
        here = [] if blocked else list(_bands(window, expected))
        found += here
        bases |= dict.fromkeys(_basis(one.forecast) for one in expected.quantities if here)
        if not here:
            reasons.setdefault(blocked or _reason(expected), []).append(window.label)
    whole = not found and len(reasons) == 1
    told = (why if whole else f"{', '.join(labels)}: {why}" for why, labels in reasons.items())
    return Expected(tuple(found), "; ".join(told), "; ".join(one for one in bases if one))


def _apart(windows: Sequence[SteadyWindow]) -> list[SteadyWindow]:
    """The windows without those set by hand over one of the program's: there a band stands already."""
    own = [one for one in windows if not one.by_hand]
    return [
        one
        for one in windows
        if not (one.by_hand and any(one.start_s < its.end_s and its.start_s < one.end_s for its in own))
    ]


def _bands(window: SteadyWindow, expected: Expectation) -> Iterator[ExpectedBand]:
    for one in expected.quantities:
        inner, outer = one.forecast.inner, one.forecast.outer
        if inner is not None and outer is not None:
            yield ExpectedBand(
                KEY_OF[one.quantity],
                window.start_s,
                window.end_s,
                (outer.low, outer.high),
                (inner.low, inner.high),
                _whose(one.forecast),
            )


def _whose(forecast: Forecast) -> str:
    return str(forecast.basis) if forecast.basis is Basis.UNIT else _counted(forecast.cars, "car")


def _basis(forecast: Forecast) -> str:
    """What a range stands on: ``this car, 11 readings``, ``its family, 19 readings of 5 cars``."""
    if forecast.outer is None or forecast.basis is None:
        return ""
    of = "" if forecast.basis is Basis.UNIT else f" of {_counted(forecast.cars, 'car')}"
    return f"{forecast.basis}, {_counted(forecast.readings, 'reading')}{of}"


def _counted(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def _reason(expected: Expectation) -> str:
    told = (one.forecast.reason for one in expected.quantities)
    return next((one for one in told if one), "no range could be told")
