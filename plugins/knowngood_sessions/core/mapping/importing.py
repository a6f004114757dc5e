"""The whole way from a file's bytes to a recording that may be stored, without a store."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from knowngood_refdata.quantities import ZERO_CELSIUS_K
from knowngood_refdata.records import Role
from knowngood_sessions.core.channels.derive import channel_si
from knowngood_sessions.core.reading.choosing import Reader, read_any
from knowngood_sessions.core.reading.reader import LogTable, Notice

from .assignment import (
    Assignment,
    ColumnMapping,
    MappingUnreadable,
    assignment_from_words,
    from_plain,
)
from .mapping import apply_with_notices, propose, signature
from .oddities import oddities
from .questions import Question, open_questions

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from datetime import datetime

    from knowngood_refdata.records import Conditions, Recording

    from .proposal import Proposal

_SHORT_S = 60.0
_LONG_STEP_S = 5.0
_GAP_S = 30.0
_WANTED = {
    Role.LOW_SIDE: "low side: there will be no superheat and no response",
    Role.HIGH_SIDE: "high side: there will be no subcooling and no response",
    Role.ENGINE_SPEED: "engine speed: windows cannot be told apart by speed",
}
RECORDED = (
    ("ambient_k", Role.AMBIENT),
    ("intake_k", Role.INTAKE),
    ("relative_humidity", Role.HUMIDITY),
    ("barometer_pa", Role.BAROMETER),
)
_FAR_APART = {Role.AMBIENT: 4.0, Role.INTAKE: 6.0, Role.HUMIDITY: 0.20, Role.BAROMETER: 3_000.0}


@dataclass(frozen=True, slots=True, eq=False)
class Prepared:
    """A log that was read, with what its columns are taken for and what must still be asked.

    ``remembered`` tells that the mapping comes from an earlier import of the same header.
    """

    table: LogTable
    proposal: Proposal
    mapping: Mapping[str, Assignment]
    questions: tuple[Question, ...]
    signature: str
    sha256: str
    remembered: bool


@dataclass(frozen=True, slots=True, eq=False)
class Imported:
    """A recording ready to be stored, when it began if the file tells, and what should be known about it."""

    recording: Recording
    started_at: datetime | None
    notices: tuple[Notice, ...]


def sha256_of(data: bytes) -> str:
    """The hash by which a file is known again."""
    return hashlib.sha256(data).hexdigest()


def prepare(
    data: bytes,
    name: str,
    remembered: Callable[[str], Mapping[str, Mapping[str, object]] | None] = lambda _: None,
    overrides: Mapping[str, str] | None = None,
    proceed: Callable[[float], None] = lambda _: None,
    *,
    readers: Sequence[Reader] = (),
    part: str = "",
) -> Prepared:
    """Read a log and decide what its columns are: as given, as remembered, else as proposed.

    Parameters
    ----------
    remembered
        Gives the mapping kept for a header signature, or None.
    overrides
        Columns decided beforehand, as text: ``{"P1": "low side, psi, gauge"}``.
    readers
        Those to ask, as ``Host.log_readers`` gives them; without any, the ones of this plugin.
    part
        Which log of a file that holds several.

    Raises
    ------
    SeveralLogs
        When the file holds several logs and no part was named; its ``parts`` can be offered.
    LogUnreadable
        When the file is no log.
    MappingUnreadable
        When an override names no column, use or unit.
    """
    table = read_any(data, name, readers, proceed, part)
    proposal = propose(table)
    mark = signature(table)
    kept = remembered(mark)
    mapping = proposal.mapping
    known = kept is not None and set(kept) >= set(mapping)
    if kept is not None and known:
        mapping = {column: one for column, one in from_plain(kept).items() if column in mapping}
    mapping = _overridden(mapping, overrides or {})
    questions = proposal.questions if mapping == proposal.mapping else open_questions(table, mapping)
    return Prepared(table, proposal, mapping, questions, mark, sha256_of(data), known)


def to_recording(table: LogTable, mapping: ColumnMapping) -> Imported:
    """The recording under a mapping without open questions, checked.

    Raises
    ------
    LogUnreadable
        When time runs backwards or too little is left.
    ValueError
        When a question is still open.
    """
    if open_questions(table, mapping):
        raise ValueError("a log with open questions must not be imported")
    recording, started_at, notices = apply_with_notices(table, mapping)
    return Imported(recording, started_at, (*table.notices, *notices, *check(recording)))


def check(recording: Recording) -> tuple[Notice, ...]:
    """What should be known about a recording before it is relied on."""
    notices = []
    roles = {channel.role for channel in recording.channels}
    notices += [Notice(f"No column holds the {text}.") for role, text in _WANTED.items() if role not in roles]
    notices += oddities(recording)
    steps = np.diff(recording.time_s)
    usual, longest = float(np.median(steps)), float(steps.max())
    if recording.time_s[-1] < _SHORT_S:
        notices.append(
            Notice(f"The recording lasts {recording.time_s[-1]:.0f} s: hardly anything settles in that.")
        )
    if usual > _LONG_STEP_S:
        notices.append(Notice(f"There is one sample every {usual:.0f} s; short events stay unseen."))
    if longest > max(_GAP_S, 10.0 * usual):
        notices.append(Notice(f"The recording has a gap of {longest:.0f} s."))
    return tuple(notices)


def contradiction(conditions: Conditions, recording: Recording) -> str:
    """Where a condition that was typed is not what the log itself recorded, in words; empty when none is.

    A comparison would otherwise be made under conditions that never were.
    """
    for name, role in RECORDED:
        typed, recorded = getattr(conditions, name), _middle(recording, role)
        if typed is None or recorded is None or abs(typed - recorded) <= _FAR_APART[role]:
            continue
        return (
            f"The {role} given ({_plain(typed, role)}) is not what the log recorded "
            f"({_plain(recorded, role)}, the middle of its channel). Nothing was imported. "
            f"Leave it empty to take the recorded one, or correct it or the column's meaning."
        )
    return ""


def _middle(recording: Recording, role: Role) -> float | None:
    values = channel_si(recording, role)
    if values is None or not np.isfinite(values).any():
        return None
    return float(np.nanmedian(values))


def _plain(value: float, role: Role) -> str:
    if role is Role.HUMIDITY:
        return f"{100 * value:.0f} %"
    if role is Role.BAROMETER:
        return f"{value / 1e3:.1f} kPa"
    return f"{value - ZERO_CELSIUS_K:.0f} °C"


def completed(conditions: Conditions, recording: Recording) -> Conditions:
    """The conditions with what was not noted taken from the recording, as the middle of its channel."""
    noted = {name: getattr(conditions, name) for name, _ in RECORDED}
    found: dict[str, Any] = {
        name: float(np.nanmedian(values))
        for name, role in RECORDED
        if noted[name] is None
        and (values := channel_si(recording, role)) is not None
        and np.isfinite(values).any()
    }
    return replace(conditions, **found)


def _overridden(mapping: Mapping[str, Assignment], overrides: Mapping[str, str]) -> dict[str, Assignment]:
    result = dict(mapping)
    for column, words in overrides.items():
        if column not in result:
            names = ", ".join(result)
            raise MappingUnreadable(f"The file has no column '{column}'; it has: {names}.")
        given = assignment_from_words(words)
        for other, one in result.items():
            # A use that is given away by hand is taken from the column it was proposed for.
            if other not in overrides and one.use is given.use and given.use is not Role.OTHER:
                result[other] = Assignment(Role.OTHER, one.unit)
        before = result[column]
        unit_name = given.unit or (before.unit if before.kind is given.kind else "")
        gauge = before.gauge if given.gauge is None else given.gauge
        result[column] = Assignment(given.use, unit_name, gauge, confirmed=True)
    return result
