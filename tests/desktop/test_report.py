"""The report of a stored session, from the library to the file, by the command line as a user runs it."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood import cli
from knowngood.loader import Plugins, find_sources
from knowngood.report import print_report, report_html
from knowngood.scales import System
from knowngood_refdata.drafts import ReadingDraft, SessionDraft, SpecDraft, VehicleDraft
from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import readings, sessions, vehicles
from knowngood_refdata.records import (
    Channel,
    Conditions,
    Estimate,
    Quantity,
    Recording,
    Role,
    SourceKind,
    Standing,
)
from knowngood_refdata.store import Store

from .approving import approve_all

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

LABEL = SourceKind.UNDER_HOOD_LABEL
SKERRY = VehicleDraft(
    "Tarn",
    "Skerry",
    "1.6 petrol",
    2021,
    2023,
    specs=(
        SpecDraft("refrigerant", None, "R-1234yf", LABEL, "label on the lock carrier"),
        SpecDraft("charge", 0.470, "470 ± 15 g", LABEL, "label on the lock carrier", tolerance=0.015),
    ),
)
PLUGIN = """
from knowngood.api import ReportSection, hookimpl

@hookimpl
def report_sections(session_id, system):
    return [ReportSection("Against known-good readings", 30, f"<p>session {session_id} in {system}</p>")]
"""


@pytest.fixture
def store(library_file: Path) -> Iterator[Store]:
    store = Store.open(library_file, user="Ana")
    yield store
    store.close()


@pytest.fixture
def session_id(store: Store) -> int:
    vehicle_id = vehicles.add_vehicle(store, SKERRY)
    unit_id = vehicles.add_unit(store, vehicle_id, vin="SKR1X00TARN000014", fleet_number="14", note="")
    draft = SessionDraft(
        vehicle_id,
        "as found",
        "R-1234yf",
        "skerry.csv",
        conditions=Conditions(ambient_k=304.65),
        unit_id=unit_id,
        started_at=datetime(2026, 8, 14, 10, 42, tzinfo=UTC),
        technician="K. Ødegård",
    )
    channels = (
        Channel("P1", Role.LOW_SIDE, "bar", True, np.array([2.1, 2.2])),
        Channel("P2", Role.HIGH_SIDE, "bar", True, np.array([9.8, 9.9])),
    )
    known_good = ReadingDraft(
        vehicle_id,
        None,
        None,
        datetime(2026, 7, 1, tzinfo=UTC),
        Conditions(ambient_k=304.0),
        750.0,
        1,
        {Quantity.SUBCOOLING: Estimate(10.0, 0.5)},
        standing=Standing.KNOWN_GOOD,
        decided_why="new car, charge weighed",
    )
    readings.add(store, known_good)
    return sessions.save(store, draft, Recording(np.array([0.0, 1.0]), channels), b"time,P1,P2\n")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = tmp_path / "plugins"
    folder.mkdir()
    (folder / "part_writer.py").write_text(PLUGIN, "utf-8")
    return folder


@pytest.fixture
def plugins(folder: Path) -> Iterator[Plugins]:
    plugins = Plugins([one for one in find_sources(folder) if one.origin == "plugins folder"])
    yield plugins
    plugins.close()


def test_the_page_tells_vehicle_charge_car_and_technician(
    store: Store, session_id: int, plugins: Plugins
) -> None:
    page = report_html(store, plugins, session_id, System.SI, shop="Fjordside Auto Climate")
    for words in (
        "Tarn Skerry 1.6 petrol",
        "470 ± 15 g",
        "label on the lock carrier",
        "SKR1X00TARN000014",
        "K. Ødegård",
        "Fjordside Auto Climate",
        "31.5 °C",
    ):
        assert words in page


def test_the_page_tells_what_was_compared_and_what_was_not_tested(
    store: Store, session_id: int, plugins: Plugins
) -> None:
    page = report_html(store, plugins, session_id, System.SI)
    assert "1 known-good reading of 1 car" in page
    assert "Superheat: no suction line was recorded." in page
    assert "Low side: no" not in page


def test_a_plugins_part_is_written_in_the_readers_units(
    store: Store, session_id: int, plugins: Plugins
) -> None:
    page = report_html(store, plugins, session_id, System.US)
    assert f"session {session_id} in us" in page
    assert "88.7 °F" in page


def test_a_session_that_is_not_there_is_said_in_words(store: Store, plugins: Plugins) -> None:
    with pytest.raises(StoreError):
        report_html(store, plugins, 999, System.SI)


@pytest.mark.usefixtures("qapp")
def test_the_pdf_is_one_sheet(store: Store, session_id: int, plugins: Plugins, tmp_path: Path) -> None:
    path = tmp_path / "report.pdf"
    assert print_report(store, plugins, session_id, System.SI, path) == 1
    assert path.read_bytes().startswith(b"%PDF")


@pytest.mark.usefixtures("qapp")
def test_the_command_writes_both_files(store: Store, session_id: int, folder: Path, tmp_path: Path) -> None:
    pdf, page = tmp_path / "r.pdf", tmp_path / "r.html"
    approve_all(folder)
    arguments = ["--library", store.place, "--plugins-folder", str(folder), "report", str(session_id)]
    assert cli.main([*arguments, "--pdf", str(pdf), "--html", str(page)]) == 0
    assert pdf.read_bytes().startswith(b"%PDF")
    assert f"session {session_id} in us" in page.read_text("utf-8")


@pytest.mark.usefixtures("qapp")
def test_a_report_that_cannot_be_written_is_bad_input(
    store: Store, session_id: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    nowhere = tmp_path / "no such folder" / "r.pdf"
    assert cli.main(["--library", store.place, "report", str(session_id), "--pdf", str(nowhere)]) == 2
    assert "choose another place" in capsys.readouterr().err


def test_a_session_number_that_is_not_there_is_trouble_of_the_library(
    store: Store, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["--library", store.place, "report", "999"]) == 3
    assert capsys.readouterr().err
