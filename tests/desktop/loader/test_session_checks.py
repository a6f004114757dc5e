"""Checks of plugins on a session: all are asked, nonsense is refused, who fails loses its own notes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

import pytest

from knowngood.api import CheckNote, NoteLevel
from knowngood.loader.checkups import LONGEST_NOTE

if TYPE_CHECKING:
    from knowngood_refdata.store import Store

    from .conftest import Load, Put

HEAD = """
from knowngood.api import CheckNote, NoteLevel, hookimpl

CAUTION, REMARK = NoteLevel.CAUTION, NoteLevel.REMARK
"""
NO_STORE = cast("Store", None)


def test_cautions_stand_before_remarks_whoever_gives_them(put: Put, load: Load) -> None:
    put(
        "a.py",
        "@hookimpl\ndef session_checks(session_id):\n"
        "    return [CheckNote(REMARK, f'seen {session_id}'), CheckNote(CAUTION, 'the hood was shut')]",
        head=HEAD,
    )
    put("b.py", "@hookimpl\ndef session_checks():\n    return [CheckNote(CAUTION, 'late')]", head=HEAD)
    plugins = load()
    assert plugins.session_checks(NO_STORE, 7) == (
        CheckNote(NoteLevel.CAUTION, "the hood was shut"),
        CheckNote(NoteLevel.CAUTION, "late"),
        CheckNote(NoteLevel.REMARK, "seen 7"),
    )
    assert [one.contributions for one in plugins.status()] == [("checks on a session",)] * 2


def test_every_note_says_which_plugin_it_is_of(put: Put, load: Load) -> None:
    put(
        "shut.py",
        "@hookimpl\ndef session_checks():\n    return [CheckNote(CAUTION, 'late', source='another')]",
        head=HEAD,
    )
    put("broken.py", "@hookimpl\ndef session_checks():\n    return 7", head=HEAD)
    notes = load().session_checks(NO_STORE, 7)
    assert sorted(one.source for one in notes) == ["broken", "shut"]


def test_a_check_may_ask_the_program_what_others_bring(put: Put, load: Load) -> None:
    put(
        "a.py",
        "@hookimpl\ndef session_checks(program):\n"
        "    return [CheckNote(REMARK, ', '.join(one.name for one in program.spec_fields()))]",
        head=HEAD,
    )
    put(
        "b.py",
        "@hookimpl\ndef spec_fields():\n    return [SpecField('clamp place', 'Clamp place')]",
        head="from knowngood.api import SpecField, hookimpl\n",
    )
    assert [one.text for one in load().session_checks(NO_STORE, 1)] == ["clamp place"]


@pytest.mark.parametrize(
    ("answer", "told"),
    [
        ("1 / 0", "ZeroDivisionError"),
        ("None", "its hook 'session_checks' returned None instead of a list of CheckNote"),
        ("['late']", "returned a str in the place of a CheckNote"),
        ("[CheckNote('caution', 'late')]", "the level of its note on a session is a str, not a NoteLevel"),
        ("[CheckNote(REMARK, 3)]", "the text of its note on a session is a int, not a str"),
        ("[CheckNote(REMARK, ' ')]", "its note on a session says nothing"),
        (f"[CheckNote(REMARK, 'x' * {LONGEST_NOTE + 1})]", f"{LONGEST_NOTE + 1} characters long"),
    ],
)
def test_who_fails_loses_its_own_notes_and_the_reader_is_told(
    put: Put, load: Load, answer: str, told: str
) -> None:
    put("broken.py", f"@hookimpl\ndef session_checks():\n    return {answer}", head=HEAD)
    put("healthy.py", "@hookimpl\ndef session_checks():\n    return [CheckNote(REMARK, 'fine')]", head=HEAD)
    plugins = load()
    missing, fine = plugins.session_checks(NO_STORE, 1)
    assert missing.level is NoteLevel.CAUTION
    assert missing.text.startswith("The checks of the plugin 'broken' are missing")
    assert fine.text == "fine"
    words: dict[str, Any] = {
        one.name: [failure.words for failure in one.failures] for one in plugins.status()
    }
    assert words["healthy"] == []
    (said,) = words["broken"]
    assert told in said
