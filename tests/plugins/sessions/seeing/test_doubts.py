"""A note that is added beside a seeming fan step changes at once how the step is told, and back again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_refdata.queries import session_marks
from knowngood_refdata.queries.session_marks import NoteDraft
from knowngood_refdata.records import EventKind
from knowngood_sessions.gather import with_findings_of

if TYPE_CHECKING:
    from knowngood_refdata.store import Store
    from knowngood_sessions.gather import Session


def fan_words(session: Session) -> list[str]:
    return [one.text for one in session.findings.events if one.kind is EventKind.FAN_STAGE_UP]


def test_a_fan_step_is_told_as_doubtful_as_long_as_the_note_stands(session: Session, store: Store) -> None:
    (step,) = [one for one in session.findings.events if one.kind is EventKind.FAN_STAGE_UP]
    note = session_marks.add(
        store, session.info.id, NoteDraft(EventKind.BLOWER, step.at_s + 6.0, "to full speed")
    )
    (words,) = fan_words(with_findings_of(store, session))
    assert words.startswith(f"perhaps {step.text}, or the blower")
    session_marks.remove(store, note, 1)
    assert fan_words(with_findings_of(store, session)) == [step.text]
