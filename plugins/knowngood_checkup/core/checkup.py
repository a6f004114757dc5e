"""A whole session against the book: steady windows, responses, explanations, and one sentence of outcome."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from knowngood_checkup.core.deviations import observed_of
from knowngood_checkup.core.explain.brought import NOTHING
from knowngood_checkup.core.explain.known import KNOWN, Known
from knowngood_checkup.core.explained import Explained, explain
from knowngood_checkup.core.plane import Ellipse, KnownGoodResponse, Leg, ellipse, known_good_responses
from knowngood_checkup.core.sentence import outcome_sentence
from knowngood_refdata.expected.comparison import WindowComparison, compare_window, subject_of
from knowngood_refdata.expected.forecasts import Side

if TYPE_CHECKING:
    from collections.abc import Mapping

    from knowngood_checkup.core.explain.brought import Brought
    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.expected.forecasts import Forecast
    from knowngood_refdata.records import Conditions, Findings, Response, SteadyWindow, Vehicle


@dataclass(frozen=True, slots=True)
class Car:
    """Whose session it is: the record, the real car when it is named, and the conditions of the test."""

    vehicle: Vehicle
    unit_id: int | None
    conditions: Conditions


@dataclass(frozen=True, slots=True)
class ResponseComparison:
    """The response of this car to engine speed and of the known-good ones, with their ellipses.

    ``expected`` holds the range of the answer of each side a doubling of engine speed, see `Side`.
    """

    response: Response
    known_good: tuple[KnownGoodResponse, ...]
    inner: Ellipse | None
    outer: Ellipse | None
    expected: Mapping[Side, Forecast]


@dataclass(frozen=True, slots=True)
class CheckUp:
    """All comparisons of one session, and what they mean."""

    windows: tuple[WindowComparison, ...]
    responses: tuple[ResponseComparison, ...]
    explained: Explained | None = None

    @property
    def outcome(self) -> str:
        """One sentence that says what came of it, in words that a customer understands."""
        return outcome_sentence(self.windows, self.explained)


def check(
    book: Book,
    car: Car | None,
    findings: Findings,
    answers: Mapping[str, str],
    known: Known = KNOWN,
    brought: Brought = NOTHING,
) -> CheckUp:
    """Compare everything found in a session with the book; without a car there is nothing to compare."""
    if car is None:
        return CheckUp((), ())
    windows = tuple(
        compare_window(book, car.vehicle, car.unit_id, car.conditions, one) for one in findings.windows
    )
    responses = tuple(_respond(book, car, one, findings) for one in findings.responses)
    observed = observed_of(book, car.vehicle, car.unit_id, car.conditions, windows, answers)
    observed = replace(observed, offered=brought.measurements, brought=brought.explanations)
    return CheckUp(windows, responses, explain(observed, known))


def leg_of(response: Response, findings: Findings) -> Leg:
    """The ends of a response with the fan stages of the windows it was found between."""
    start = _stage_at(response.from_rpm, findings)
    end = start if response.same_fan_stage else _stage_at(response.to_rpm, findings)
    return Leg(response.from_rpm, response.to_rpm, start, end)


def _stage_at(rpm: float, findings: Findings) -> int | None:
    return next((one.fan_stage for one in findings.windows if one.engine_rpm == rpm), None)


def _respond(book: Book, car: Car, response: Response, findings: Findings) -> ResponseComparison:
    own = [one for one in book.readings if one.vehicle_id == car.vehicle.id]
    cloud = known_good_responses(leg_of(response, findings), car.conditions, own)
    start = _window_at(response, findings)
    expected: dict[Side, Forecast] = {}
    if start is not None:
        subject = subject_of(car.vehicle, car.unit_id, car.conditions, start)
        expected = {side: book.response(subject, side, response.to_rpm) for side in Side}
    return ResponseComparison(response, cloud, ellipse(cloud, 0.50), ellipse(cloud, 0.90), expected)


def _window_at(response: Response, findings: Findings) -> SteadyWindow | None:
    return next((one for one in findings.windows if one.engine_rpm == response.from_rpm), None)
