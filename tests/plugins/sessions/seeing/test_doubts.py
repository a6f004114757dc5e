"""A note that is added beside a seeming fan step changes at once how the step is told, and back again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.formatting import System
from knowngood_refdata.queries import session_marks
from knowngood_refdata.queries.session_marks import NoteDraft
from knowngood_refdata.records import EventKind
from knowngood_sessions.findings_words import Counting, lines
from knowngood_sessions.gather import with_findings_of
from knowngood_sessions.reworking import rework

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


def test_a_stage_that_a_note_may_explain_does_not_count_and_the_windows_say_so(
    session: Session, store: Store
) -> None:
    (step,) = [one for one in session.findings.events if one.kind is EventKind.FAN_STAGE_UP]
    before = [one.fan_stage for one in session.findings.windows]
    after = [one.start_s > step.at_s for one in session.findings.windows]
    note = session_marks.add(store, session.info.id, NoteDraft(EventKind.DOORS, step.at_s + 4.0, "opened"))
    rework(store, session.info.id)
    doubted = with_findings_of(store, session).findings
    assert True in after
    assert [one.fan_doubted for one in doubted.windows] == after
    # One stage less in what follows.
    assert [one.fan_stage for one in doubted.windows] == [
        None if stage is None else stage - later for stage, later in zip(before, after, strict=True)
    ]
    words = [one.text for one in lines(doubted, Counting(System.US, session.barometer_pa))]
    assert any(f"fan stage {before[0]}, perhaps another" in one for one in words)
    assert any("erhaps another fan stage" in one.remark for one in doubted.responses)
    session_marks.remove(store, note, 1)
    rework(store, session.info.id)
    again = with_findings_of(store, session).findings
    assert [one.fan_stage for one in again.windows] == before
    assert not any(one.fan_doubted for one in again.windows)
