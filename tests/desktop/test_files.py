"""Files that are replaced whole."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

import pytest

from knowngood.files import replace_bytes, replace_text, set_aside

if TYPE_CHECKING:
    from pathlib import Path


def test_a_file_that_cannot_be_finished_leaves_the_old_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "settings.json"
    replace_text(path, "old")

    def full(_descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        replace_text(path, "new")
    assert path.read_text("utf-8") == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_missing_folder_is_made_only_when_wanted(tmp_path: Path) -> None:
    path = tmp_path / "new folder" / "r.pdf"
    with pytest.raises(FileNotFoundError):
        replace_bytes(path, b"x", make_folder=False)
    replace_bytes(path, b"x")
    assert path.read_bytes() == b"x"


def test_a_link_stays_a_link_and_its_file_is_replaced(tmp_path: Path) -> None:
    real, link = tmp_path / "real.json", tmp_path / "link.json"
    real.write_text("old", "utf-8")
    link.symlink_to(real)
    replace_text(link, "new")
    assert link.is_symlink()
    assert real.read_text("utf-8") == "new"


def test_others_may_read_the_file_as_far_as_the_user_allows(tmp_path: Path) -> None:
    plain, replaced = tmp_path / "plain", tmp_path / "replaced"
    plain.write_bytes(b"x")
    replace_bytes(replaced, b"x")
    assert replaced.stat().st_mode == plain.stat().st_mode


def test_what_is_set_aside_keeps_its_content_and_its_ending(tmp_path: Path) -> None:
    path = tmp_path / "drafts.json"
    asides: set[Path] = set()
    for number in range(3):
        path.write_text(f"{number}", "utf-8")
        asides.add(set_aside(path))
    assert not path.exists()
    assert sorted(aside.read_text("utf-8") for aside in asides) == ["0", "1", "2"]
    assert {aside.suffix for aside in asides} == {".json"}
