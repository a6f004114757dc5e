"""Windows, events and responses between records and rows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_refdata.models import ResponseRow, WindowRow, WindowValue
from knowngood_refdata.queries.estimates import estimates_of, value_rows
from knowngood_refdata.queries.finding_documents import behaviour_document, behaviour_of, evidence_of
from knowngood_refdata.records import Estimate, Event, EventKind, Response, SteadyWindow, Verdict

if TYPE_CHECKING:
    from knowngood_refdata.models import Annotation, EventRow


def window_row(session_id: int, window: SteadyWindow, hand_window_id: int | None) -> WindowRow:
    """The row of what was worked out for a window."""
    return WindowRow(
        session_id=session_id,
        hand_window_id=hand_window_id,
        start_s=window.start_s,
        end_s=window.end_s,
        engine_rpm=window.engine_rpm,
        fan_stage=window.fan_stage,
        label=window.label,
        by_hand=window.by_hand,
        behaviour=behaviour_document(window.behaviour),
        values=value_rows(WindowValue, window.values),
    )


def window_of(row: WindowRow) -> SteadyWindow:
    """The window in a row."""
    return SteadyWindow(
        start_s=row.start_s,
        end_s=row.end_s,
        engine_rpm=row.engine_rpm,
        fan_stage=row.fan_stage,
        label=row.label,
        values=estimates_of(row.values),
        by_hand=row.by_hand,
        id=row.id,
        behaviour=behaviour_of(row.behaviour),
    )


def event_of(row: EventRow) -> Event:
    """The event in a row."""
    return Event(
        EventKind(row.kind),
        row.at_s,
        row.text,
        row.id,
        until_s=row.until_s,
        evidence=evidence_of(row.evidence),
        within_s=row.evidence.get("within_s"),
    )


def noted_of(row: Annotation) -> Event:
    """What a person noted, as an event; its ``id`` is the note's."""
    return Event(EventKind(row.kind), row.at_s, row.text, row.id, until_s=row.until_s, by_hand=True)


def response_row(session_id: int, response: Response) -> ResponseRow:
    """The row of a response."""
    low, high = response.low_per_octave, response.high_per_octave
    return ResponseRow(
        session_id=session_id,
        from_rpm=response.from_rpm,
        to_rpm=response.to_rpm,
        low_pa=response.low_pa.value,
        low_standard_uncertainty=response.low_pa.standard_uncertainty,
        high_pa=response.high_pa.value,
        high_standard_uncertainty=response.high_pa.standard_uncertainty,
        low=response.low.value,
        high=response.high.value,
        same_fan_stage=response.same_fan_stage,
        remark=response.remark,
        low_per_octave=None if low is None else low.value,
        low_per_octave_standard_uncertainty=None if low is None else low.standard_uncertainty,
        high_per_octave=None if high is None else high.value,
        high_per_octave_standard_uncertainty=None if high is None else high.standard_uncertainty,
        from_at_s=response.from_at_s,
        to_at_s=response.to_at_s,
    )


def response_of(row: ResponseRow) -> Response:
    """The response in a row."""
    return Response(
        from_rpm=row.from_rpm,
        to_rpm=row.to_rpm,
        low_pa=Estimate(row.low_pa, row.low_standard_uncertainty),
        high_pa=Estimate(row.high_pa, row.high_standard_uncertainty),
        low=Verdict(row.low),
        high=Verdict(row.high),
        same_fan_stage=row.same_fan_stage,
        remark=row.remark,
        id=row.id,
        low_per_octave=_estimate(row.low_per_octave, row.low_per_octave_standard_uncertainty),
        high_per_octave=_estimate(row.high_per_octave, row.high_per_octave_standard_uncertainty),
        from_at_s=row.from_at_s,
        to_at_s=row.to_at_s,
    )


def _estimate(value: float | None, standard_uncertainty: float | None) -> Estimate | None:
    if value is None or standard_uncertainty is None:
        return None
    return Estimate(value, standard_uncertainty)
