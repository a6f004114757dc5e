"""A library with three vehicles of invented makes, and a host with real units, bench and drafts."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

import pytest

from knowngood.units import System
from knowngood_refdata.drafts import SpecDraft, VehicleDraft
from knowngood_refdata.queries import vehicles
from knowngood_refdata.records import SourceKind
from knowngood_refdata.store import Store
from knowngood_specs.panels.import_dialog import ImportDialog

from ..open_host import OpenHost
from .import_steps import HEADER, ROWS
from .the_record import shown

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.api import Host
    from knowngood_specs.panels.record import RecordView

    from .import_steps import OpenImport

LABEL, BOOK = SourceKind.UNDER_HOOD_LABEL, SourceKind.SERVICE_INFORMATION


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    opened = Store.open(tmp_path / "library.sqlite", user="Ada Fell")
    yield opened
    opened.close()


@pytest.fixture
def host(qtbot: QtBot, store: Store, tmp_path: Path) -> Iterator[OpenHost]:
    opened = OpenHost(store, tmp_path, System.SI)
    yield opened
    opened.close()


@pytest.fixture
def skerry(store: Store) -> int:
    """A vehicle whose label and workshop book disagree about the charge; two others beside it."""
    for make, model, gas in (("Fen", "Harrier", "R-134a"), ("Moor", "Combe", "R-1234yf")):
        gas_draft = SpecDraft("refrigerant", None, gas, LABEL, "label")
        vehicles.add_vehicle(store, VehicleDraft(make, model, "2.0 diesel", 2015, 2019, specs=(gas_draft,)))
    return vehicles.add_vehicle(
        store,
        VehicleDraft(
            "Tarn",
            "Skerry",
            "1.6 petrol",
            2021,
            2023,
            specs=(
                SpecDraft("charge", 0.5, "500 g", BOOK, "Tarn workshop data, section 82", revision="B"),
                SpecDraft("charge", 0.470, "470 ± 15 g", LABEL, "photographed", tolerance=0.015),
                SpecDraft("refrigerant", None, "R-1234yf", LABEL, "photographed"),
            ),
        ),
    )


@pytest.fixture
def view(qtbot: QtBot, host: OpenHost, skerry: int) -> RecordView:
    """The record of that vehicle."""
    view = shown(qtbot, host)
    view.show_vehicle(vehicles.vehicle(host.store, skerry))
    return view


@pytest.fixture
def price_list(tmp_path: Path) -> Path:
    """Four vehicles: one on record with another charge, one new, two that cannot be used."""
    path = tmp_path / "list & prices.csv"
    path.write_text(HEADER + ROWS, encoding="utf-8")
    return path


@pytest.fixture
def open_import(qtbot: QtBot, host: OpenHost) -> OpenImport:
    """Call it for another dialog to import with."""

    def open_dialog() -> ImportDialog:
        dialog = ImportDialog(cast("Host", host))
        qtbot.addWidget(dialog)
        dialog.show()
        return dialog

    return open_dialog
