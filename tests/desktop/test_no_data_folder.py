"""A data folder that cannot be made costs the drafts and the settings, and nothing else."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood import app, paths
from knowngood.drafts import Drafts
from knowngood.window import MainWindow

if TYPE_CHECKING:
    from pathlib import Path

    import pytest
    from pytestqt.qtbot import QtBot


def test_the_window_opens_and_says_what_cannot_be_kept(
    data_folder: Path, library_file: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    data_folder.write_text("a file where the folder should be")
    said: list[str] = []
    monkeypatch.setattr(MainWindow, "say", lambda _self, text, **_named: said.append(text))
    assert app.run(library=str(library_file), quit_after_start=True) == 0
    assert any("Unsaved input cannot be kept" in one for one in said)
    assert data_folder.read_text() == "a file where the folder should be"


def test_drafts_without_a_folder_complain_once(data_folder: Path, qtbot: QtBot) -> None:
    data_folder.write_text("a file where the folder should be")
    drafts = Drafts(paths.drafts_file())
    drafts.keep("page", lambda: {"typed": "1"}, lambda _kept: None)
    for _ in range(3):
        assert not drafts.save()
    drafts.close()
    assert len([one for one in drafts.messages if "cannot be kept" in one]) == len(set(drafts.messages)) == 2
