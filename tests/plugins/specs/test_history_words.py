"""The history in sentences: what was done in one go, and what can be undone."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from knowngood_refdata.queries.history import Change, FieldChange
from knowngood_specs.history_words import STOOD_UPON, THE_RECORD_ITSELF, history_entries

AT = datetime(2026, 3, 4, 12, 30, tzinfo=UTC)
EDIT = Change(
    7, AT, "Ada Fell", "door label", "changed", "vehicle", 1, "Tarn Skerry",
    (FieldChange("engine", "1.6", "1.6 petrol"), FieldChange("notes", "old", "")), None, stands=True,
)  # fmt: skip
NEW_VALUE = Change(
    9, AT, "Ada Fell", "misread", "added", "spec value", 4, "charge: 480 g",
    (FieldChange("vehicle", "", "Tarn Skerry"), FieldChange("value", "", "480 g")), -1, stands=True,
)  # fmt: skip
OLD_VALUE = replace(NEW_VALUE, id=8, action="deleted", row_id=3, subject="charge: 470 g", fields=())


def test_a_change_tells_field_by_field_what_stood_before_and_after() -> None:
    (entry,) = history_entries([EDIT])
    assert entry.lines == ("engine: 1.6 → 1.6 petrol", "notes: old → nothing")
    assert entry.head.endswith("Ada Fell: vehicle changed: Tarn Skerry")
    assert (entry.reason, entry.refusal) == ("door label", "")


def test_a_correction_is_one_entry_and_is_undone_as_one() -> None:
    first, second = history_entries([NEW_VALUE, OLD_VALUE, EDIT])[0], history_entries([EDIT])[0]
    assert "spec value corrected: charge: 470 g → charge: 480 g" in first.head
    assert first.lines == ("value 480 g",)
    assert first.change is NEW_VALUE
    assert second.change is EDIT


def test_two_changes_of_an_import_stay_two_entries() -> None:
    found = history_entries([replace(NEW_VALUE, together=3), replace(NEW_VALUE, id=10, together=3)])
    assert len(found) == 2


def test_what_later_changes_stand_on_says_so() -> None:
    assert history_entries([replace(EDIT, stands=False)])[0].refusal == STOOD_UPON
    assert history_entries([NEW_VALUE, replace(OLD_VALUE, stands=False)])[0].refusal == STOOD_UPON


def test_the_record_itself_is_not_taken_away_by_undoing() -> None:
    made = replace(EDIT, action="added", why="vehicle added")
    assert history_entries([made])[0].refusal == THE_RECORD_ITSELF


def test_a_reason_that_only_repeats_the_adding_is_left_out() -> None:
    assert history_entries([replace(NEW_VALUE, together=None, why="spec value added")])[0].reason == ""
    assert history_entries([replace(NEW_VALUE, together=None, why="label seen")])[0].reason == "label seen"
