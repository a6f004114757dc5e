"""What a page is given, without the window around it and without other plugins."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.bench import Bench
from knowngood.drafts import Drafts
from knowngood.tasks import Tasks
from knowngood.units import System, Units
from knowngood_refdata.drafts import SpecDraft, VehicleDraft
from knowngood_refdata.queries import vehicles
from knowngood_refdata.records import SourceKind

if TYPE_CHECKING:
    from pathlib import Path

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
    from knowngood_refdata.store import Store


class OpenHost:
    """Real bench, units, tasks and drafts; what is said, shown and printed is written down."""

    def __init__(self, store: Store, folder: Path, system: System = System.US) -> None:
        self.store = store
        self.bench = Bench(find_vehicle=lambda number: vehicles.vehicle(store, number))
        self.units, self.tasks = Units(system), Tasks()
        self.drafts = Drafts(folder / "drafts.json")
        self.said: list[str] = []
        self.pages: list[str] = []
        self.sheets: list[Sheet] = []
        self.brought: tuple[SpecField, ...] = ()

    def show_page(self, key: str) -> None:
        self.pages.append(key)

    def say(self, text: str) -> None:
        self.said.append(text)

    def user(self) -> str:
        return self.store.user

    def report_html(self, session_id: int) -> str:
        return f"<p>{session_id}</p>"

    def print_report(self, session_id: int, path: Path) -> None:
        path.write_text(self.report_html(session_id))

    def sheet_pdf(self, sheet: Sheet, path: Path) -> None:
        path.write_text(sheet.html)

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

    def add_vehicle(self) -> Vehicle:
        """A vehicle whose label names its refrigerant."""
        label = SpecDraft("refrigerant", None, "R-134a", SourceKind.UNDER_HOOD_LABEL, "label under the hood")
        draft = VehicleDraft("Tarn", "Skerry", "1.6 petrol", 2021, specs=(label,))
        return vehicles.vehicle(self.store, vehicles.add_vehicle(self.store, draft))

    def close(self) -> None:
        """End what runs; whoever opened the library closes it."""
        self.drafts.close()
        assert self.tasks.close()
