"""A library with three vehicles of invented makes, and a host with real units, bench and drafts."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import pytest

from knowngood.bench import Bench
from knowngood.drafts import Drafts
from knowngood.tasks import Tasks
from knowngood.units import System, Units
from knowngood_refdata.drafts import SpecDraft, VehicleDraft
from knowngood_refdata.queries import vehicles
from knowngood_refdata.records import SourceKind
from knowngood_refdata.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.api import (
        CheckNote,
        DerivedChannel,
        Explanation,
        LogReader,
        Measurement,
        Sheet,
        SpecField,
    )

LABEL, BOOK = SourceKind.UNDER_HOOD_LABEL, SourceKind.SERVICE_INFORMATION


@dataclass
class ShopHost:
    """What a page reaches of the program; what it says is written down."""

    store: Store
    bench: Bench
    units: Units
    drafts: Drafts
    tasks: Tasks
    said: list[str] = field(default_factory=list)
    pages: list[str] = field(default_factory=list)
    sheets: list[Sheet] = field(default_factory=list)
    brought: tuple[SpecField, ...] = ()

    def show_page(self, key: str) -> None:
        self.pages.append(key)

    def say(self, text: str) -> None:
        self.said.append(text)

    def print_sheet(self, sheet: Sheet) -> None:
        self.sheets.append(sheet)

    def derived_channels(self, refrigerant: str) -> tuple[DerivedChannel, ...]:
        return ()

    def log_readers(self) -> tuple[LogReader, ...]:
        return ()

    def setting(self, plugin: str, key: str) -> str | float | bool:
        raise KeyError(f"{plugin} {key}")

    def explanations(self) -> tuple[Explanation, ...]:
        return ()

    def measurements(self) -> tuple[Measurement, ...]:
        return ()

    def session_checks(self, session_id: int) -> tuple[CheckNote, ...]:
        return ()

    def spec_fields(self) -> tuple[SpecField, ...]:
        return self.brought


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    opened = Store.open(tmp_path / "library.sqlite", user="Ada Fell")
    yield opened
    opened.close()


@pytest.fixture
def host(qtbot: QtBot, store: Store, tmp_path: Path) -> Iterator[ShopHost]:
    drafts = Drafts(tmp_path / "drafts.json")
    tasks = Tasks()
    yield ShopHost(store, Bench(), Units(System.SI), drafts, tasks)
    assert tasks.close()
    drafts.close()


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
