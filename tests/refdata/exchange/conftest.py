"""A library that holds something of every kind, and a dump that knows nothing of exchange files."""

from __future__ import annotations

import struct
import zlib
from dataclasses import replace
from datetime import UTC, datetime
from shutil import copy
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from sqlalchemy import select

from knowngood_refdata.drafts import ReadingDraft, SessionDraft, SpecDraft, VehicleDraft
from knowngood_refdata.exchange import What, export_library
from knowngood_refdata.models import Base, FieldDefinition, SpecDecision
from knowngood_refdata.published.pasted import read_table
from knowngood_refdata.published.table import PerformanceTable
from knowngood_refdata.queries import checkups, pictures, readings, session_cuts, sessions, tables, vehicles
from knowngood_refdata.queries.pictures import PictureDraft
from knowngood_refdata.queries.session_cuts import CutDraft
from knowngood_refdata.queries.tables import TableDraft
from knowngood_refdata.records import (
    AirSource,
    Behaviour,
    Channel,
    Conditions,
    Estimate,
    Event,
    EventKind,
    Evidence,
    FanThreshold,
    Findings,
    Quantity,
    Recording,
    Recovery,
    Response,
    Role,
    SourceKind,
    Standing,
    SteadyWindow,
    Stroke,
    StrokeFinding,
    Unsettled,
    Verdict,
    Weighed,
)
from knowngood_refdata.store import Store

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

Dump = dict[str, list[dict[str, Any]]]

LABEL = SpecDraft(
    "charge", 0.470, "470 ± 15 g", SourceKind.UNDER_HOOD_LABEL, "label of car 3", 0.015, page="1"
)
BOOK = SpecDraft("charge", 0.1 + 0.2, "300 g", SourceKind.SERVICE_INFORMATION, "workshop data", revision="B")
GAS = SpecDraft("refrigerant", None, "R-1234yf", SourceKind.UNDER_HOOD_LABEL, "label of car 3")
SKERRY = VehicleDraft(
    "Tarn", "Skerry", "1.6 <b>petrol</b>", 2021, 2023, family="Tarn small", specs=(BOOK, LABEL, GAS),
    notes='said "no"\n=1+1\tÅ \N{SNOWFLAKE}', build_from="2021-02", vin_pattern="XDEMT?01",
)  # fmt: skip
CONDITIONS = Conditions(
    ambient_k=304.65, air_source=AirSource.RECIRCULATION, sun=False, fan_stage=1, blower=1.0
)
HUNTING = Behaviour(4e3, Estimate(-12.5, 3.0), 18.0, amplitude=6e3, period_s=14.0)
FOUND = Findings(
    windows=(
        SteadyWindow(0.0, 2.0, 751.5, 1, "mine", {Quantity.LOW_SIDE: Estimate(3e5, 9e2)}, by_hand=True),
        SteadyWindow(
            0.5, 2.0, 751.5, 1, "idle", {Quantity.LOW_SIDE: Estimate(3e5, 9e2)},
            behaviour={Quantity.LOW_SIDE: HUNTING, Quantity.VENT: replace(HUNTING, amplitude=None)},
        ),
    ),
    events=(
        Event(
            EventKind.FAN_STAGE_UP, 1.0, "fan stage 2",
            evidence=Evidence(0.0, 2.0, (Role.HIGH_SIDE, Role.ENGINE_SPEED)),
        ),
        Event(EventKind.CLUTCH_CYCLING, 1.0, "4 cycles", until_s=2.0),
        Event(EventKind.DOORS, 1.5, "driver's door open", until_s=2.0, by_hand=True),
        Event(EventKind.NOTE, 2.0, "=1+1 <b>smell</b>", by_hand=True),
    ),
    responses=(
        Response(
            750.0, 2000.0, Estimate(1e4, 3e3), Estimate(-2e5, 1e4), Verdict.RISES, Verdict.FALLS,
            same_fan_stage=False, remark="fan", low_per_octave=Estimate(0.02, 0.01),
            high_per_octave=Estimate(-0.1, 0.02), from_at_s=0.5, to_at_s=1.0,
        ),
    ),
    unsettled=(Unsettled(0.0, 0.5, ("high side still falls 9 psi/min", "too short")),),
    fan=(FanThreshold(2, Estimate(1.6e6, 2e4), None, 1, 0), FanThreshold(None, None, None, 0, 0)),
    recoveries=(
        Recovery(EventKind.FAN_STAGE_UP, 1.0, 42.0, Role.HIGH_SIDE),
        Recovery(EventKind.DOORS, 1.0, 5.0),
    ),
    stroke=StrokeFinding(Stroke.REGULATING, ("the low side stays at 2.1 bar",)),
)  # fmt: skip
RECORDING = Recording(
    np.array([0.0, 1.0, 2.5]),
    (
        Channel("P1", Role.LOW_SIDE, "psi", True, np.array([30.1, np.nan, 30.4])),
        Channel("RPM", Role.ENGINE_SPEED, "rpm", False, np.array([750.0, 1e12, 1 / 3])),
    ),
)


