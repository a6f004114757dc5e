"""Settings survive restarts, broken files and other versions of the program."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from knowngood.scales import System
from knowngood.settings import Settings, SettingsFile

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "folder that is made" / "settings.json"


def test_a_change_is_there_at_the_next_start(path: Path) -> None:
    SettingsFile(path).change(units=System.SI, user="K. Ødegård")
    again = SettingsFile(path)
    assert again.now == Settings(units=System.SI, user="K. Ødegård")
    assert again.messages == []


@pytest.mark.parametrize("broken", [b"{half", b"", b"[1, 2]", b"\xff\xfe\x00"])
def test_a_broken_file_is_kept_aside_and_named(path: Path, broken: bytes) -> None:
    path.parent.mkdir()
    path.write_bytes(broken)
    settings = SettingsFile(path)
    assert settings.now == Settings()
    (aside,) = path.parent.iterdir()
    assert aside.read_bytes() == broken
    assert str(aside) in settings.messages[0]
    settings.change(user="Ana")
    assert aside.read_bytes() == broken
    assert SettingsFile(path).now.user == "Ana"


def test_one_wrong_value_costs_only_itself(path: Path) -> None:
    path.parent.mkdir()
    path.write_text(json.dumps({"units": "furlongs", "user": "Ana", "shop": 3}), "utf-8")
    settings = SettingsFile(path)
    assert settings.now == Settings(user="Ana")
    assert sorted("'shop'" in one for one in settings.messages) == [False, True]


def test_settings_of_a_newer_version_outlive_this_one(path: Path) -> None:
    path.parent.mkdir()
    path.write_text(json.dumps({"user": "Ana", "wallpaper": "plain"}), "utf-8")
    SettingsFile(path).change(user="Bo")
    assert json.loads(path.read_text("utf-8"))["wallpaper"] == "plain"


def test_a_folder_that_cannot_be_written_is_said_and_the_change_still_holds(tmp_path: Path) -> None:
    in_the_way = tmp_path / "file"
    in_the_way.write_text("not a folder", "utf-8")
    settings = SettingsFile(in_the_way / "settings.json")
    settings.change(user="Ana")
    assert settings.now.user == "Ana"
    assert "cannot be" in settings.messages[-1]
