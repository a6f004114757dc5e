"""What whoever reads a check-up should know of the session: conditions, instruments and values it lacks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.api import CheckNote, NoteLevel
from knowngood_refdata.expected.match import Condition, Point, match_conditions
from knowngood_refdata.queries import sessions
from knowngood_refdata.records import Instruments, Quantity

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from knowngood_refdata.records import Findings, SessionInfo
    from knowngood_refdata.store import Store

_TOLD_BY = {
    Quantity.SUPERHEAT: "the low side and the suction line's temperature",
    Quantity.SUBCOOLING: "the high side and the liquid line's temperature",
}


def session_notes(store: Store, session_id: int) -> Sequence[CheckNote]:
    """The notes on a stored session, conditions first.

    Raises
    ------
    knowngood_refdata.errors.StoreError
        When the library cannot be read or holds no such session.
    """
    info, found = sessions.info(store, session_id), sessions.findings(store, session_id)
    return tuple(notes(info, found))


def notes(info: SessionInfo, found: Findings) -> Iterator[CheckNote]:
    """The notes on a session with these findings."""
    missing = _missing_conditions(info, found)
    if missing:
        yield CheckNote(
            NoteLevel.CAUTION,
            f"Not recorded: {', '.join(missing)}. What is not recorded is never taken as equal; enter it on "
            "the Session plotter page.",
        )
    if info.instruments == Instruments():
        yield CheckNote(
            NoteLevel.REMARK,
            "The uncertainties are those of common instruments "
            f"({info.instruments.low.name}, {info.instruments.line.name}). Name others if you used them.",
        )
    for quantity, told_by in _TOLD_BY.items():
        if found.windows and all(quantity not in one.values for one in found.windows):
            yield CheckNote(NoteLevel.REMARK, f"No {quantity} is known: it needs {told_by}.")


def _missing_conditions(info: SessionInfo, found: Findings) -> tuple[Condition, ...]:
    """What a comparison cannot do without and some window lacks, in the order of importance."""
    points = [Point(info.conditions, one.engine_rpm, one.fan_stage) for one in found.windows]
    # A point compared with itself differs in what is not recorded, and in nothing else.
    lacking = {condition for point in points for condition in match_conditions(point, point)}
    return tuple(one for one in Condition if one in lacking)
