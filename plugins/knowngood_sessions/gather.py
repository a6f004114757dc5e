"""A stored session with its derived channels, as the screen and the report show it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from knowngood_refdata.queries import session_marks, session_windows, sessions
from knowngood_refdata.records import SteadyWindow
from knowngood_sessions.at_cursor import Samples
from knowngood_sessions.beside_notes import with_doubts
from knowngood_sessions.core.channels.brought import known_channels, work_out
from knowngood_sessions.core.channels.derive import derive
from knowngood_sessions.core.finding.analysis import barometer_of
from knowngood_sessions.traces import traces

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from knowngood_refdata.records import Event, Findings, Recording, SessionInfo
    from knowngood_refdata.store import Store
    from knowngood_sessions.core.channels.brought import Rule
    from knowngood_sessions.core.channels.derive import Derived
    from knowngood_sessions.traces import Trace


@dataclass(frozen=True, slots=True, eq=False)
class Session:
    """Everything about one session: what was recorded, derived from it, and found in it.

    ``problems`` tells which channels of plugins could not be worked out, a sentence each. The versions are
    those at which notes and windows set by hand are shown. ``rules`` work out what is not recorded.
    """

    info: SessionInfo
    recording: Recording
    derived: Derived
    findings: Findings
    barometer_pa: float
    traces: tuple[Trace, ...] = ()
    problems: tuple[str, ...] = ()
    note_versions: Mapping[int, int] = field(default_factory=dict)
    window_versions: Mapping[int, int] = field(default_factory=dict)
    rules: Sequence[Rule] = ()
    samples: Samples = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "samples", Samples(self.recording.time_s))

    def version_of(self, mark: SteadyWindow | Event) -> int:
        """At which version a window set by hand, or a note, is shown; 0 for what no person set."""
        versions = self.window_versions if isinstance(mark, SteadyWindow) else self.note_versions
        return versions.get(mark.id or 0, 0)

    @property
    def lacks_values(self) -> bool:
        """Whether a window set by hand has no values yet."""
        return any(one.by_hand and not one.values for one in self.findings.windows)


def load(
    store: Store,
    session_id: int,
    rules: Sequence[Rule] = (),
    proceed: Callable[[float], None] = lambda _: None,
) -> Session:
    """Read a session from the library and work out what is not stored.

    Parameters
    ----------
    rules
        How plugins work out further channels.

    Raises
    ------
    knowngood_refdata.store.StoreError
        When the library cannot be read or holds no such session.
    """
    info = sessions.info(store, session_id)
    recording = sessions.recording(store, session_id)
    proceed(0.4)
    barometer_pa = barometer_of(recording, info.conditions)
    derived = derive(recording, info.refrigerant, barometer_pa)
    proceed(0.7)
    known = known_channels(recording, derived, barometer_pa)
    brought = work_out(rules, known)
    proceed(0.9)
    return Session(
        info,
        recording,
        derived,
        with_doubts(sessions.findings(store, session_id)),
        barometer_pa,
        traces(recording, derived, known, brought.channels),
        brought.problems,
        {one.id: one.version for one in session_marks.notes(store, session_id)},
        {one.id: one.version for one in session_windows.windows(store, session_id)},
        rules,
    )


def with_findings_of(store: Store, session: Session) -> Session:
    """The same session with what was found and noted since; its samples are not read again.

    Raises
    ------
    knowngood_refdata.store.StoreError
        When the library cannot be read or no longer holds the session.
    """
    number = session.info.id
    again = replace(
        session,
        info=sessions.info(store, number),
        findings=with_doubts(sessions.findings(store, number)),
        note_versions={one.id: one.version for one in session_marks.notes(store, number)},
        window_versions={one.id: one.version for one in session_windows.windows(store, number)},
    )
    object.__setattr__(again, "samples", session.samples)
    return again
