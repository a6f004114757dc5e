"""Imports into the library: all or nothing, in the audit trail, and taken back; on both databases."""

from __future__ import annotations

import signal
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, datetime

import pytest
from sqlalchemy import func, select, text

from knowngood_refdata.drafts import ReadingDraft, SpecDraft, UnitDraft, VehicleDraft
from knowngood_refdata.errors import Conflict, NotFound, UnfitValue
from knowngood_refdata.import_plan import ImportEntry, ImportSource
from knowngood_refdata.models import Audit, Configuration, ImportBatch, Maker, SpecValueRow, SystemFamily
from knowngood_refdata.queries import imports, readings, vehicles
from knowngood_refdata.records import Conditions, SourceKind
from knowngood_refdata.store import Store

LABEL = SourceKind.UNDER_HOOD_LABEL
CHARGE = SpecDraft("charge", 0.470, "470 g", LABEL, "labels.xlsx", tolerance=0.015, page="row 2")
GAS = SpecDraft("refrigerant", None, "R-1234yf", LABEL, "labels.xlsx")
SKERRY = VehicleDraft("Tarn", "Skerry", "1.6", 2021, 2023, family="Tarn small", specs=(CHARGE, GAS))
FELL = VehicleDraft(
    "Tarn", "Fell", "2.0", 2019, family="Tarn small", build_from="2019-03", notes="<b>new</b>"
)
SOURCE = ImportSource("labels.xlsx", "ab" * 32, {"added": 3, "refused": 1})
PLAN = (
    ImportEntry.vehicle(SKERRY, 2),
    ImportEntry.vehicle(FELL, 3),
    ImportEntry.following(GAS, 4, 1),
    ImportEntry.following(UnitDraft("XDEMT01", "HL-7"), 4, 1),
)


def rows(store: Store, model: type[Configuration] | type[SpecValueRow] | type[Maker]) -> int:
    with store.reading() as session:
        return session.scalar(select(func.count()).select_from(model)) or 0


def test_what_is_imported_stands_as_if_it_had_been_entered_by_hand(store: Store) -> None:
    by_hand = [vehicles.add_vehicle(store, one) for one in (SKERRY, replace(FELL, specs=(GAS,)))]
    vehicles.add_unit(store, by_hand[1], vin="XDEMT01", fleet_number="HL-7")
    imports.apply(store, PLAN, SOURCE)
    with store.reading() as session:
        found = session.scalars(select(Configuration).order_by(Configuration.id)).all()
        for entered, imported in zip(found[:2], found[2:], strict=True):
            for column in Configuration.__table__.columns:
                if column.key not in {"id", "created_at", "changed_at", "version", "search_text"}:
                    assert getattr(imported, column.key) == getattr(entered, column.key), column
            assert set(imported.search_text.split()) == set(entered.search_text.split())
    for one, other in zip(by_hand, (3, 4), strict=True):
        ours, theirs = vehicles.vehicle(store, one), vehicles.vehicle(store, other)
        assert theirs.family_id == ours.family_id
        for field, values in ours.specs.items():
            (value,), (told,) = theirs.specs[field], values
            assert replace(value, id=0, entered_at=None, version=1) == replace(
                told, id=0, entered_at=None, version=1
            )
    assert [(one.vin, one.fleet_number) for one in vehicles.units(store, 4)] == [("XDEMT01", "HL-7")]


@pytest.mark.parametrize("words", ["skerry 1234yf", "hl-7", "xdemt01", "fell r-1234yf 2020"])
def test_an_imported_vehicle_is_found_by_its_values_and_its_cars(store: Store, words: str) -> None:
    imports.apply(store, PLAN, SOURCE)
    assert len(vehicles.search(store, words)) == 1


