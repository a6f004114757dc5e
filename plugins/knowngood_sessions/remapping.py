"""A stored session read again from its own file, under another mapping of the columns."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.logs import LogUnreadable, SeveralLogs
from knowngood_refdata.queries import session_cuts, sessions
from knowngood_refdata.queries.session_channels import replace_channels
from knowngood_refdata.queries.session_samples import part
from knowngood_sessions.core.mapping.assignment import as_plain
from knowngood_sessions.core.mapping.importing import contradiction, prepare, to_recording
from knowngood_sessions.core.mapping.mapping_changes import followed
from knowngood_sessions.reworking import analysed, compressor_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from numpy.typing import NDArray

    from knowngood_refdata.logs import LogTable
    from knowngood_refdata.records import Conditions, Findings, Recording, SessionInfo
    from knowngood_refdata.store import Store
    from knowngood_sessions.core.mapping.assignment import Assignment
    from knowngood_sessions.core.mapping.importing import Prepared
    from knowngood_sessions.core.reading.choosing import Reader

_WHY = "columns mapped anew"
_ALIKE, _DIGITS = 0.9, 6


def read_again(
    store: Store,
    info: SessionInfo,
    readers: Sequence[Reader] = (),
    proceed: Callable[[float], None] = lambda _: None,
) -> Prepared:
    """The file of a session read again; of several logs in it the one that the session was made of.

    Raises
    ------
    LogUnreadable
        When no reader reads the file any more.
    """
    data = sessions.source(store, info.id)
    name = info.source_name
    try:
        return _prepared(store, data, name, proceed, readers, "")
    except SeveralLogs as several:
        recording = sessions.recording(store, info.id)
        read = [_prepared(store, data, name, proceed, readers, one) for one in several.parts]
        likeness = [_likeness(one.table, recording) for one in read]
        if max(likeness) < _ALIKE:
            raise
        return read[likeness.index(max(likeness))]


def remap(
    store: Store,
    info: SessionInfo,
    mapping: Mapping[str, Assignment],
    why: str = _WHY,
    *,
    readers: Sequence[Reader] = (),
    proceed: Callable[[float], None] = lambda _: None,
) -> SessionInfo:
    """Read the stored file of a session under another mapping and work everything out anew.

    Channels, findings, and those of the parts that were cut out of the session change in one transaction;
    windows set by hand and notes stay where they are. Conditions that were taken from a channel follow it.
    The mapping is remembered for the next log of this header.

    Parameters
    ----------
    info
        The session as it was shown.
    mapping
        What every column is taken for; no question may be open.
    why
        The reason for the audit trail.

    Raises
    ------
    LogUnreadable
        When the file makes no recording under this mapping, contradicts the conditions of the session, or
        its time would become another while parts of it are sessions of their own.
    ValueError
        When a question is still open.
    knowngood_refdata.store.Conflict
        When someone else changed the session since ``info`` was read.
    """
    prepared = read_again(store, info, readers, lambda done: proceed(0.4 * done))
    imported = to_recording(prepared.table, mapping)
    before, recording = sessions.recording(store, info.id), imported.recording
    cuts = session_cuts.cuts_of(store, info.id)
    stated = {one.id: followed(one.conditions, before, recording) for one in (info, *cuts)}
    problem = contradiction(stated[info.id], recording)
    if problem:
        raise LogUnreadable(problem.replace("Nothing was imported", "Nothing was changed"))
    if cuts and not _same_times(before, recording):
        raise LogUnreadable(
            f"The time of the session would become another, and {len(cuts)} of its parts are sessions of "
            "their own. Nothing was changed; delete those parts first, or leave the time as it is."
        )
    found = {info.id: _found(store, info, stated[info.id], recording)}
    for one in cuts:
        found[one.id] = _found(store, one, stated[one.id], _within(one, recording))
    proceed(0.8)
    replace_channels(
        store,
        info.id,
        info.version,
        recording,
        found,
        started_at=imported.started_at,
        why=why or _WHY,
        conditions=stated,
    )
    sessions.remember_mapping(store, prepared.signature, as_plain(mapping))
    return sessions.info(store, info.id)


def _prepared(
    store: Store,
    data: bytes,
    name: str,
    proceed: Callable[[float], None],
    readers: Sequence[Reader],
    wanted: str,
) -> Prepared:
    def remembered(mark: str) -> Mapping[str, Mapping[str, object]] | None:
        return sessions.remembered_mapping(store, mark)

    return prepare(data, name, remembered, None, proceed, readers=readers, part=wanted)


def _found(store: Store, info: SessionInfo, conditions: Conditions, recording: Recording) -> Findings:
    known = sessions.findings(store, info.id)
    compressor = compressor_of(store, info.vehicle_id)
    return analysed(recording, info.refrigerant, conditions, info.instruments, known, compressor)


def _within(cut: SessionInfo, recording: Recording) -> Recording:
    assert cut.from_s is not None
    assert cut.until_s is not None
    return part(recording, cut.from_s, cut.until_s)


def _likeness(table: LogTable, recording: Recording) -> float:
    """The share of a recording's values that stand in the columns of a table, by the channel with least."""
    columns = {one.name: one.numbers for one in table.columns}
    return min(
        (_share(one.values, columns.get(one.name, np.empty(0))) for one in recording.channels), default=0.0
    )


def _share(values: NDArray[np.float64], numbers: NDArray[np.float64]) -> float:
    if values.size == numbers.size:
        return float(np.mean(np.isclose(values, numbers, equal_nan=True)))
    # A few rows may have been left out: then places do not tell.
    known = values[np.isfinite(values)]
    held = float(np.mean(np.isin(known.round(_DIGITS), numbers.round(_DIGITS)))) if known.size else 1.0
    return held * min(values.size / max(numbers.size, 1), 1.0)


def _same_times(before: Recording, after: Recording) -> bool:
    return before.time_s.size == after.time_s.size and bool(
        np.allclose(before.time_s, after.time_s, rtol=0.0, atol=1e-6)
    )
