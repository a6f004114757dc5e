"""The whole way of a file into the library and out of it again, through the dialogs."""

from __future__ import annotations

import csv
from typing import TYPE_CHECKING, cast

import pytest
from PySide6.QtWidgets import QFileDialog
from xlsxwriter import Workbook

from knowngood.units import System
from knowngood_refdata.queries import imports, vehicles
from knowngood_refdata.records import SourceKind
from knowngood_refdata.store import Store
from knowngood_specs.core.importing.plan import Outcome
from knowngood_specs.core.importing.targets import Meaning, Target
from knowngood_specs.library_export import Form
from knowngood_specs.panels.export_dialog import ExportDialog
from knowngood_specs.panels.import_dialog import ImportDialog

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.api import Host
    from knowngood_refdata.records import Vehicle

    from .conftest import ShopHost

    Opened = Callable[[], ImportDialog]

HEADER = "Make;Model;Engine;Years;Refrigerant;Charge [g];Belt\n"
ROWS = (
    "Tarn;Skerry;1.6 petrol;2021-2023;;999;6PK1\n"
    "Gill;Linnet;1.0 petrol;2019-2020;R-1234yf;440;5PK2\n"
    "Gill;Linnet;1.4 petrol;3021;R-1234yf;440;5PK2\n"
    "Gill;Curlew;;2015;R-134a;0;\n"
)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "list & prices.csv"
    path.write_text(HEADER + ROWS, encoding="utf-8")
    return path


@pytest.fixture
def opened(qtbot: QtBot, host: ShopHost) -> Opened:
    def open_dialog() -> ImportDialog:
        dialog = ImportDialog(cast("Host", host))
        qtbot.addWidget(dialog)
        dialog.show()
        return dialog

    return open_dialog


def read(qtbot: QtBot, dialog: ImportDialog, path: Path) -> None:
    dialog.open_path(path)
    settled(qtbot, dialog)


def settled(qtbot: QtBot, dialog: ImportDialog | ExportDialog) -> None:
    qtbot.waitUntil(lambda: not dialog.working.busy)


def tried(qtbot: QtBot, dialog: ImportDialog, path: Path) -> None:
    """Read a file, name the label as its source, and try it out."""
    read(qtbot, dialog, path)
    assert dialog.mapping is not None
    dialog.mapping.kind.setCurrentIndex(dialog.mapping.kind.findData("under-hood label"))
    dialog.mapping.citation.setText("photographed labels")
    dialog.go_on()
    settled(qtbot, dialog)


def stored(qtbot: QtBot, dialog: ImportDialog, path: Path) -> None:
    tried(qtbot, dialog, path)
    dialog.go_on()
    settled(qtbot, dialog)


def said(dialog: ImportDialog) -> str:
    return dialog._trouble.text()


def everything(store: Store, decimals: int = 20) -> list[tuple[object, ...]]:
    """The vehicles with their values, without the numbers that a library gives them."""

    def rounded(value: float | None) -> float | None:
        return None if value is None else round(value, decimals)

    def values(one: Vehicle) -> list[tuple[object, ...]]:
        return sorted(
            (
                *(v.field, v.as_printed, v.source_kind, v.citation, v.revision, v.page, v.reviewed_by),
                *(rounded(v.value), rounded(v.tolerance)),
            )
            for held in one.specs.values()
            for v in held
        )

    return [(one.name, one.maker, one.family, one.notes, values(one)) for one in vehicles.search(store)]


def test_a_file_is_tried_out_imported_and_undone_as_a_whole(
    qtbot: QtBot, opened: Opened, host: ShopHost, skerry: int, file: Path
) -> None:
    before = everything(host.store)
    dialog = opened()
    tried(qtbot, dialog, file)
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
    qtbot: QtBot, opened: Opened, host: ShopHost, skerry: int, file: Path
) -> None:
    before = everything(host.store)
    stored(qtbot, opened(), file)
    later = opened()
    assert later.start.list.rows.rowCount() == 1
    later.start.reason.line.setText("entered twice")
    later.start.reason.button.click()
    settled(qtbot, later)
    assert everything(host.store) == before
    assert not later.start.reason.button.isEnabled()
    (info,) = imports.imports(host.store)
    assert info.undone_at is not None


