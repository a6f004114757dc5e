"""A session is cut into parts, and what is shown is written to files."""

from __future__ import annotations

import csv
from typing import TYPE_CHECKING

import pytest
from PySide6.QtGui import QImage

from knowngood_refdata.queries import sessions
from knowngood_sessions.panels.marks_dialogs import CutDialog, SplitDialog
from knowngood_sessions.plugin import settings

from .the_page import settle, shown_number

if TYPE_CHECKING:
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood_sessions.panels.plotter import PlotterPage

    from ..conftest import QuietHost


def test_a_part_is_kept_and_the_original_stays(page: PlotterPage, quiet: QuietHost, qtbot: QtBot) -> None:
    whole = shown_number(page)
    page.view.plot.show_range(260.0, 510.0)
    page.view.tools.cut_wanted.emit()
    dialog = page.cuts.dialog
    assert isinstance(dialog, CutDialog)
    dialog.title.setText("forced fan")
    dialog.accept()
    qtbot.waitUntil(lambda: shown_number(page) != whole, timeout=10_000)
    settle(page, quiet, qtbot)
    assert page.view.session is not None
    assert page.view.session.info.title == "forced fan"
    assert page.view.session.info.duration_s == pytest.approx(250.0, abs=2.0)
    assert sessions.info(quiet.store, whole).sample_count == 780
    assert page.bar.sessions_box.currentText().startswith("forced fan (part)")


def test_a_session_is_split_at_the_cursor(page: PlotterPage, quiet: QuietHost, qtbot: QtBot) -> None:
    whole = shown_number(page)
    page.view.plot.set_cursor(500.0)
    page.view.tools.split_wanted.emit()
    dialog = page.cuts.dialog
    assert isinstance(dialog, SplitDialog)
    dialog.titles[0].setText(" ")
    dialog.accept()
    assert "needs a title" in dialog.problem.text()
    dialog.titles[0].setText("before")
    dialog.accept()
    qtbot.waitUntil(lambda: shown_number(page) != whole, timeout=10_000)
    settle(page, quiet, qtbot)
    assert len(sessions.list_sessions(quiet.store)) == 3


def test_what_is_shown_is_written_as_a_picture_and_as_a_table(
    page: PlotterPage, quiet: QuietHost, tmp_path: Path, qtbot: QtBot
) -> None:
    page.view.plot.show_range(100.0, 160.0)
    page.export.write_picture(tmp_path / "plots.png")
    picture = QImage(str(tmp_path / "plots.png"))
    assert picture.width() >= page.view.plot.width()
    page.export.write_picture(tmp_path / "plots.svg")
    assert b"<svg" in (tmp_path / "plots.svg").read_bytes()
    span = page.view.shown_span()
    page.export.write_table(tmp_path / "part.csv")
    qtbot.waitUntil(lambda: any("part.csv" in one for one in quiet.said), timeout=10_000)
    with (tmp_path / "part.csv").open(encoding="utf-8-sig", newline="") as file:
        head, *rows = csv.reader(file)
    assert "low side (psig)" in head
    assert span[0] <= float(rows[0][0]) <= float(rows[-1][0]) <= span[1]
    page.export.write_table(tmp_path / "gone" / "part.csv")
    qtbot.waitUntil(lambda: "cannot be written" in page._message.text(), timeout=10_000)


def test_numbers_in_a_table_are_written_as_the_settings_say(
    page: PlotterPage, quiet: QuietHost, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (setting,) = settings()
    monkeypatch.setattr(quiet, "setting", lambda _plugin, _key: setting.choices[1])
    page.export.write_table(tmp_path / "part.csv")
    qtbot.waitUntil(lambda: any("part.csv" in one for one in quiet.said), timeout=10_000)
    head = (tmp_path / "part.csv").read_text(encoding="utf-8-sig").partition("\n")[0]
    assert head.startswith("Time (s);")
