"""A page of the program on paper."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest
from PySide6.QtPrintSupport import QPrintDialog, QPrinter

from knowngood.api import Sheet
from knowngood.reporting.page import render_sheet
from knowngood.reporting.pdf import ReportNotWritten, write_pdf
from knowngood.sheets import print_page, sheet_page

if TYPE_CHECKING:
    from pathlib import Path

    from pytestqt.qtbot import QtBot

SHEET = Sheet("Saturation", "<p>34.6 °F</p>", "Charge by weight & by the label.")


def test_the_head_names_shop_vehicle_and_moment() -> None:
    moment = datetime(2026, 5, 1, 9, 30, tzinfo=UTC)
    html = render_sheet(SHEET, shop="Quill & Daughters", vehicle="Tarn Skerry", printed_at=moment)
    for text in ("Quill &amp; Daughters", "Tarn Skerry", "2026-05-01 09:30", "34.6 °F", "weight &amp; by"):
        assert text in html


def test_without_shop_or_vehicle_no_empty_line_stands_there() -> None:
    html = sheet_page(SHEET)
    assert "Vehicle in hand" not in html
    assert 'class="shop"' not in html


def test_a_sheet_becomes_a_pdf(tmp_path: Path, qtbot: QtBot) -> None:
    sheets = write_pdf(sheet_page(SHEET), tmp_path / "sheet.pdf", title=SHEET.title)
    assert sheets == 1
    assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF")


def test_a_place_that_cannot_be_written_is_told_in_words(tmp_path: Path, qtbot: QtBot) -> None:
    with pytest.raises(ReportNotWritten, match=r"choose another place"):
        write_pdf(sheet_page(SHEET), tmp_path / "no" / "sheet.pdf", title=SHEET.title)


def printing_to(path: Path, monkeypatch: pytest.MonkeyPatch, *, accepted: bool) -> None:
    def choose(dialog: QPrintDialog) -> int:
        dialog.printer().setOutputFormat(QPrinter.OutputFormat.PdfFormat)
        dialog.printer().setOutputFileName(str(path))
        return int(accepted)

    monkeypatch.setattr(QPrintDialog, "exec", choose)


def test_the_chosen_printer_gets_the_page(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    printing_to(tmp_path / "printed.pdf", monkeypatch, accepted=True)
    assert print_page(sheet_page(SHEET), SHEET.title)
    assert len((tmp_path / "printed.pdf").read_bytes()) > 1000


def test_printing_that_was_given_up_prints_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    printing_to(tmp_path / "printed.pdf", monkeypatch, accepted=False)
    assert not print_page(sheet_page(SHEET), SHEET.title)
    assert not (tmp_path / "printed.pdf").exists()
