"""What was typed but not saved comes back, whatever happened in between."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest

from knowngood.drafts import Drafts

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.draft_file import Draft


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "drafts.json"


@pytest.fixture
def start(qapp: object, path: Path) -> Iterator[Callable[[], Drafts]]:
    """Starts the program anew: ends the one before and takes up the same file."""
    made: list[Drafts] = []

    def start() -> Drafts:
        for one in made:
            one.close()
        made.append(Drafts(path, save_every_ms=20))
        return made[-1]

    yield start
    for one in made:
        one.close()


class Form:
    """A page with one field."""

    def __init__(self, typed: object = "") -> None:
        self.typed = typed

    def snapshot(self) -> dict[str, Any] | None:
        return {"typed": self.typed} if self.typed else None

    def restore(self, draft: dict[str, Any]) -> None:
        self.typed = draft["typed"]


def keep(drafts: Drafts, form: Form, key: str = "specs") -> Form:
    drafts.keep(key, form.snapshot, form.restore)
    return form


def test_what_was_typed_comes_back_at_the_next_start(start: Callable[[], Drafts]) -> None:
    drafts = start()
    keep(drafts, Form("470 g"))
    drafts.save()
    assert keep(start(), Form()).typed == "470 g"


def test_it_is_saved_by_itself_within_moments(qtbot: QtBot, start: Callable[[], Drafts], path: Path) -> None:
    drafts = start()
    keep(drafts, Form("470 g"))
    qtbot.waitUntil(path.exists)
    assert drafts.waiting == ()
    assert json.loads(path.read_text("utf-8")) == {"specs": {"typed": "470 g"}}


def test_a_page_that_is_not_opened_keeps_its_draft(start: Callable[[], Drafts]) -> None:
    first = start()
    keep(first, Form("470 g"))
    first.save()
    second = start()
    keep(second, Form("as found"), "sessions")
    second.save()
    assert second.waiting == ("specs",)
    assert keep(start(), Form()).typed == "470 g"


def test_a_saved_form_leaves_no_draft(start: Callable[[], Drafts]) -> None:
    drafts = start()
    form = keep(drafts, Form("470 g"))
    drafts.save()
    form.typed = ""
    drafts.forget("specs")
    drafts.save()
    assert start().waiting == ()


def test_emptying_a_form_drops_its_draft(start: Callable[[], Drafts]) -> None:
    drafts = start()
    form = keep(drafts, Form("470 g"))
    drafts.save()
    form.typed = ""
    drafts.save()
    assert start().waiting == ()


def test_a_page_whose_snapshot_fails_costs_neither_others_nor_its_last_draft(
    start: Callable[[], Drafts],
) -> None:
    drafts = start()
    broken = keep(drafts, Form("470 g"))
    other = keep(drafts, Form("as found"), "sessions")
    drafts.save()
    broken.typed = object()  # what JSON cannot hold
    other.typed = "as left"
    assert not drafts.save()
    assert not drafts.save()
    assert len(drafts.messages) == 1
    assert "'specs'" in drafts.messages[0]
    later = start()
    assert keep(later, Form()).typed == "470 g"
    assert keep(later, Form(), "sessions").typed == "as left"


def test_a_draft_that_no_longer_fits_is_kept_in_a_file_and_named(
    start: Callable[[], Drafts], path: Path
) -> None:
    drafts = start()
    keep(drafts, Form("470 g"))
    drafts.save()
    later = start()

    def refuse(draft: Draft) -> None:
        raise KeyError("charge")

    later.keep("specs", lambda: None, refuse)
    later.save()
    (aside,) = [one for one in path.parent.iterdir() if "not-restored" in one.name]
    assert json.loads(aside.read_text("utf-8")) == {"specs": {"typed": "470 g"}}
    assert str(aside) in later.messages[0]


@pytest.mark.parametrize("broken", [b"{half", b"\xff\xff", b'{"specs": 3}'])
def test_a_broken_file_is_kept_aside(start: Callable[[], Drafts], path: Path, broken: bytes) -> None:
    path.write_bytes(broken)
    drafts = start()
    (aside,) = path.parent.glob("drafts-unreadable*")
    assert aside.read_bytes() == broken
    assert str(aside) in drafts.messages[0]


def test_a_draft_is_a_copy_of_what_the_page_handed_over(start: Callable[[], Drafts]) -> None:
    drafts = start()
    held = {"rows": [1]}
    drafts.keep("specs", lambda: held, lambda draft: None)
    drafts.save()
    drafts.close()
    held["rows"].append(2)
    got: list[Draft] = []
    start().keep("specs", lambda: None, got.append)
    assert got == [{"rows": [1]}]


def test_two_windows_at_once_do_not_overwrite_each_others_drafts(qapp: object, path: Path) -> None:
    first = Drafts(path)
    second = Drafts(path)
    keep(first, Form("in the first"))
    keep(second, Form("in the second"), "sessions")
    first.save()
    second.save()
    first.save()
    first.close()
    second.close()
    after = Drafts(path)
    assert keep(after, Form()).typed == "in the first"
    assert keep(after, Form(), "sessions").typed == "in the second"
    after.close()


def test_the_same_page_typed_into_in_two_windows_loses_neither(qapp: object, path: Path) -> None:
    first, second = Drafts(path), Drafts(path)
    keep(first, Form("in the first"))
    keep(second, Form("in the second"))
    first.close()
    second.close()
    one, two = Drafts(path), Drafts(path)
    assert {keep(one, Form()).typed, keep(two, Form()).typed} == {"in the first", "in the second"}
    one.close()
    two.close()


def test_a_folder_that_cannot_be_written_is_said(qapp: object, tmp_path: Path) -> None:
    drafts = Drafts(tmp_path / "drafts.json")
    form = keep(drafts, Form("470 g"))
    assert drafts.save()
    (tmp_path / "drafts.json").unlink()
    (tmp_path / "drafts.json").mkdir()
    form.typed = "480 g"
    assert not drafts.save()
    assert "cannot be kept" in drafts.messages[0]
    drafts.close()
