"""What was found in a session as lines for the screen, each with the stretch of time that it is about."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood.formatting import clock
from knowngood_refdata.records import Evidence, Role
from knowngood_sessions.finding_details import (
    evidence_text,
    moment_text,
    reason_text,
    recovery_text,
    response_details,
    response_text,
    stage_text,
    threshold_details,
    threshold_text,
    window_details,
    window_values,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from knowngood.formatting import System
    from knowngood_refdata.records import (
        Event,
        FanThreshold,
        Findings,
        Recovery,
        Response,
        SteadyWindow,
        Unsettled,
    )

__all__ = ["Counting", "Line", "lines", "response_text", "short_words"]

_AROUND_EVENT_S = 45.0
_BY_HAND = "by hand"
_SHORTEST_TOLD_S = 5.0


@dataclass(frozen=True, slots=True)
class Line:
    """A finding in words.

    Attributes
    ----------
    tell
        Gives what is told when the line is chosen: of a long session most lines never are.
    span_s
        The stretch to be shown; None for a heading or where there is nothing to show.
    exact
        Whether the finding is the stretch itself, and not a moment in the middle of it.
    window, event
        The place of the window, or event, that the line is about among the findings.
    """

    text: str
    tell: Callable[[], tuple[str, ...]] = tuple
    span_s: tuple[float, float] | None = None
    heading: bool = False
    exact: bool = False
    window: int | None = None
    event: int | None = None

    @property
    def details(self) -> tuple[str, ...]:
        """What is told when the line is chosen."""
        return self.tell()


@dataclass(frozen=True, slots=True)
class Counting:
    """What a line needs beside the finding: units, the local air, and how many samples a stretch has."""

    system: System
    barometer_pa: float
    count: Callable[[float, float], int] | None = None

    def samples(self, from_s: float, until_s: float) -> int | None:
        """How many samples lie in a stretch, None where that cannot be told."""
        return None if self.count is None else self.count(from_s, until_s)


def lines(found: Findings, counting: Counting) -> tuple[Line, ...]:
    """Everything that was found, under headings, the most telling first."""
    result = [Line("Response to engine speed", heading=True)]
    result += [_response(one, found.windows, counting) for one in found.responses]
    if not found.responses:
        result.append(Line("None: that takes a steady window at idle and one at a higher speed."))
    result.append(Line("Steady windows", heading=True))
    result += [_window(place, one, counting) for place, one in enumerate(found.windows)]
    if not found.windows:
        result.append(Line("None: the readings never settled for long enough."))
    result += _compressor(found, counting)
    result += _fan(found.fan, counting)
    result += _recoveries(found.recoveries, counting)
    result.append(Line("Events and notes", heading=True))
    result += [_event(place, one, counting) for place, one in enumerate(found.events)]
    if not found.events:
        result.append(Line("None was seen."))
    result += _unsettled(found.unsettled, counting)
    return tuple(result)


def _response(response: Response, windows: Sequence[SteadyWindow], counting: Counting) -> Line:
    span = _span_of(response, windows)
    return Line(
        response_text(response, counting.system),
        lambda: (*response_details(response), *_where(span, counting, (Role.LOW_SIDE, Role.HIGH_SIDE))),
        span,
        exact=True,
    )


def _span_of(response: Response, windows: Sequence[SteadyWindow]) -> tuple[float, float] | None:
    """From the beginning of the one window to the end of the other."""
    starts = (response.from_at_s, response.to_at_s)
    spans = [(one.start_s, one.end_s) for one in windows if one.start_s in starts]
    if len(spans) < len(starts):
        return None
    return min(start for start, _ in spans), max(end for _, end in spans)


def _window(place: int, window: SteadyWindow, counting: Counting) -> Line:
    stage = "fan stage not known" if window.fan_stage is None else f"fan stage {stage_text(window)}"
    mark = f", {_BY_HAND}" if window.by_hand else ""
    head = f"{window.label}{mark}: {clock(window.start_s)} to {clock(window.end_s)}, {stage}"
    values = window_values(window, counting.system, counting.barometer_pa)
    span = window.start_s, window.end_s
    system, barometer_pa = counting.system, counting.barometer_pa
    return Line(
        f"{head}\n{values}",
        lambda: (*window_details(window, system, barometer_pa), *_where(span, counting, ())),
        span,
        exact=True,
        window=place,
    )


def _compressor(found: Findings, counting: Counting) -> list[Line]:
    if found.stroke is None:
        return []
    said, span = found.stroke.stroke.value, _whole(found.windows)
    evidence = [reason_text(one, counting.system) for one in found.stroke.evidence]
    because = f": {evidence[0]}" if evidence else ""
    return [
        Line("Compressor", heading=True),
        Line(
            f"{said[:1].upper()}{said[1:]}{because}",
            lambda: (*evidence[1:], *_where(span, counting, ())),
            span,
            exact=True,
        ),
    ]


def _whole(windows: Sequence[SteadyWindow]) -> tuple[float, float] | None:
    if not windows:
        return None
    return min(one.start_s for one in windows), max(one.end_s for one in windows)


def _fan(fan: Sequence[FanThreshold], counting: Counting) -> list[Line]:
    if not fan:
        return []
    return [
        Line("Fan", heading=True),
        *(_threshold(one, counting) for one in fan),
    ]


def _threshold(one: FanThreshold, counting: Counting) -> Line:
    system, barometer_pa, evidence = counting.system, counting.barometer_pa, one.evidence
    span = None if evidence is None else (evidence.from_s, evidence.until_s)
    channels = () if evidence is None else evidence.channels
    return Line(
        threshold_text(one, system, barometer_pa),
        lambda: (*threshold_details(one, system, barometer_pa), *_where(span, counting, channels)),
        span,
        exact=True,
    )


def _recoveries(recoveries: Sequence[Recovery], counting: Counting) -> list[Line]:
    if not recoveries:
        return []
    return [Line("Time to settle", heading=True), *(_recovery(one, counting) for one in recoveries)]


def _recovery(one: Recovery, counting: Counting) -> Line:
    span = one.at_s, one.at_s + one.seconds
    return Line(recovery_text(one), lambda: _where(span, counting, ()), span, exact=True)


def _event(place: int, event: Event, counting: Counting) -> Line:
    until = "" if event.until_s is None else f" to {clock(event.until_s)}"
    mark = f" ({event.kind.value}, {_BY_HAND})" if event.by_hand else ""
    last_s = event.at_s if event.until_s is None else event.until_s
    evidence = event.evidence
    return Line(
        f"{moment_text(event)}{until}  {event.text}{mark}",
        lambda: () if evidence is None else (evidence_text(evidence, _count(evidence, counting)),),
        (event.at_s - _AROUND_EVENT_S, last_s + _AROUND_EVENT_S),
        event=place,
    )


def _unsettled(unsettled: Sequence[Unsettled], counting: Counting) -> list[Line]:
    """The stretches between the windows; those of a few seconds before something happens say nothing."""
    told = [one for one in unsettled if one.end_s - one.start_s >= _SHORTEST_TOLD_S]
    if not told:
        return []
    return [Line("Not steady", heading=True), *(_unsettled_line(one, counting) for one in told)]


def _unsettled_line(one: Unsettled, counting: Counting) -> Line:
    reasons = [reason_text(reason, counting.system) for reason in one.reasons]
    span = one.start_s, one.end_s
    head = f"{clock(one.start_s)} to {clock(one.end_s)}: {_first(reasons)}"
    return Line(head, lambda: (*reasons[1:], *_where(span, counting, ())), span, exact=True)


def _first(reasons: Sequence[str]) -> str:
    more = len(reasons) - 1
    rest = "" if more < 1 else f", and {more} more reason{'s' if more > 1 else ''}"
    return f"{reasons[0]}{rest}" if reasons else "no reason could be told"


def _where(span: tuple[float, float] | None, counting: Counting, channels: Iterable[Role]) -> tuple[str, ...]:
    if span is None:
        return ()
    evidence = Evidence(*span, tuple(channels))
    return (evidence_text(evidence, _count(evidence, counting)),)


def _count(evidence: Evidence, counting: Counting) -> int | None:
    return counting.samples(evidence.from_s, evidence.until_s)


def short_words(event: Event) -> str:
    """An event's words for a plot, without what follows the first comma: how it was seen."""
    return event.text if event.by_hand else event.text.partition(",")[0]
