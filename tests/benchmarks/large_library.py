"""A library as large as ten years of collecting make it, invented from a seed; for benchmarks only."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from random import Random
from typing import TYPE_CHECKING, Any

from knowngood_refdata.models import Base
from knowngood_refdata.queries.vehicle_words import folded

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from knowngood_refdata.store import Store

CONFIGURATIONS, SPECS_EACH, SESSIONS = 100_000, 10, 20_000
MAKES, MODELS_EACH = 60, 30
_STAMP = datetime(2024, 8, 14, 9, 0, tzinfo=UTC).strftime("%Y-%m-%d %H:%M:%S.000000")
_STAMPS = {
    "version": 1, "created_at": _STAMP, "created_by": "Ada Fell", "changed_at": _STAMP,
    "changed_by": "Ada Fell", "deleted_at": None,
}  # fmt: skip
_FIRST = ("Tar", "Ske", "Fel", "Bro", "Gar", "Hol", "Ket", "Lin", "Mos", "Nor", "Pen", "Rav")
_LAST = ("n", "rry", "lside", "mere", "thwaite", "beck", "dale", "gill", "ness", "wick")
_MIDDLE = ("", "ar", "el", "er", "in", "mor", "on", "sel", "um", "ya")
_ENGINES = (
    "1.0 petrol", "1.2 petrol", "1.4 petrol", "1.6 petrol", "1.6 diesel", "2.0 petrol", "2.0 diesel",
    "2.2 diesel", "3.0 diesel", "1.5 hybrid", "electric drive 150 kW",
)  # fmt: skip
_MARKETS = ("north", "south", "east", "west", "")
_BODIES = ("saloon", "estate", "van", "pick-up", "")
_SPECS: tuple[tuple[str, tuple[tuple[float | None, str], ...]], ...] = (
    ("refrigerant", ((None, "R-134a"), (None, "R-1234yf"), (None, "R-134a"))),
    ("charge", tuple((gram / 1000, f"{gram} ± 15 g") for gram in range(400, 1000, 10))),
    ("compressor", ((None, "fixed displacement"), (None, "externally controlled variable"))),
    ("metering device", ((None, "orifice tube"), (None, "expansion valve"))),
    ("fan", ((None, "two-stage fan"), (None, "variable-speed fan"))),
    ("oil", ((1.2e-4, "PAG 46, 120 mL"), (1.5e-4, "PAG 46, 150 mL"))),
    ("oil with the compressor", ((1.2e-4, "120 mL"), (9e-5, "90 mL"))),
    ("oil with the condenser", ((3e-5, "30 mL"), (4e-5, "40 mL"))),
    ("belt", ((None, "6 ribs, 1195 mm"), (None, "6 ribs, 1210 mm"))),
)
_BOOK = (("charge", tuple((gram / 1000, f"{gram} g") for gram in range(400, 1000, 50))),)


def fill(store: Store, configurations: int = CONFIGURATIONS, sessions: int = SESSIONS) -> None:
    """Fill an empty library: ten spec values a configuration, each with its line in the audit trail."""
    random = Random(4)
    names = [first + middle + last for middle in _MIDDLE for first in _FIRST for last in _LAST]
    makes = random.sample(names, MAKES)
    vehicles = list(_configurations(random, makes, names, configurations))
    specs = list(_specs(random, vehicles))
    with _Bulk(store) as bulk:
        bulk.insert("maker", ({"id": n, "name": make, **_STAMPS} for n, make in enumerate(makes, 1)))
        bulk.insert("system_family", _families(makes))
        bulk.insert("configuration", vehicles)
        bulk.insert("spec_value", specs)
        bulk.insert("audit", _audit(vehicles, specs))
        bulk.insert("unit", _units(random, configurations // 10, configurations))
        bulk.insert("source_file", _files(sessions))
        bulk.insert("session", _sessions(random, sessions, configurations))


def _families(makes: Sequence[str]) -> Iterator[dict[str, Any]]:
    for number, make in enumerate(makes):
        for part, size in enumerate(("small", "large")):
            yield {"id": 2 * number + part + 1, "maker_id": number + 1, "name": f"{make} {size}", **_STAMPS}


def _configurations(
    random: Random, makes: Sequence[str], names: Sequence[str], count: int
) -> Iterator[dict[str, Any]]:
    models = {make: random.sample(list(names), MODELS_EACH) for make in makes}
    for number in range(1, count + 1):
        maker = random.randrange(len(makes))
        make = makes[maker]
        model, engine = random.choice(models[make]), random.choice(_ENGINES)
        year = random.randrange(1995, 2025)
        market, body = random.choice(_MARKETS), random.choice(_BODIES)
        evaporators = random.choice(("single evaporator", "single evaporator", "dual evaporator"))
        gas = _SPECS[0][1][number % 3][1]
        words = [make, model, engine, market, body, evaporators, gas]
        if number <= count // 10:
            words += [_vin(number), f"van {number}"]
        yield {
            "id": number, "maker_id": maker + 1, "family_id": 2 * maker + 1 + number % 2, "make": make,
            "model": model, "engine": engine, "year_from": year, "year_to": year + random.randrange(5),
            "build_from": "", "build_to": "", "generation": "", "body": body, "vin_pattern": "",
            "market": market, "evaporators": evaporators, "notes": "",
            "search_text": folded(" ".join(word for word in words if word)),
            "sort_key": folded(f"{make} {model} {year:04d}"), **_STAMPS,
        }  # fmt: skip


def _specs(random: Random, vehicles: Sequence[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    number = 0
    for vehicle in vehicles:
        for field, choices in _SPECS + _BOOK:
            number += 1
            kind = "service information" if (field, choices) == _BOOK[0] else "under-hood label"
            place = vehicle["id"] % 3 if field == "refrigerant" else random.randrange(len(choices))
            value, printed = choices[place]
            yield {
                "id": number, "configuration_id": vehicle["id"], "field": field, "value": value,
                "tolerance": None, "as_printed": printed, "source_kind": kind, "citation": "label",
                "revision": "", "page": "", "reviewed_by": "" if number % 7 else "Bo Tarn",
                "reviewed_at": None, **_STAMPS,
            }  # fmt: skip


def _audit(*tables: Sequence[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    number = 0
    for name, rows in zip(("configuration", "spec_value"), tables, strict=True):
        for row in rows:
            number += 1
            after = {key: row[key] for key in row if key not in _STAMPS}
            yield {
                "id": number, "at": _STAMP, "who": "Ada Fell", "table_name": name, "row_id": row["id"],
                "action": "added", "before": "{}", "after": json.dumps(after), "why": "vehicle added",
                "batch_id": None,
            }  # fmt: skip


def _vin(number: int) -> str:
    return f"ZZ9TA{number:012d}"


def _units(random: Random, units: int, configurations: int) -> Iterator[dict[str, Any]]:
    for number in range(1, units + 1):
        yield {
            "id": number, "configuration_id": number, "vin": _vin(number), "fleet_number": f"van {number}",
            "note": "", **_STAMPS,
        }  # fmt: skip


def _files(count: int) -> Iterator[dict[str, Any]]:
    for number in range(1, count + 1):
        yield {"id": number, "sha256": f"{number:064x}", "name": f"log {number}.csv", "size": 1,
               "content": b"x"}  # fmt: skip


def _sessions(random: Random, count: int, configurations: int) -> Iterator[dict[str, Any]]:
    unknown = dict.fromkeys(
        ("ambient_k", "intake_k", "relative_humidity", "barometer_pa", "altitude_m", "blower", "air_source",
         "doors", "hood", "sun", "start_fan_stage", "run_time_s", "unit_id")
    )  # fmt: skip
    pressure = {"class_percent": 1.6, "full_scale_pa": 1e6, "name": ""}
    probe = {"limit_k": 1.0, "name": ""}
    instruments = json.dumps({"low": pressure, "high": pressure, "line": probe, "air": probe})
    for number in range(1, count + 1):
        yield {
            "id": number, "configuration_id": random.randrange(1, configurations + 1),
            "source_file_id": number, "title": f"visit {number}", "started_at": _STAMP,
            "refrigerant": "R-134a", "instruments": instruments, "duration_s": 600.0,
            "sample_count": 6000, "technician": "Ada Fell", "note": "", **unknown, **_STAMPS,
        }  # fmt: skip


class _Bulk:
    """Rows into tables the quickest way each database has."""

    def __init__(self, store: Store) -> None:
        self._engine = store.engine
        self._on_file = store.engine.dialect.name == "sqlite"

    def __enter__(self) -> _Bulk:
        self._connection = self._engine.raw_connection()
        driver: Any = self._connection.driver_connection
        self._driver = driver
        if self._on_file:
            self._driver.execute("BEGIN")
        return self

    def __exit__(self, *_: object) -> None:
        self._driver.commit()
        if not self._on_file:
            self._driver.autocommit = True
            self._driver.execute("VACUUM ANALYZE")
            self._driver.autocommit = False
        self._connection.close()

    def insert(self, table: str, rows: Iterable[dict[str, Any]]) -> None:
        columns = [column.name for column in Base.metadata.tables[table].columns]
        values = ([row[name] for name in columns] for row in rows)
        named = ", ".join(f'"{name}"' for name in columns)
        if self._on_file:
            marks = ", ".join("?" * len(columns))
            self._driver.executemany(f"INSERT INTO {table} ({named}) VALUES ({marks})", values)
            return
        with self._driver.cursor().copy(f"COPY {table} ({named}) FROM STDIN") as copy:
            for row in values:
                copy.write_row(row)
        self._driver.execute(
            f"SELECT setval(pg_get_serial_sequence('{table}', 'id'), (SELECT max(id) FROM {table}))"
        )