@pytest.mark.parametrize("as_new", [True, False])
def test_a_doubted_row_goes_where_it_is_decided_to_go(
    qtbot: QtBot, opened: Opened, host: ShopHost, skerry: int, file: Path, *, as_new: bool
) -> None:
    dialog = opened()
    tried(qtbot, dialog, file)
    trial = dialog.trial
    assert trial is not None
    (doubted,) = trial.table.doubted(range(trial.table.count()))
    assert "differs from" in doubted.reason
    (trial.new_button if as_new else trial.held_button).click()
    dialog.go_on()
    settled(qtbot, dialog)
    held = vehicles.vehicle(host.store, skerry).specs["charge"]
    found = vehicles.search(host.store, "tarn skerry")
    assert [one.as_printed for one in held] == ["470 ± 15 g", *([] if as_new else ["999 g"]), "500 g"]
    assert len(found) == (2 if as_new else 1)


def test_a_decision_can_be_taken_back_and_the_row_stays_out(
    qtbot: QtBot, opened: Opened, skerry: int, file: Path
) -> None:
    dialog = opened()
    tried(qtbot, dialog, file)
    trial = dialog.trial
    assert trial is not None
    trial.view.selectAll()
    trial.new_button.click()
    assert trial.to_store == 2
    assert dialog.next_button.text() == "&Import 2 rows"
    trial.view.selectAll()
    trial.out_button.click()
    assert (trial.to_store, trial.decisions) == (1, {})


def test_what_was_mapped_and_decided_survives_closing_the_dialog(
    qtbot: QtBot, opened: Opened, host: ShopHost, skerry: int, file: Path
) -> None:
    first = opened()
    tried(qtbot, first, file)
    assert first.mapping is not None and first.trial is not None  # noqa: PT018 - for the type checker
    first.go_back()
    first.mapping.take(6, Meaning(Target.PRINTED, "belt"))
    first.go_on()
    settled(qtbot, first)
    first.trial.view.selectAll()
    first.trial.new_button.click()
    first.reject()
    second = opened()
    assert "list & prices.csv" in second.start.resume_button.text().replace("&&", "&")
    second.start.resume_button.click()
    settled(qtbot, second)
    assert second.mapping is not None
    assert second.mapping.mapping.of(6).meaning.of == "belt"
    assert second.mapping.citation.text() == "photographed labels"
    second.go_on()
    settled(qtbot, second)
    assert second.trial is not None
    assert second.trial.decisions == first.trial.decisions != {}


def test_the_next_file_of_a_layout_needs_no_questions(
    qtbot: QtBot, opened: Opened, host: ShopHost, tmp_path: Path, file: Path
) -> None:
    first = opened()
    read(qtbot, first, file)
    assert first.mapping is not None
    asked = [one.words for one in first.mapping.opened.proposal.questions]
    assert any("Where do these values come from" in one for one in asked)
    stored(qtbot, first, file)
    other = tmp_path / "other.csv"
    other.write_text(f"{HEADER}Gill;Plover;2.0 diesel;2016;R-134a;700;\n", encoding="utf-8")
    second = opened()
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
    qtbot: QtBot, opened: Opened, tmp_path: Path, content: bytes | None, words: str
) -> None:
    path = tmp_path / "bad.xlsx"
    if content is not None:
        path.write_bytes(content)
    dialog = opened()
    read(qtbot, dialog, path)
    assert words in said(dialog)
    assert dialog.start.isVisible()
    assert dialog.mapping is None


def test_a_damaged_exchange_file_is_told_in_words_and_leaves_nothing(
    qtbot: QtBot, opened: Opened, host: ShopHost, tmp_path: Path
) -> None:
    path = tmp_path / "book.json"
    path.write_text('{"format": "knowngood library", "version": 1, "records": [\n{"record": "maker"', "utf-8")
    dialog = opened()
    read(qtbot, dialog, path)
    dialog.go_on()
    settled(qtbot, dialog)
    assert "Nothing was imported" in said(dialog)
    assert imports.imports(host.store) == ()
    assert dialog.exchange is not None
    assert dialog.exchange.isVisible()


def test_another_sheet_of_a_workbook_can_be_chosen(qtbot: QtBot, opened: Opened, tmp_path: Path) -> None:
    path = tmp_path / "book.xlsx"
    with Workbook(path) as book:
        for name, make in (("Cars", "Gill"), ("Vans", "Moor")):
            sheet = book.add_worksheet(name)
            sheet.write_row(0, 0, ("Make", "Model", "Year"))
            sheet.write_row(1, 0, (make, "Linnet", 2020))
    dialog = opened()
    read(qtbot, dialog, path)
    assert dialog.mapping is not None
    assert dialog.mapping.preview.cell(0, 1) == "Gill Linnet, 2020"
    dialog.mapping.sheet.textActivated.emit("Vans")
    settled(qtbot, dialog)
    assert dialog.mapping.preview.cell(0, 1) == "Moor Linnet, 2020"


