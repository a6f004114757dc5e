"""A whole session against the book: every steady window, every response, and one sentence of outcome."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_checkup.core.plane import Ellipse, KnownGoodResponse, Leg, ellipse, known_good_responses
from knowngood_refdata.expected.comparison import WindowComparison, compare_window
from knowngood_refdata.expected.outcome import Outcome

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.records import Conditions, Findings, Reading, Response


@dataclass(frozen=True, slots=True)
class ResponseComparison:
    """The response of this car to engine speed and of the known-good ones, with their ellipses."""

    response: Response
    known_good: tuple[KnownGoodResponse, ...]
    inner: Ellipse | None
    outer: Ellipse | None


@dataclass(frozen=True, slots=True)
class CheckUp:
    """All comparisons of one session."""

    windows: tuple[WindowComparison, ...]
    responses: tuple[ResponseComparison, ...]

    @property
    def outcome(self) -> str:
        """One sentence that says what came of it, in words that a customer understands."""
        return _sentence(self)


def check(findings: Findings, conditions: Conditions, known_good: Sequence[Reading]) -> CheckUp:
    """Compare everything found in a session with the known-good readings of its vehicle."""
    windows = tuple(compare_window(one, conditions, known_good) for one in findings.windows)
    responses = tuple(_respond(one, findings, conditions, known_good) for one in findings.responses)
    return CheckUp(windows, responses)


def leg_of(response: Response, findings: Findings) -> Leg:
    """The ends of a response with the fan stages of the windows it was found between."""
    return Leg(
        response.from_rpm,
        response.to_rpm,
        _stage_at(response.from_rpm, findings),
        _stage_at(response.to_rpm, findings)
        if not response.same_fan_stage
        else _stage_at(response.from_rpm, findings),
    )


def _stage_at(rpm: float, findings: Findings) -> int | None:
    return next((one.fan_stage for one in findings.windows if one.engine_rpm == rpm), None)


def _respond(
    response: Response, findings: Findings, conditions: Conditions, known_good: Sequence[Reading]
) -> ResponseComparison:
    cloud = known_good_responses(leg_of(response, findings), conditions, known_good)
    return ResponseComparison(response, cloud, ellipse(cloud, 0.50), ellipse(cloud, 0.90))


def _sentence(checkup: CheckUp) -> str:
    if not checkup.windows:
        return "Nothing could be compared: the session holds no steady window."
    outcomes = [strip.outcome for window in checkup.windows for strip in window.strips]
    inside, doubtful = outcomes.count(Outcome.INSIDE), outcomes.count(Outcome.CANNOT_TELL)
    outside = outcomes.count(Outcome.BELOW) + outcomes.count(Outcome.ABOVE)
    judged = inside + doubtful + outside
    if not judged:
        return "Nothing could be compared: " + _first_reason(checkup) + "."
    windows = sum(any(one.expected for one in window.strips) for window in checkup.windows)
    compared = (
        f"{windows} of {len(checkup.windows)} steady windows could be compared with known-good readings"
    )
    parts = [f"{outside} of {judged} compared values lie outside the range"] if outside else []
    if doubtful:
        parts.append(f"{doubtful} of {judged} lie outside by less than their uncertainty")
    if not parts:
        parts.append(f"all {judged} compared values lie inside the range")
    return _capital("; ".join([*parts, compared])) + "."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _first_reason(checkup: CheckUp) -> str:
    reasons = [strip.reason for window in checkup.windows for strip in window.strips if strip.reason]
    return reasons[0] if reasons else "the steady windows hold no values"
