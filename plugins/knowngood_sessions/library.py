"""The seam between a log file and the library: read, map, analyse, save with what was found."""

from __future__ import annotations

import logging
from dataclasses import dataclass, field, fields, replace
from pathlib import Path
from typing import TYPE_CHECKING

from knowngood.api import LogRefused
from knowngood_refdata.drafts import SessionDraft
from knowngood_refdata.queries import sessions
from knowngood_refdata.records import Conditions, Instruments
from knowngood_refdata.refrigerants import UnknownRefrigerant
from knowngood_sessions.core.finding.analysis import analyse
from knowngood_sessions.core.mapping.assignment import MappingUnreadable, as_plain
from knowngood_sessions.core.mapping.importing import (
    Prepared,
    completed,
    contradiction,
    prepare,
    to_recording,
)
from knowngood_sessions.core.reading.text import LARGEST_BYTES, LogUnreadable
from knowngood_sessions.remapping import read_again, remap
from knowngood_sessions.reworking import analysed, compressor_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from knowngood.api import LogRequest
    from knowngood_refdata.records import SessionInfo
    from knowngood_refdata.store import Store
    from knowngood_sessions.core.mapping.assignment import Assignment
    from knowngood_sessions.core.mapping.questions import Question
    from knowngood_sessions.core.reading.choosing import Reader
    from knowngood_sessions.core.reading.reader import Notice

__all__ = [
    "Facts",
    "Stored",
    "import_request",
    "known_session",
    "prepare_for",
    "questions_in_words",
    "read_again",
    "read_file",
    "remap",
    "revise",
    "save_log",
]

_log = logging.getLogger(__name__)
_MOST_CHOICES = 4


@dataclass(frozen=True, slots=True)
class Facts:
    """What the file does not tell about a session."""

    vehicle_id: int | None
    refrigerant: str
    conditions: Conditions = field(default_factory=Conditions)
    instruments: Instruments = field(default_factory=Instruments)
    unit_id: int | None = None
    technician: str = ""


@dataclass(frozen=True, slots=True)
class Stored:
    """A session that was saved, and what should be known about its recording."""

    session_id: int
    notices: tuple[Notice, ...]


def read_file(path: Path) -> bytes:
    """The bytes of a log file.

    Raises
    ------
    LogUnreadable
        When it cannot be opened or is too large.
    """
    try:
        size = path.stat().st_size
        if size > LARGEST_BYTES:
            raise LogUnreadable(
                f"The file has {size / 1e6:,.0f} MB; at most {LARGEST_BYTES / 1e6:,.0f} MB can be read. "
                "Nothing was imported; export a shorter stretch or a lower sampling rate."
            )
        return path.read_bytes()
    except OSError as error:
        reason = error.strerror or str(error)
        raise LogUnreadable(f"{path} cannot be opened: {reason}. Nothing was imported.") from None


def prepare_for(
    store: Store,
    data: bytes,
    name: str,
    overrides: Mapping[str, str] | None = None,
    proceed: Callable[[float], None] = lambda _: None,
    *,
    readers: Sequence[Reader] = (),
    part: str = "",
) -> Prepared:
    """Read a log and decide its mapping, with what this library remembers of such headers.

    ``readers`` are those of ``Host.log_readers``; ``part`` names one of several logs in a file.

    Raises
    ------
    LogUnreadable, SeveralLogs, MappingUnreadable
        As `knowngood_sessions.core.mapping.importing.prepare`.
    """
    return prepare(
        data,
        name,
        lambda mark: sessions.remembered_mapping(store, mark),
        overrides,
        proceed,
        readers=readers,
        part=part,
    )


def known_session(store: Store, sha256: str, vehicle_id: int | None) -> SessionInfo | None:
    """The session of this vehicle that was made from the same file, None when there is none."""
    latest = sessions.find_by_hash(store, sha256)
    if latest is None or latest.vehicle_id == vehicle_id:
        return latest
    of_vehicle = sessions.list_sessions(store, vehicle_id)
    return next((one for one in of_vehicle if one.source_sha256 == sha256), None)


