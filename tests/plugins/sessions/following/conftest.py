"""A host without its window, and a log that a thread writes as a logger does."""

from __future__ import annotations

import threading
import time
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
from knowngood_sessions.own_channels import own_channels

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
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
    from knowngood_refdata.records import Vehicle


class ShopHost:
    """What a page is given."""

    def __init__(self, folder: Path) -> None:
        self.store = Store.open(folder / "library.sqlite", user="R. Moss")
        self.bench = Bench(find_vehicle=lambda number: vehicles.vehicle(self.store, number))
        self.units = Units(System.US)
        self.tasks = Tasks()
        self.drafts = Drafts(folder / "drafts.json")
        self.said: list[str] = []

    def show_page(self, key: str) -> None:
        self.said.append(key)

    def say(self, text: str) -> None:
        self.said.append(text)

    def user(self) -> str:
        return "R. Moss"

    def report_html(self, session_id: int) -> str:
        return f"<p>{session_id}</p>"

    def print_report(self, session_id: int, path: Path) -> None:
        path.write_text(self.report_html(session_id))

    def sheet_pdf(self, sheet: Sheet, path: Path) -> None:
        path.write_text(sheet.html)

    def print_sheet(self, sheet: Sheet) -> None:
        self.said.append(sheet.title)

    def spec_fields(self) -> tuple[SpecField, ...]:
        return ()

    def derived_channels(self, refrigerant: str) -> tuple[DerivedChannel, ...]:
        return own_channels(refrigerant)

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

    def close(self) -> None:
        self.drafts.close()
        self.tasks.close()
        self.store.close()

    def add_vehicle(self) -> Vehicle:
        label = SpecDraft("refrigerant", None, "R-134a", SourceKind.UNDER_HOOD_LABEL, "label")
        draft = VehicleDraft("Tarn", "Skerry", "1.6 petrol", 2021, specs=(label,))
        return vehicles.vehicle(self.store, vehicles.add_vehicle(self.store, draft))


class Logger(threading.Thread):
    """Writes pieces to a file, one after the other, as a logger that flushes when it likes."""

    def __init__(self, path: Path, pieces: Sequence[bytes], pause_s: float = 0.02) -> None:
        super().__init__(name="logger")
        self.path, self.pieces, self.pause_s = path, pieces, pause_s

    def run(self) -> None:
        for piece in self.pieces:
            with self.path.open("ab") as file:
                file.write(piece)
            time.sleep(self.pause_s)


@pytest.fixture
def host(qtbot: QtBot, tmp_path: Path) -> Iterator[ShopHost]:
    opened = ShopHost(tmp_path)
    yield opened
    opened.close()


@pytest.fixture
def logger() -> type[Logger]:
    return Logger
