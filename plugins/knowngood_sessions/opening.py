"""Everything the page shows of a session, fetched in one go off the GUI thread."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.queries import sessions
from knowngood_refdata.queries.session_history import session_history
from knowngood_sessions.gather import Session, load, with_findings_of
from knowngood_sessions.reworking import rework

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from knowngood_refdata.queries.history import Change
    from knowngood_refdata.records import SessionInfo
    from knowngood_refdata.store import Store
    from knowngood_sessions.core.channels.brought import Rule

UNDO_WHY = "taken back in the session plotter"
_MARKS = ("note", "window set by hand")
_OTHERS = 60


@dataclass(frozen=True, slots=True, eq=False)
class Opened:
    """A session, what can be laid over it, and what can be undone."""

    session: Session
    others: tuple[SessionInfo, ...] = ()
    undo: Change | None = None


def open_session(
    store: Store,
    session_id: int,
    rules: Sequence[Rule] = (),
    proceed: Callable[[float], None] = lambda _: None,
) -> Opened:
    """Read a session from the library; values that a window set by hand lacks are worked out first.

    Raises
    ------
    knowngood_refdata.store.StoreError
        When the library cannot be read, its samples are damaged, or it holds no such session.
    """
    session = load(store, session_id, rules, proceed)
    if session.lacks_values:
        rework(store, session_id)
        session = with_findings_of(store, session)
    return _opened(store, session)


def look_again(store: Store, session: Session) -> Opened:
    """The same session after its findings changed.

    Raises
    ------
    knowngood_refdata.store.StoreError
        When the library cannot be read or no longer holds the session.
    """
    return _opened(store, with_findings_of(store, session))


def last_change(store: Store, session_id: int) -> Change | None:
    """What was done last to the notes and windows of a session and can be taken back."""
    changes = session_history(store, session_id)
    return next((one for one in changes if undoable(one) and one.why != UNDO_WHY), None)


def undoable(change: Change) -> bool:
    """Whether a change of a note or a window set by hand can still be taken back."""
    return change.kind in _MARKS and change.stands


def change_words(change: Change | None) -> str:
    """What taking a change back would undo: ``note added (door open)``; empty for None."""
    return "" if change is None else f"{change.kind} {change.action} ({change.subject})"


def _opened(store: Store, session: Session) -> Opened:
    info = session.info
    return Opened(session, _others(store, info), last_change(store, info.id))


def _others(store: Store, info: SessionInfo) -> tuple[SessionInfo, ...]:
    """Other sessions, those of the same vehicle first."""
    own = () if info.vehicle_id is None else sessions.list_sessions(store, info.vehicle_id)
    found = {one.id: one for one in (*own, *sessions.list_sessions(store, None, _OTHERS))}
    found.pop(info.id, None)
    return tuple(found.values())