def png(width: int, height: int) -> bytes:
    """A grey picture, as ISO/IEC 15948:2004 has it."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    lines = (b"\0" + b"\x80" * width) * height
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    body = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(lines)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


def performance_table() -> PerformanceTable:
    pasted = read_table(
        "Ambient °C | High side psi | Low side psi\n21 | 120-190 | 10-20\n27 | 140-210 | 10-25"
    )
    assert pasted.grid is not None
    return PerformanceTable("TM 5-3805-291-23-1, table 1", (pasted.grid,), generic=True)


def fill(store: Store) -> None:
    """Put something of every kind into an empty library."""
    first = vehicles.add_vehicle(store, SKERRY)
    second = vehicles.add_vehicle(store, replace(SKERRY, make="Fen", model="Tor", family="", specs=(GAS,)))
    car = vehicles.add_unit(store, first, vin="XDEMT01", fleet_number="HL-7", note="wet carpet")
    with store.writing("decided") as session:
        session.add(SpecDecision(configuration_id=first, field="charge", spec_value_id=1, why="recall"))
        session.add(
            FieldDefinition(
                name="clamp place", title="Clamp place", section="ports", kind="choice",
                choices={"offered": ["left", "right"]}, position=1,
            )
        )  # fmt: skip
    draft = TableDraft(performance_table(), SourceKind.SERVICE_INFORMATION, "TM 5", "2009", "0018")
    vehicle = vehicles.vehicle(store, first)
    tables.add(store, draft, vehicle_id=second)
    tables.add(store, draft, family_id=vehicle.family_id)
    kept = pictures.add(store, first, PictureDraft(png(40, 30), png(4, 3), "charge label", "a.png", car))
    gone = pictures.add(store, first, PictureDraft(png(41, 30), png(4, 3), "low side port"))
    pictures.remove(store, gone, 1, "blurred")
    assert kept < gone
    draft_session = SessionDraft(
        first, "Season check", "R-1234yf", "log.csv", CONDITIONS, unit_id=car, findings=FOUND,
        started_at=datetime(2025, 8, 14, 8, 42, 0, 123456, tzinfo=UTC),
    )  # fmt: skip
    session_id = sessions.save(store, draft_session, RECORDING, b"time,P1\n")
    other = sessions.save(store, SessionDraft(None, "whose?", "R-134a", "b.csv"), RECORDING, b"other")
    (cut_id,) = session_cuts.cut(store, other, [CutDraft(1.0, 2.5, "the end", CONDITIONS, FOUND)])
    assert cut_id > other
    checkups.weigh(store, session_id, Weighed.CHARGED, Estimate(0.4701, 0.002))
    checkups.answer(store, session_id, "engine-off check", "at saturation")
    checkups.confirm(store, session_id, "undercharge", "weighed: 180 g missing")
    sessions.remember_mapping(store, "abc", {"P1": {"role": "low side", "unit": "psi", "gauge": True}})
    values = {Quantity.SUBCOOLING: Estimate(10.0, 0.6), Quantity.VENT: Estimate(278.15 + 1e-13, 0.1)}
    reading = ReadingDraft(
        first, car, session_id, datetime(2025, 7, 1, tzinfo=UTC), CONDITIONS, 750.0, 1, values,
        Standing.KNOWN_GOOD, "weighed in",
    )  # fmt: skip
    readings.add_many(
        store,
        [reading, replace(reading, standing=Standing.CANDIDATE, decided_why="", unit_id=None)],
    )
    last = readings.add(store, replace(reading, session_id=None))
    readings.decide(store, last, 1, Standing.RETIRED, "filter blocked")


def dump(store: Store) -> Dump:
    """Every row of a library, table by table; ids stand as places in the order of ids."""
    with store.reading() as session:
        found = {
            table.name: [
                dict(row)
                for row in session.execute(select(table).order_by(*table.primary_key.columns)).mappings()
            ]
            for table in Base.metadata.sorted_tables
            if table.name not in {"audit", "import_batch"}
        }
    places = {
        name: {row["id"]: place for place, row in enumerate(rows)}
        for name, rows in found.items()
        if rows and "id" in rows[0]
    }
    for table in Base.metadata.sorted_tables:
        for row in found.get(table.name, ()):
            row.pop("version", None)
            if "id" in row:
                row["id"] = places[table.name][row["id"]]
            for key in table.foreign_keys:
                if row[key.parent.name] is not None:
                    row[key.parent.name] = places[key.column.table.name][row[key.parent.name]]
    for row in found["configuration"]:
        row["search_text"] = sorted(row["search_text"].split())
    return found


@pytest.fixture
def full(store: Store) -> Store:
    """A library with something of every kind."""
    fill(store)
    return store


@pytest.fixture(name="dump", scope="session")
def dump_of() -> Callable[[Store], Dump]:
    """The dump of a library."""
    return dump


@pytest.fixture(name="png", scope="session")
def png_of() -> Callable[[int, int], bytes]:
    """A picture of a width and height."""
    return png


@pytest.fixture
def empty(made_file: Path, tmp_path: Path) -> Iterator[Store]:
    """An empty library of another shop."""
    opened = Store.open(copy(made_file, tmp_path / "empty.sqlite"), user="Bo Tarn")
    yield opened
    opened.close()


@pytest.fixture(scope="session")
def exported(made_file: Path, tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """An exchange file with something of every kind."""
    folder = tmp_path_factory.mktemp("exported")
    opened = Store.open(copy(made_file, folder / "library.sqlite"), user="Ada Fell")
    fill(opened)
    export_library(opened, folder / "a.json", what=What(removed=True))
    opened.close()
    return (folder / "a.json").read_bytes()
