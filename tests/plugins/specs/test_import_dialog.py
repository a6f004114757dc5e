"""The whole way of a file into the library, through the dialog."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from xlsxwriter import Workbook

from knowngood_refdata.queries import imports, vehicles
from knowngood_refdata.records import SourceKind
from knowngood_specs.core.importing.plan import Outcome

from .import_steps import HEADER, everything, read, said, settled, stored, tried

if TYPE_CHECKING:
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from ..open_host import OpenHost
    from .import_steps import OpenImport


def test_a_file_is_tried_out_imported_and_undone_as_a_whole(
    qtbot: QtBot, open_import: OpenImport, host: OpenHost, skerry: int, price_list: Path
) -> None:
    before = everything(host.store)
    dialog = open_import()
    tried(qtbot, dialog, price_list)
    assert dialog.trial is not None
    counts = dialog.trial.tried.plan.counts
    assert (counts[Outcome.ADDED], counts[Outcome.DOUBTED], counts[Outcome.REFUSED]) == (1, 1, 2)
    assert everything(host.store) == before
    with qtbot.waitSignal(dialog.changed):
        dialog.go_on()
    settled(qtbot, dialog)
    (added,) = vehicles.search(host.store, "linnet")
    charge = added.spec("charge")
    assert charge is not None
    assert charge.value == pytest.approx(0.440)
    assert (charge.source_kind, charge.citation) == (SourceKind.UNDER_HOOD_LABEL, "photographed labels")
    assert len(vehicles.vehicle(host.store, skerry).specs["charge"]) == 2
    dialog.done_step.reason.line.setText("wrong file")
    dialog.done_step.reason.button.click()
    settled(qtbot, dialog)
    assert everything(host.store) == before
    assert "1 vehicle" in dialog.done_step.remark.text()


def test_an_earlier_import_can_be_undone_from_the_list(
    qtbot: QtBot, open_import: OpenImport, host: OpenHost, skerry: int, price_list: Path
) -> None:
    before = everything(host.store)
    stored(qtbot, open_import(), price_list)
    later = open_import()
    assert later.start.list.rows.rowCount() == 1
    later.start.reason.line.setText("entered twice")
    later.start.reason.button.click()
    settled(qtbot, later)
    assert everything(host.store) == before
    assert not later.start.reason.button.isEnabled()
    (info,) = imports.imports(host.store)
    assert info.undone_at is not None


def test_the_next_file_of_a_layout_needs_no_questions(
    qtbot: QtBot, open_import: OpenImport, host: OpenHost, tmp_path: Path, price_list: Path
) -> None:
    first = open_import()
    read(qtbot, first, price_list)
    assert first.mapping is not None
    asked = [one.words for one in first.mapping.opened.proposal.questions]
    assert any("Where do these values come from" in one for one in asked)
    stored(qtbot, first, price_list)
    other = tmp_path / "other.csv"
    other.write_text(f"{HEADER}Gill;Plover;2.0 diesel;2016;R-134a;700;\n", encoding="utf-8")
    second = open_import()
    read(qtbot, second, other)
    assert second.mapping is not None
    assert second.mapping.opened.remembered
    assert second.mapping.mapping.source.kind == "under-hood label"


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"\x89PNG\r\n\x1a\n" + bytes(200), "picture"),
        (b"PK\x03\x04 no workbook", "Nothing was imported"),
        (b"one column\nof words\n", "no table"),
        (None, "cannot be opened"),
    ],
)
def test_a_file_that_cannot_be_read_is_told_in_words(
    qtbot: QtBot, open_import: OpenImport, tmp_path: Path, content: bytes | None, words: str
) -> None:
    path = tmp_path / "bad.xlsx"
    if content is not None:
        path.write_bytes(content)
    dialog = open_import()
    read(qtbot, dialog, path)
    assert words in said(dialog)
    assert dialog.start.isVisible()
    assert dialog.mapping is None


def test_a_damaged_exchange_file_is_told_in_words_and_leaves_nothing(
    qtbot: QtBot, open_import: OpenImport, host: OpenHost, tmp_path: Path
) -> None:
    path = tmp_path / "book.json"
    path.write_text('{"format": "knowngood library", "version": 1, "records": [\n{"record": "maker"', "utf-8")
    dialog = open_import()
    read(qtbot, dialog, path)
    dialog.go_on()
    settled(qtbot, dialog)
    assert "Nothing was imported" in said(dialog)
    assert imports.imports(host.store) == ()
    assert dialog.exchange is not None
    assert dialog.exchange.isVisible()


def test_another_sheet_of_a_workbook_can_be_chosen(
    qtbot: QtBot, open_import: OpenImport, tmp_path: Path
) -> None:
    path = tmp_path / "book.xlsx"
    with Workbook(path) as book:
        for name, make in (("Cars", "Gill"), ("Vans", "Moor")):
            sheet = book.add_worksheet(name)
            sheet.write_row(0, 0, ("Make", "Model", "Year"))
            sheet.write_row(1, 0, (make, "Linnet", 2020))
    dialog = open_import()
    read(qtbot, dialog, path)
    assert dialog.mapping is not None
    assert dialog.mapping.preview.cell(0, 1) == "Gill Linnet, 2020"
    dialog.mapping.sheet.textActivated.emit("Vans")
    settled(qtbot, dialog)
    assert dialog.mapping.preview.cell(0, 1) == "Moor Linnet, 2020"


def test_stopping_an_import_leaves_the_library_as_it_was(
    qtbot: QtBot, open_import: OpenImport, host: OpenHost, tmp_path: Path
) -> None:
    path = tmp_path / "long.csv"
    rows = (f"Gill;Linnet {number};1.0 petrol;2019;R-1234yf;440;\n" for number in range(800))
    path.write_text(HEADER + "".join(rows), encoding="utf-8")
    dialog = open_import()
    tried(qtbot, dialog, path)
    dialog.go_on()
    dialog.reject()
    settled(qtbot, dialog)
    assert dialog.isVisible()
    assert dialog.trial is not None
    assert dialog.trial.isVisible()
    assert "Stopped" in said(dialog)
    assert (vehicles.count(host.store), imports.imports(host.store)) == (0, ())
