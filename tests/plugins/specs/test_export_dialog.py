"""A library is written to a file through the dialog, and comes back equal."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

import pytest

from knowngood_refdata.store import Store
from knowngood_specs.library_export import Form
from knowngood_specs.panels.export_dialog import ExportDialog

from .import_steps import everything, read, settled

if TYPE_CHECKING:
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.api import Host

    from ..open_host import OpenHost
    from .import_steps import OpenImport


@pytest.mark.parametrize("form", list(Form))
def test_a_library_that_is_exported_and_imported_again_is_equal(
    qtbot: QtBot, open_import: OpenImport, host: OpenHost, skerry: int, tmp_path: Path, form: Form
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
    dialog = open_import()
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
    qtbot: QtBot, host: OpenHost, skerry: int, tmp_path: Path
) -> None:
    export = ExportDialog(cast("Host", host), words="skerry")
    qtbot.addWidget(export)
    export.write_to(tmp_path / "found.csv")
    settled(qtbot, export)
    text = (tmp_path / "found.csv").read_text("utf-8-sig")
    assert "Skerry" in text
    assert "Harrier" not in text


def test_an_export_to_a_place_that_cannot_be_written_is_told_in_words(
    qtbot: QtBot, host: OpenHost, skerry: int, tmp_path: Path
) -> None:
    export = ExportDialog(cast("Host", host))
    qtbot.addWidget(export)
    export.write_to(tmp_path / "no such folder" / "book.csv")
    settled(qtbot, export)
    assert "cannot be written" in export.told.text()
    assert export.export_button.isEnabled()