def test_stopping_an_import_leaves_the_library_as_it_was(
    qtbot: QtBot, opened: Opened, host: ShopHost, tmp_path: Path
) -> None:
    path = tmp_path / "long.csv"
    rows = (f"Gill;Linnet {number};1.0 petrol;2019;R-1234yf;440;\n" for number in range(800))
    path.write_text(HEADER + "".join(rows), encoding="utf-8")
    dialog = opened()
    tried(qtbot, dialog, path)
    dialog.go_on()
    dialog.reject()
    settled(qtbot, dialog)
    assert dialog.isVisible()
    assert dialog.trial is not None
    assert dialog.trial.isVisible()
    assert "Stopped" in said(dialog)
    assert (vehicles.count(host.store), imports.imports(host.store)) == (0, ())


def test_the_trial_follows_the_unit_system_and_markup_stays_text(
    qtbot: QtBot, opened: Opened, host: ShopHost, tmp_path: Path
) -> None:
    path = tmp_path / "one.csv"
    path.write_text(f"{HEADER}Gill;<b>Linnet</b>;1.0 petrol;2019;R-1234yf;440;\n", encoding="utf-8")
    dialog = opened()
    tried(qtbot, dialog, path)
    assert dialog.trial is not None
    table = dialog.trial.table
    assert table.cell(0, 4) == "Refrigerant R-1234yf; Charge weight 440 g"
    host.units.set_system(System.US)
    assert table.cell(0, 4) == "Refrigerant R-1234yf; Charge weight 440 g (15.5 oz)"
    assert "<b>Linnet</b>" in table.cell(0, 3)


def test_the_report_holds_a_line_for_every_row_of_the_file(
    qtbot: QtBot, opened: Opened, skerry: int, file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    report = tmp_path / "report.csv"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(report), ""))
    dialog = opened()
    tried(qtbot, dialog, file)
    assert dialog.trial is not None
    dialog.trial.report_button.click()
    settled(qtbot, dialog)
    with report.open(encoding="utf-8-sig", newline="") as written:
        head, *lines = csv.reader(written)
    assert head[:2] == ["Row", "Outcome"]
    assert [(int(line[0]), line[1]) for line in lines] == [
        (2, "doubted"), (3, "added"), (4, "refused"), (5, "refused"),
    ]  # fmt: skip


@pytest.mark.parametrize("form", list(Form))
def test_a_library_that_is_exported_and_imported_again_is_equal(
    qtbot: QtBot, opened: Opened, host: ShopHost, skerry: int, tmp_path: Path, form: Form
) -> None:
    # A table holds weights in grams, an exchange file the very numbers of the library.
    decimals = 20 if form is Form.EXCHANGE else 12
    before = everything(host.store, decimals)
    path = tmp_path / f"book.{form.name.lower()}"
    export = ExportDialog(cast("Host", host))
    qtbot.addWidget(export)
    export.form.setCurrentIndex(export.form.findData(form))
    export.write_to(path)
    settled(qtbot, export)
    assert path.is_file()
    host.store.close()
    host.store = Store.open(tmp_path / "second.sqlite", user="Ada Fell")
    dialog = opened()
    read(qtbot, dialog, path)
    dialog.go_on()
    settled(qtbot, dialog)
    if dialog.trial is not None:
        # Label and book differ about a charge: that is asked, whatever file it comes from.
        dialog.trial.view.selectAll()
        dialog.trial.new_button.click()
        assert dialog.trial.to_store == len(dialog.trial.tried.plan.rows)
        dialog.go_on()
        settled(qtbot, dialog)
    assert everything(host.store, decimals) == before
    host.store.close()


def test_only_what_the_search_finds_is_exported(
    qtbot: QtBot, host: ShopHost, skerry: int, tmp_path: Path
) -> None:
    export = ExportDialog(cast("Host", host), words="skerry")
    qtbot.addWidget(export)
    export.write_to(tmp_path / "found.csv")
    settled(qtbot, export)
    text = (tmp_path / "found.csv").read_text("utf-8-sig")
    assert "Skerry" in text
    assert "Harrier" not in text


def test_an_export_to_a_place_that_cannot_be_written_is_told_in_words(
    qtbot: QtBot, host: ShopHost, skerry: int, tmp_path: Path
) -> None:
    export = ExportDialog(cast("Host", host))
    qtbot.addWidget(export)
    export.write_to(tmp_path / "no such folder" / "book.csv")
    settled(qtbot, export)
    assert "cannot be written" in export.told.text()
    assert export.export_button.isEnabled()