def test_each_addition_leaves_its_trace_bound_to_the_import(store: Store) -> None:
    batch = imports.apply(store, PLAN, SOURCE)
    with store.reading() as session:
        traces = session.scalars(select(Audit).where(Audit.batch_id == batch)).all()
    told = sorted((one.table_name, one.action) for one in traces)
    assert told == sorted(
        [("configuration", "added")] * 2
        + [("spec_value", "added")] * 3
        + [("unit", "added"), ("maker", "added"), ("system_family", "added")]
    )
    charge = next(one for one in traces if one.after.get("field") == "charge")
    assert (charge.after["value"], charge.after["tolerance"], charge.who, charge.why) == (
        0.470, 0.015, "Ada Fell", "imported from labels.xlsx",
    )  # fmt: skip


def test_a_value_is_added_to_a_vehicle_of_the_library_beside_those_it_has(store: Store) -> None:
    number = vehicles.add_vehicle(store, SKERRY)
    other = replace(CHARGE, as_printed="500 g", value=0.5, source_kind=SourceKind.SERVICE_INFORMATION)
    imports.apply(store, [ImportEntry.belonging(other, 2, number)], SOURCE)
    assert [one.as_printed for one in vehicles.vehicle(store, number).specs["charge"]] == ["470 g", "500 g"]


def test_a_car_added_to_a_vehicle_of_the_library_makes_it_found(store: Store) -> None:
    number = vehicles.add_vehicle(store, SKERRY)
    imports.apply(store, [ImportEntry.belonging(UnitDraft("", "van 12"), 2, number)], SOURCE)
    assert [one.id for one in vehicles.search(store, "12 van")] == [number]


def test_imports_are_listed_with_source_and_counts_the_latest_first(store: Store) -> None:
    first = imports.apply(store, PLAN, SOURCE)
    second = imports.apply(store, (), ImportSource("b.csv", "cd" * 32))
    found = imports.imports(store)
    assert [one.id for one in found] == [second, first]
    assert (found[1].source_name, found[1].counts, found[1].imported_by) == (
        "labels.xlsx", {"added": 3, "refused": 1}, "Ada Fell",
    )  # fmt: skip
    made = imports.made_from(store, "ab" * 32)
    assert made is not None
    assert made.id == first
    imports.undo_import(store, first, "wrong sheet")
    assert imports.made_from(store, "ab" * 32) is None


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        (ImportEntry.vehicle(replace(SKERRY, year_from=3021), 9), "Row 9: the years 3021"),
        (ImportEntry.vehicle(replace(SKERRY, make=" "), 9), "Row 9: a vehicle needs a make"),
        (ImportEntry(CHARGE, 9), "Row 9 does not say"),
        (ImportEntry.following(CHARGE, 9, 4), "Row 9 belongs to a vehicle that no earlier row brings"),
        (ImportEntry.following(CHARGE, 9, 2), "Row 9 belongs to a vehicle that no earlier row brings"),
        (ImportEntry.vehicle(replace(SKERRY, notes="a\0b"), 9), "NUL"),
        (ImportEntry.vehicle(replace(SKERRY, specs=(replace(CHARGE, value=float("nan")),)), 9), "finite"),
    ],
)
def test_one_entry_that_cannot_be_stored_leaves_the_library_as_it_was(
    store: Store, entry: ImportEntry, words: str
) -> None:
    with pytest.raises(UnfitValue, match=words):
        imports.apply(store, (*PLAN, entry), SOURCE)
    assert (vehicles.count(store), rows(store, Maker), imports.imports(store)) == (0, 0, ())


def test_an_entry_for_a_vehicle_that_was_deleted_is_refused_by_its_row(store: Store) -> None:
    with pytest.raises(NotFound, match="Row 5 belongs to the vehicle number 77"):
        imports.apply(store, (*PLAN, ImportEntry.belonging(CHARGE, 5, 77)), SOURCE)
    assert vehicles.count(store) == 0


class StoppedError(Exception):
    pass


