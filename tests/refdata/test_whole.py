"""Many whole records at once, and what an import fills in on record and takes back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_refdata.drafts import SpecDraft, VehicleDraft
from knowngood_refdata.import_plan import ImportEntry, ImportSource, VehicleFill
from knowngood_refdata.queries import imports, vehicle_edits, vehicles, whole
from knowngood_refdata.records import SourceKind

if TYPE_CHECKING:
    from knowngood_refdata.store import Store

SOURCE = ImportSource("list.csv", "0" * 64)


def add(store: Store, make: str, model: str, notes: str = "") -> int:
    charge = SpecDraft("charge", 0.5, "500 g", SourceKind.GENERIC, "list")
    return vehicles.add_vehicle(store, VehicleDraft(make, model, "", 2020, specs=(charge,), notes=notes))


def test_whole_records_are_those_that_one_by_one_gives(store: Store) -> None:
    numbers = [add(store, make, model) for make, model in (("Tarn", "Skerry"), ("Fen", "Wader"))]
    cars = [vehicles.add_unit(store, one, fleet_number=f"A{one}") for one in numbers]
    gone = add(store, "Moor", "Combe")
    vehicle_edits.delete_vehicle(store, gone, 1, "entered twice")
    told: list[float] = []
    found = whole.vehicles(store, progress=told.append)
    assert found == tuple(vehicles.vehicle(store, one) for one in reversed(numbers))
    assert told == [1.0]
    assert [one.id for one in whole.cars(store)] == cars
    assert set(whole.makes(store)) == {"Tarn", "Fen"}


def test_whole_records_are_chosen_by_make_or_number(store: Store) -> None:
    tarn, fen = add(store, "Tarn", "Skerry"), add(store, "Fen", "Wader")
    assert [one.id for one in whole.vehicles(store, makes={"Tarn"})] == [tarn]
    assert [one.id for one in whole.vehicles(store, ids={fen})] == [fen]
    assert whole.numbers(store, "skerry") == (tarn,)


def test_an_import_fills_in_what_a_record_lacks_and_takes_it_back(store: Store) -> None:
    number = add(store, "Tarn", "Skerry", notes="Own note.")
    before = vehicles.vehicle(store, number)
    fill = VehicleFill({"generation": "II", "family": "TA"}, ("From the list.",))
    batch = imports.apply(store, [ImportEntry.belonging(fill, 2, number)], SOURCE)
    filled = vehicles.vehicle(store, number)
    assert (filled.generation, filled.family) == ("II", "TA")
    assert filled.notes == "Own note.\nFrom the list."
    assert [one.id for one in vehicles.search(store, "skerry ii")] == [number]
    undone = imports.undo_import(store, batch, "wrong file")
    after = vehicles.vehicle(store, number)
    assert (after.generation, after.family, after.notes) == (before.generation, "", before.notes)
    assert undone.kept == ()
    assert vehicles.search(store, "skerry ii") == ()


def test_what_was_changed_after_an_import_filled_it_in_is_kept_and_named(store: Store) -> None:
    number = add(store, "Tarn", "Skerry")
    fill = VehicleFill({"generation": "II"})
    batch = imports.apply(store, [ImportEntry.belonging(fill, 2, number)], SOURCE)
    now = vehicles.vehicle(store, number)
    corrected = VehicleDraft("Tarn", "Skerry", "", 2020, generation="III")
    vehicle_edits.edit_vehicle(store, number, now.version, corrected, "read off the car")
    undone = imports.undo_import(store, batch, "wrong file")
    assert [(one.table, one.row_id) for one in undone.kept] == [("configuration", number)]
    assert vehicles.vehicle(store, number).generation == "III"


def test_an_import_never_replaces_what_a_record_says_already(store: Store) -> None:
    number = vehicles.add_vehicle(store, VehicleDraft("Tarn", "Skerry", "", 2020, generation="I"))
    fill = VehicleFill({"generation": "II", "body": "estate"})
    imports.apply(store, [ImportEntry.belonging(fill, 2, number)], SOURCE)
    held = vehicles.vehicle(store, number)
    assert (held.generation, held.body) == ("I", "estate")