def save_log(
    store: Store,
    prepared: Prepared,
    mapping: Mapping[str, Assignment],
    facts: Facts,
    data: bytes,
    proceed: Callable[[float], None] = lambda _: None,
) -> Stored:
    """Analyse a log and save session, samples, file and findings, all or nothing; remember the mapping.

    Raises
    ------
    LogUnreadable
        When the recording cannot be made under this mapping, or contradicts the conditions given.
    knowngood_refdata.refrigerants.UnknownRefrigerant
        When there is no saturation curve for the refrigerant.
    """
    imported = to_recording(prepared.table, mapping)
    proceed(0.2)
    problem = contradiction(facts.conditions, imported.recording)
    if problem:
        raise LogUnreadable(problem)
    conditions = completed(facts.conditions, imported.recording)
    compressor = compressor_of(store, facts.vehicle_id)
    found = analyse(
        imported.recording, facts.refrigerant, conditions, facts.instruments, compressor=compressor
    )
    proceed(0.6)
    name = prepared.table.source_name
    draft = SessionDraft(
        vehicle_id=facts.vehicle_id,
        unit_id=facts.unit_id,
        title=Path(name).stem,
        refrigerant=facts.refrigerant,
        source_name=name,
        conditions=conditions,
        instruments=facts.instruments,
        started_at=imported.started_at,
        technician=facts.technician,
        findings=found,
    )
    session_id = sessions.save(store, draft, imported.recording, data)
    sessions.remember_mapping(store, prepared.signature, as_plain(mapping))
    return Stored(session_id, imported.notices)


def import_request(store: Store, request: LogRequest) -> int:
    """Import the log of a request; return the session's id.

    A file that the library knows is not stored twice: its session is brought up to date with the
    conditions of the request.

    Raises
    ------
    LogRefused
        When the log cannot be trusted as it is; nothing is stored then.
    """
    try:
        data = read_file(request.path)
        prepared = prepare_for(
            store, data, request.path.name, request.mapping, readers=request.readers, part=request.part
        )
        known = known_session(store, prepared.sha256, request.vehicle_id)
        # Columns that mean something else now make another recording of the same file.
        asked = request.mapping or request.part
        if known is not None and (not asked or _same_meaning(store, known, prepared)):
            return _brought_up_to_date(store, known, request).id
        if prepared.questions:
            raise LogRefused(questions_in_words(request.path.name, prepared.questions))
        facts = Facts(
            request.vehicle_id,
            request.refrigerant,
            request.conditions,
            request.instruments,
            technician=request.technician,
        )
        stored = save_log(store, prepared, prepared.mapping, facts, data)
    except (LogUnreadable, MappingUnreadable, UnknownRefrigerant) as error:
        raise LogRefused(f"{request.path.name}: {error}") from error
    for notice in stored.notices:
        _log.info("%s: %s", request.path.name, notice.text)
    return stored.session_id


def _same_meaning(store: Store, known: SessionInfo, prepared: Prepared) -> bool:
    """Whether the columns of a stored session mean what they would mean now."""
    now = to_recording(prepared.table, prepared.mapping).recording.channels
    then = sessions.recording(store, known.id).channels
    return [(one.name, one.role, one.unit, one.gauge) for one in now] == [
        (one.name, one.role, one.unit, one.gauge) for one in then
    ]


def _brought_up_to_date(store: Store, known: SessionInfo, request: LogRequest) -> SessionInfo:
    """The session in the library, corrected where the request tells more or other of how it was run."""
    given = {one.name: getattr(request.conditions, one.name) for one in fields(Conditions)}
    conditions = replace(known.conditions, **{name: one for name, one in given.items() if one is not None})
    instruments = known.instruments if request.instruments == Instruments() else request.instruments
    _log.info("%s is in the library already, as session %d.", request.path.name, known.id)
    if conditions == known.conditions and instruments == known.instruments:
        return known
    problem = contradiction(conditions, sessions.recording(store, known.id))
    if problem:
        raise LogUnreadable(problem)
    return revise(store, known, conditions, instruments)


def questions_in_words(name: str, questions: tuple[Question, ...]) -> str:
    """Why a log is not imported before its questions are answered, and how to answer them."""
    lines = [f"{name} was not imported, because something about its columns must be answered first."]
    for question in questions:
        lines.append(f"  {question.text}")
        for choice in question.choices[:_MOST_CHOICES]:
            given = "; ".join(f"{column}={one.words}" for column, one in choice.changes.items())
            lines.append(f"    {choice.label}: give {given}")
    lines.append("Nothing was stored. Answer with the mapping of those columns and import again.")
    return "\n".join(lines)


def revise(store: Store, info: SessionInfo, conditions: Conditions, instruments: Instruments) -> SessionInfo:
    """Correct the conditions of a session and work its findings out anew.

    Raises
    ------
    knowngood_refdata.store.Conflict
        When someone else changed the session since ``info`` was read.
    """
    recording = sessions.recording(store, info.id)
    known = sessions.findings(store, info.id)
    compressor = compressor_of(store, info.vehicle_id)
    found = analysed(recording, info.refrigerant, conditions, instruments, known, compressor)
    sessions.update_conditions(store, info.id, info.version, conditions, instruments)
    sessions.save_findings(store, info.id, found)
    return sessions.info(store, info.id)
