"""Findings worked out anew for what a person set: windows moved by hand, parts cut out of a session."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from knowngood.formatting import clock
from knowngood_refdata.queries import session_cuts, sessions, vehicles
from knowngood_refdata.queries.session_cuts import CutDraft
from knowngood_refdata.queries.session_samples import part
from knowngood_refdata.records import CompressorKind, EventKind, Findings
from knowngood_sessions.beside_notes import doubt
from knowngood_sessions.core.finding.analysis import analyse
from knowngood_sessions.core.finding.settled import part_of
from knowngood_sessions.core.finding.steady import Stretch

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from knowngood_refdata.records import (
        Conditions,
        Event,
        Instruments,
        Recording,
        SessionInfo,
        SteadyWindow,
    )
    from knowngood_refdata.store import Store
    from knowngood_sessions.core.channels.derive import Derived
    from knowngood_sessions.gather import Session

NOTHING = Findings()
_STAGES = {EventKind.FAN_STAGE_UP: 1, EventKind.FAN_STAGE_DOWN: -1}
_SHORTEST_S = 1e-6


def rework(store: Store, session_id: int, proceed: Callable[[float], None] = lambda _: None) -> None:
    """Analyse a session anew, with the windows that were set in it by hand, and store what was found.

    Raises
    ------
    knowngood_refdata.store.StoreError
        When the session cannot be read or the findings not be stored.
    """
    info = sessions.info(store, session_id)
    recording = sessions.recording(store, session_id)
    known = sessions.findings(store, session_id)
    proceed(0.3)
    compressor = compressor_of(store, info.vehicle_id)
    found = analysed(recording, info.refrigerant, info.conditions, info.instruments, known, compressor)
    proceed(0.9)
    sessions.save_findings(store, session_id, found)


def analysed(
    recording: Recording,
    refrigerant: str,
    conditions: Conditions,
    instruments: Instruments,
    known: Findings = NOTHING,
    compressor: CompressorKind | None = None,
) -> Findings:
    """What the program finds in a recording, and the values of the windows set by hand in it.

    Of what is ``known`` it minds windows set by hand, and notes. The windows keep their ``id``, by which the
    library knows them; one that could not be worked out has no values.
    """
    by_hand = [one for one in known.windows if one.by_hand]
    said = [(one.start_s, one.end_s, one.label) for one in by_hand]
    noted = [one for one in known.events if one.by_hand]
    found = analyse(
        recording, refrigerant, conditions, instruments, compressor=compressor, by_hand=said, noted=noted
    )
    ids = {words: one.id for words, one in zip(said, by_hand, strict=True)}
    windows = [
        replace(one, id=ids.pop((one.start_s, one.end_s, one.label), None)) if one.by_hand else one
        for one in found.windows
    ]
    # Those in which nothing can be worked out are not left out for that.
    bare = [
        replace(one, values={}, behaviour={})
        for words, one in zip(said, by_hand, strict=True)
        if words in ids
    ]
    return replace(found, windows=(*windows, *bare))


def compressor_of(store: Store, vehicle_id: int | None) -> CompressorKind | None:
    """How the compressor of a vehicle is controlled, where its record says so in the usual words."""
    if vehicle_id is None:
        return None
    said = vehicles.vehicle(store, vehicle_id).spec("compressor")
    words = "" if said is None else said.as_printed.strip().lower()
    return next((one for one in CompressorKind if one.value in words), None)


def mean_rpm(derived: Derived, start_s: float, end_s: float) -> float | None:
    """The mean engine speed of a stretch, None where none was recorded."""
    if derived.engine_rpm is None:
        return None
    speeds = derived.engine_rpm[part_of(derived, Stretch(start_s, end_s))]
    known = speeds[np.isfinite(speeds)]
    return float(known.mean()) if known.size else None


def stage_at(conditions: Conditions, events: Sequence[Event], at_s: float) -> int | None:
    """The fan's stage at a moment, counted on from the one at the start; None when that is not known.

    Fan steps that a note among the events may explain otherwise do not count.
    """
    stage = conditions.fan_stage
    if stage is None:
        return None
    for one in sorted(events, key=lambda event: event.at_s):
        if one.at_s <= at_s and doubt(one, events) is None:
            stage = max(0, stage + _STAGES.get(one.kind, 0))
    return stage


def cut(store: Store, session: Session, spans: Sequence[tuple[float, float, str]]) -> tuple[int, ...]:
    """Keep parts of a session, each from, until [s] and title, as sessions of their own; their ids.

    Raises
    ------
    knowngood_refdata.store.StoreError
        When a part is too short or cannot be stored; nothing is stored then.
    """
    compressor = compressor_of(store, session.info.vehicle_id)
    drafts = [_cut_draft(session, span, compressor) for span in spans]
    why = "cut out of another session" if len(drafts) == 1 else "another session was split"
    return session_cuts.cut(store, session.info.id, drafts, why)


def halves(session: Session, at_s: float) -> tuple[tuple[float, float, str], tuple[float, float, str]]:
    """The two parts of a session that is split before the sample at, or next after, a moment."""
    time_s = session.recording.time_s
    place = int(np.searchsorted(time_s, at_s))
    before = float(time_s[max(place - 1, 0)])
    last = float(time_s[-1])
    first = float(time_s[min(place, time_s.size - 1)])
    return (
        (float(time_s[0]), before, title_of(session.info, float(time_s[0]), before)),
        (first, last, title_of(session.info, first, last)),
    )


def title_of(info: SessionInfo, from_s: float, until_s: float) -> str:
    """A title for a part: ``Season check, 2:00 to 4:10``."""
    return f"{info.title}, {clock(from_s)} to {clock(until_s)}"


def _cut_draft(
    session: Session, span: tuple[float, float, str], compressor: CompressorKind | None
) -> CutDraft:
    from_s, until_s, title = span
    recording, info, found = session.recording, session.info, session.findings
    inside = part(recording, from_s, until_s)
    place = int(np.searchsorted(recording.time_s, from_s))
    first_s = float(recording.time_s[min(place, recording.time_s.size - 1)])
    run_s = info.conditions.run_time_s
    conditions = replace(
        info.conditions,
        fan_stage=stage_at(info.conditions, found.events, first_s),
        run_time_s=None if run_s is None else run_s + first_s,
    )
    length_s = float(inside.time_s[-1]) if inside.time_s.size else 0.0
    hand = [_moved(one, first_s) for one in found.windows if one.by_hand]
    kept = tuple(one for one in hand if one.start_s >= 0.0 and one.end_s <= length_s + _SHORTEST_S)
    notes = tuple(_shifted(one, first_s, length_s) for one in found.events if one.by_hand)
    known = Findings(windows=kept, events=notes)
    findings = analysed(inside, info.refrigerant, conditions, info.instruments, known, compressor)
    events = (*findings.events, *(one for one in notes if 0.0 <= one.at_s <= length_s))
    return CutDraft(from_s, until_s, title, conditions, replace(findings, events=events))


def _moved(window: SteadyWindow, by_s: float) -> SteadyWindow:
    return replace(
        window, id=None, start_s=window.start_s - by_s, end_s=window.end_s - by_s, values={}, behaviour={}
    )


def _shifted(event: Event, by_s: float, length_s: float) -> Event:
    until_s = None if event.until_s is None else min(event.until_s - by_s, length_s)
    return replace(event, id=None, at_s=event.at_s - by_s, until_s=until_s)
