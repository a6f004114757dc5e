"""The trial of an import: what is decided about doubted rows, kept until later, and reported."""

from __future__ import annotations

import csv
from typing import TYPE_CHECKING

import pytest
from PySide6.QtWidgets import QFileDialog

from knowngood.units import System
from knowngood_refdata.queries import vehicles
from knowngood_specs.core.importing.targets import Meaning, Target

from .import_steps import HEADER, settled, tried

if TYPE_CHECKING:
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from ..open_host import OpenHost
    from .import_steps import OpenImport


@pytest.mark.parametrize("as_new", [True, False])
def test_a_doubted_row_goes_where_it_is_decided_to_go(
    qtbot: QtBot, open_import: OpenImport, host: OpenHost, skerry: int, price_list: Path, *, as_new: bool
) -> None:
    dialog = open_import()
    tried(qtbot, dialog, price_list)
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
    qtbot: QtBot, open_import: OpenImport, skerry: int, price_list: Path
) -> None:
    dialog = open_import()
    tried(qtbot, dialog, price_list)
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
    qtbot: QtBot, open_import: OpenImport, host: OpenHost, skerry: int, price_list: Path
) -> None:
    first = open_import()
    tried(qtbot, first, price_list)
    assert first.mapping is not None and first.trial is not None  # noqa: PT018 - for the type checker
    first.go_back()
    first.mapping.take(6, Meaning(Target.PRINTED, "belt"))
    first.go_on()
    settled(qtbot, first)
    first.trial.view.selectAll()
    first.trial.new_button.click()
    first.reject()
    second = open_import()
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


def test_the_trial_follows_the_unit_system_and_markup_stays_text(
    qtbot: QtBot, open_import: OpenImport, host: OpenHost, tmp_path: Path
) -> None:
    path = tmp_path / "one.csv"
    path.write_text(f"{HEADER}Gill;<b>Linnet</b>;1.0 petrol;2019;R-1234yf;440;\n", encoding="utf-8")
    dialog = open_import()
    tried(qtbot, dialog, path)
    assert dialog.trial is not None
    table = dialog.trial.table
    assert table.cell(0, 4) == "Refrigerant R-1234yf; Charge weight 440 g"
    host.units.set_system(System.US)
    assert table.cell(0, 4) == "Refrigerant R-1234yf; Charge weight 440 g (15.5 oz)"
    assert "<b>Linnet</b>" in table.cell(0, 3)


def test_the_report_holds_a_line_for_every_row_of_the_file(
    qtbot: QtBot,
    open_import: OpenImport,
    skerry: int,
    price_list: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    report = tmp_path / "report.csv"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(report), ""))
    dialog = open_import()
    tried(qtbot, dialog, price_list)
    assert dialog.trial is not None
    dialog.trial.report_button.click()
    settled(qtbot, dialog)
    with report.open(encoding="utf-8-sig", newline="") as written:
        head, *lines = csv.reader(written)
    assert head[:2] == ["Row", "Outcome"]
    assert [(int(line[0]), line[1]) for line in lines] == [
        (2, "doubted"), (3, "added"), (4, "refused"), (5, "refused"),
    ]  # fmt: skip
