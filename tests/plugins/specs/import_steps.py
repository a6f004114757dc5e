"""The steps of an import, taken in the dialog, and the library before and after them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_refdata.queries import vehicles

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood_refdata.records import Vehicle
    from knowngood_refdata.store import Store
    from knowngood_specs.panels.export_dialog import ExportDialog
    from knowngood_specs.panels.import_dialog import ImportDialog

    OpenImport = Callable[[], ImportDialog]

HEADER = "Make;Model;Engine;Years;Refrigerant;Charge [g];Belt\n"
ROWS = (
    "Tarn;Skerry;1.6 petrol;2021-2023;;999;6PK1\n"
    "Gill;Linnet;1.0 petrol;2019-2020;R-1234yf;440;5PK2\n"
    "Gill;Linnet;1.4 petrol;3021;R-1234yf;440;5PK2\n"
    "Gill;Curlew;;2015;R-134a;0;\n"
)


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