def test_an_import_stopped_in_the_middle_leaves_the_library_as_it_was(store: Store) -> None:
    told: list[float] = []

    def progress(fraction: float) -> None:
        told.append(fraction)
        if fraction > 0.5:
            raise StoppedError

    plan = [ImportEntry.vehicle(replace(SKERRY, model=f"M{number}"), number) for number in range(2_500)]
    with pytest.raises(StoppedError):
        imports.apply(store, plan, SOURCE, progress)
    assert len(told) == 2
    assert (vehicles.count(store), rows(store, SpecValueRow), imports.imports(store)) == (0, 0, ())


def test_progress_rises_to_one(store: Store) -> None:
    told: list[float] = []
    imports.apply(store, PLAN, SOURCE, told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0


STOPS_HALF_WAY = """
import sys, time
from knowngood_refdata.drafts import VehicleDraft
from knowngood_refdata.import_plan import ImportEntry, ImportSource
from knowngood_refdata.queries import imports, vehicles
from knowngood_refdata.store import Store
store = Store.open(sys.argv[1], user="Ada Fell")
vehicles.add_vehicle(store, VehicleDraft("Tarn", "Skerry", "", 2021))

def stop(fraction):
    print("half", flush=True)
    time.sleep(60)

plan = [ImportEntry.vehicle(VehicleDraft("Fen", f"M{n}", "", 2020), n) for n in range(3_000)]
imports.apply(store, plan, ImportSource("a.csv", "ab"), stop)
"""


def test_a_program_killed_in_the_middle_of_an_import_leaves_the_library_as_it_was(address: str) -> None:
    Store.open(address).close()
    child = subprocess.Popen(
        [sys.executable, "-c", STOPS_HALF_WAY, address], stdout=subprocess.PIPE, text=True
    )
    assert child.stdout is not None
    assert child.stdout.readline() == "half\n"
    child.send_signal(signal.SIGKILL)
    child.wait()
    child.stdout.close()
    store = Store.open(address, user="Ada Fell", create=False)
    assert [one.name for one in vehicles.search(store)] == ["Tarn Skerry, 2021 on"]
    assert (rows(store, Maker), imports.imports(store)) == (1, ())
    if store.engine.dialect.name == "sqlite":
        with store.reading() as session:
            assert session.scalar(text("PRAGMA integrity_check")) == "ok"
    imports.apply(store, PLAN, SOURCE)
    assert vehicles.count(store) == 3
    store.close()


@pytest.mark.parametrize("store", ["postgresql"], indirect=True)
def test_a_connection_lost_in_the_middle_of_an_import_leaves_the_library_as_it_was(store: Store) -> None:
    def cut(_: float) -> None:
        with store.engine.connect() as other:
            other.execute(
                text(
                    "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE pid <> pg_backend_pid() "
                    "AND datname = current_database() AND state = 'idle in transaction'"
                )
            )

    with pytest.raises(Exception, match="Nothing was changed"):
        imports.apply(store, PLAN, SOURCE, cut)
    assert (vehicles.count(store), imports.imports(store)) == (0, ())


def test_an_import_taken_back_leaves_nothing_of_it_and_all_that_was_there(store: Store) -> None:
    number = vehicles.add_vehicle(store, replace(SKERRY, specs=(CHARGE,)))
    batch = imports.apply(store, (*PLAN, ImportEntry.belonging(GAS, 6, number)), SOURCE)
    assert len(vehicles.search(store, "r-1234yf")) == 3
    undone = imports.undo_import(store, batch, "wrong sheet")
    assert (undone.taken_back, undone.kept) == ({"configuration": 2, "spec_value": 4, "unit": 1}, ())
    assert [one.id for one in vehicles.search(store)] == [number]
    assert vehicles.search(store, "r-1234yf") == ()
    assert [one.as_printed for one in vehicles.vehicle(store, number).specs["charge"]] == ["470 g"]
    (info,) = imports.imports(store)
    assert info.undone_at is not None


def test_makers_and_families_that_only_the_import_brought_go_with_it_and_stand_again_when_used(
    store: Store,
) -> None:
    undone = imports.undo_import(store, imports.apply(store, PLAN, SOURCE), "wrong sheet")
    assert (undone.taken_back["maker"], undone.taken_back["system_family"]) == (1, 1)
    imports.apply(store, PLAN, SOURCE)
    with store.reading() as session:
        assert session.scalars(select(Maker.deleted_at)).all() == [None]
        assert session.scalars(select(SystemFamily.deleted_at)).all() == [None]


def test_what_was_taken_back_keeps_who_did_it_and_why(store: Store) -> None:
    imports.undo_import(store, imports.apply(store, PLAN, SOURCE), "wrong sheet")
    with store.reading() as session:
        traces = session.scalars(select(Audit).where(Audit.action == "deleted")).all()
    assert {(one.who, one.why) for one in traces} == {("Ada Fell", "wrong sheet")}
    assert len(traces) == 2 + 3 + 1 + 2


def test_a_vehicle_with_a_reading_of_its_own_is_kept_and_told(store: Store) -> None:
    batch = imports.apply(store, PLAN, SOURCE)
    at = datetime(2025, 7, 1, tzinfo=UTC)
    readings.add(store, ReadingDraft(1, None, None, at, Conditions(), 750.0, 1, {}))
    undone = imports.undo_import(store, batch, "wrong sheet")
    assert [(one.table, one.row_id, one.why) for one in undone.kept] == [
        ("configuration", 1, "a reading stands on it"),
        ("system_family", 1, "a vehicle stands on it"),
        ("maker", 1, "a vehicle stands on it"),
    ]
    assert [one.id for one in vehicles.search(store)] == [1]
    assert len(readings.readings(store, 1)) == 1
    assert vehicles.vehicle(store, 1).specs == {}


def test_a_value_that_someone_changed_since_is_kept_with_its_vehicle(store: Store) -> None:
    batch = imports.apply(store, PLAN, SOURCE)
    with store.writing("reviewed") as session:
        session.get_one(SpecValueRow, 1).reviewed_by = "Bo Tarn"
    undone = imports.undo_import(store, batch, "wrong sheet")
    assert [(one.table, one.row_id, one.why) for one in undone.kept][:2] == [
        ("spec_value", 1, "changed since"),
        ("configuration", 1, "a spec value stands on it"),
    ]
    assert list(vehicles.vehicle(store, 1).specs) == ["charge"]
    assert [one.id for one in vehicles.search(store, "skerry")] == [1]
    assert vehicles.search(store, "1234yf") == ()


def test_an_import_is_taken_back_once_and_with_a_reason(store: Store) -> None:
    batch = imports.apply(store, PLAN, SOURCE)
    with pytest.raises(UnfitValue, match="only with a reason"):
        imports.undo_import(store, batch, " ")
    imports.undo_import(store, batch, "wrong sheet")
    with pytest.raises(Conflict, match="taken back already"):
        imports.undo_import(store, batch, "again")
    with pytest.raises(NotFound, match="no import number 9"):
        imports.undo_import(store, 9, "wrong sheet")


def test_undoing_that_is_stopped_changes_nothing(store: Store) -> None:
    batch = imports.apply(store, PLAN, SOURCE)

    def stop(_: float) -> None:
        raise StoppedError

    with pytest.raises(StoppedError):
        imports.undo_import(store, batch, "wrong sheet", stop)
    assert vehicles.count(store) == 2
    with store.reading() as session:
        assert session.scalars(select(ImportBatch.undone_at)).all() == [None]


def test_vehicles_can_be_entered_by_hand_after_an_import(store: Store) -> None:
    imports.apply(store, PLAN, SOURCE)
    assert vehicles.add_vehicle(store, replace(SKERRY, model="Tor")) == 3
