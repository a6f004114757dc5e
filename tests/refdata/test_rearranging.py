"""Families, makers, added fields, vehicles entered twice: rearranged and undone, on both databases."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest

from knowngood_refdata.drafts import ReadingDraft, SessionDraft, SpecDraft, VehicleDraft
from knowngood_refdata.errors import NotFound, UnfitValue
from knowngood_refdata.queries import readings, sessions, vehicles
from knowngood_refdata.queries.duplicates import likely_duplicates, merge_vehicles
from knowngood_refdata.queries.families import (
    families,
    merge_families,
    move_vehicle,
    rename_family,
    split_family,
)
from knowngood_refdata.queries.finding import find
from knowngood_refdata.queries.history import deleted, history, shared_history
from knowngood_refdata.queries.shop_fields import (
    ShopFieldDraft,
    define_field,
    edit_field,
    remove_field,
    shop_fields,
)
from knowngood_refdata.queries.spec_edits import decide
from knowngood_refdata.queries.undo import undo
from knowngood_refdata.queries.vehicle_edits import edit_vehicle
from knowngood_refdata.records import Conditions, Recording, SourceKind
from knowngood_refdata.store import Conflict, Store

LABEL = SpecDraft("charge", 0.470, "470 ± 15 g", SourceKind.UNDER_HOOD_LABEL, "label of car 3", 0.015)
BOOK = SpecDraft("charge", 0.500, "500 g", SourceKind.SERVICE_INFORMATION, "Tarn workshop data")
SKERRY = VehicleDraft("Tarn", "Skerry", "1.6 petrol", 2021, 2023, family="small", specs=(LABEL,))
BELT = ShopFieldDraft("belt", "Belt", "Compressor", choices=("6 ribs", "7 ribs"))
TIMES = Recording(np.array([0.0, 1.0]), ())


def add(store: Store, model: str = "Skerry", **changes: object) -> int:
    return vehicles.add_vehicle(store, replace(SKERRY, model=model, **changes))  # type: ignore[arg-type]


def read(store: Store, vehicle_id: int) -> int:
    """A vehicle gets a session and a reading made of it; the reading's id."""
    session = sessions.save(store, SessionDraft(vehicle_id, "A", "R-134a", "a.csv"), TIMES, b"a")
    now = datetime(2024, 7, 1, tzinfo=UTC)
    return readings.add(store, ReadingDraft(vehicle_id, None, session, now, Conditions(), 750.0, 1, {}))


def family_of(store: Store, vehicle_id: int) -> str:
    return vehicles.vehicle(store, vehicle_id).family


def test_families_are_listed_with_how_many_vehicles_share_them(store: Store) -> None:
    add(store), add(store, "Fell"), add(store, "Tor", family="large")
    assert [(one.name, one.maker, one.vehicles) for one in families(store, "Tarn")] == [
        ("large", "Tarn", 1), ("small", "Tarn", 2),
    ]  # fmt: skip
    assert families(store, "Arvik") == ()


def test_a_renamed_family_keeps_its_vehicles_and_can_be_named_back(store: Store) -> None:
    number = add(store)
    (family,) = families(store)
    rename_family(store, family.id, family.version, "compact", "as the maker calls it")
    assert family_of(store, number) == "compact"
    with pytest.raises(Conflict):
        rename_family(store, family.id, family.version, "tiny", "shorter")
    undo(store, shared_history(store)[0].id, "the maker changed its mind")
    assert family_of(store, number) == "small"


def test_two_families_of_a_maker_have_not_one_name(store: Store) -> None:
    add(store), add(store, "Tor", family="large")
    large, _ = families(store)
    with pytest.raises(Conflict, match="is there already"):
        rename_family(store, large.id, large.version, "small", "why not")


def test_a_split_family_loses_no_reading_and_grows_together_when_undone(store: Store) -> None:
    first, second = add(store), add(store, "Fell")
    reading = read(store, second)
    (family,) = families(store)
    new = split_family(store, family.id, [second], "small, two evaporators", "another condenser")
    assert (family_of(store, first), family_of(store, second)) == ("small", "small, two evaporators")
    assert [one.id for one in readings.family_readings(store, new)] == [reading]
    assert readings.family_readings(store, family.id) == ()
    undo(store, history(store, second)[0].id, "the same condenser")
    assert family_of(store, second) == "small"
    assert [one.name for one in families(store)] == ["small"]
    assert [one.id for one in readings.family_readings(store, family.id)] == [reading]


def test_a_family_is_not_split_by_vehicles_of_another(store: Store) -> None:
    add(store)
    stranger = add(store, "Tor", family="large")
    _, small = families(store)
    with pytest.raises(NotFound, match="Tor: not of the family small"):
        split_family(store, small.id, [stranger], "new", "mixed up")
    assert family_of(store, stranger) == "large"


def test_merged_families_hold_all_vehicles_and_part_again_when_undone(store: Store) -> None:
    first, second = add(store), add(store, "Tor", family="large")
    large, small = families(store)
    merge_families(store, small.id, large.id, "one design")
    assert family_of(store, first) == family_of(store, second) == "small"
    assert [one.name for one in families(store)] == ["small"]
    undo(store, history(store, second)[0].id, "two designs")
    assert family_of(store, second) == "large"
    assert len(families(store)) == 2


def test_families_of_two_makers_are_not_merged(store: Store) -> None:
    add(store), add(store, "Vik", make="Arvik")
    one, other = families(store)
    with pytest.raises(UnfitValue, match="of one maker"):
        merge_families(store, one.id, other.id, "looks the same")


def test_a_vehicle_moved_to_another_maker_takes_its_readings_along(store: Store) -> None:
    number = add(store)
    reading = read(store, number)
    move_vehicle(store, number, 1, "built by another", maker="Arvik", family="base")
    found = vehicles.vehicle(store, number)
    assert (found.make, found.maker, found.family) == ("Tarn", "Arvik", "base")
    assert found.family_id is not None
    assert [one.id for one in readings.family_readings(store, found.family_id)] == [reading]
    undo(store, history(store, number)[0].id, "badge only")
    back = vehicles.vehicle(store, number)
    assert (back.maker, back.family) == ("Tarn", "small")
    assert [one.maker for one in families(store)] == ["Tarn"]


def test_the_same_vehicle_entered_again_with_another_spelling_is_suspected(store: Store) -> None:
    number = add(store)
    again = add(store, "Skery", engine="petrol 1.6", year_from=2022)
    for other in ({"engine": "2.0 petrol"}, {"year_from": 2015, "year_to": 2019}, {"make": "Arvik"}):
        add(store, **other)
    (found,) = likely_duplicates(store, number)
    assert found.line.id == again
    assert found.reasons == ("model spelt nearly the same", "the same engine", "years that overlap")


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ({"build_to": "2021-06"}, {"build_from": "2021-07"}),
        ({"market": "north"}, {"market": "south"}),
        ({"evaporators": "single evaporator"}, {"evaporators": "dual evaporator"}),
    ],
)
def test_vehicles_told_apart_by_build_date_market_or_evaporators_are_two(
    store: Store, one: dict[str, str], other: dict[str, str]
) -> None:
    number = add(store, **one)
    add(store, **other)
    assert likely_duplicates(store, number) == ()


def test_one_car_under_two_vehicles_is_a_reason_by_itself(store: Store) -> None:
    number, other = add(store), add(store, "Tor", engine="2.2 diesel")
    for vehicle_id in (number, other):
        vehicles.add_unit(store, vehicle_id, vin="ZZ9TA000000000077")
    (found,) = likely_duplicates(store, number)
    assert (found.line.id, found.reasons) == (other, ("a car of the same VIN",))


def test_merging_moves_everything_and_undoing_moves_it_back(store: Store) -> None:
    keep = add(store, notes="quiet")
    other = add(store, "Skery", specs=(LABEL, BOOK), notes="loud")
    reading = read(store, other)
    vehicles.add_unit(store, other, fleet_number="van 7")
    book = vehicles.vehicle(store, other).specs["charge"][1]
    decide(store, other, "charge", book.id, "label of another build date")
    before = [vehicles.vehicle(store, one) for one in (keep, other)]
    merge_vehicles(store, keep, other, "entered twice")
    found = vehicles.vehicle(store, keep)
    assert [one.as_printed for one in found.specs["charge"]] == ["500 g", "470 ± 15 g"]
    assert found.notes == "quiet\nloud"
    assert [one.id for one in find(store, "van 7").lines] == [keep]
    assert [one.id for one in readings.readings(store, keep)] == [reading]
    assert sessions.count(store, keep) == 1
    with pytest.raises(NotFound):
        vehicles.vehicle(store, other)
    told = next(one for one in deleted(store) if one.kind == "vehicle")
    assert told.why == (
        f"entered twice (Tarn Skery 1.6 petrol, 2021–23, number {other}, merged into number {keep})"
    )
    undo(store, told.change_id, "they were two")
    after = [vehicles.vehicle(store, one) for one in (keep, other)]
    assert [shown(one) for one in after] == [shown(one) for one in before]
    assert [one.id for one in find(store, "van 7").lines] == [other]
    assert [one.id for one in readings.readings(store, other)] == [reading]
    assert (sessions.count(store, keep), sessions.count(store, other)) == (0, 1)


def shown(vehicle: object) -> object:
    """A vehicle without the versions, which count up with each change."""
    specs = {name: [one.id for one in values] for name, values in vehicle.specs.items()}  # type: ignore[attr-defined]
    decided = {name: one.spec_id for name, one in vehicle.decided.items()}  # type: ignore[attr-defined]
    return replace(vehicle, version=1, specs=specs, decided=decided)  # type: ignore[type-var]


def test_a_merging_that_a_later_change_stands_on_is_not_undone(store: Store) -> None:
    keep, other = add(store), add(store, "Skery", notes="loud")
    merge_vehicles(store, keep, other, "entered twice")
    merged = next(one for one in deleted(store) if one.kind == "vehicle")
    version = vehicles.vehicle(store, keep).version
    edit_vehicle(store, keep, version, replace(SKERRY, notes="very loud"), "heard it")
    with pytest.raises(Conflict, match="heard it"):
        undo(store, merged.change_id, "they were two")
    assert vehicles.count(store) == 1


def test_a_vehicle_is_not_merged_with_itself(store: Store) -> None:
    number = add(store)
    with pytest.raises(UnfitValue, match="itself"):
        merge_vehicles(store, number, number, "why not")


def test_an_added_field_is_offered_until_it_is_removed_and_its_values_stay(store: Store) -> None:
    number = define_field(store, BELT)
    define_field(store, replace(BELT, name="clamp", title="Clamp place"))
    vehicle_id = add(store, specs=(replace(LABEL, field="belt", value=None, as_printed="6 ribs"),))
    first, second = shop_fields(store)
    assert (first.title, first.section, first.choices) == ("Belt", "Compressor", ("6 ribs", "7 ribs"))
    assert second.position > first.position
    remove_field(store, number, 1, "nobody fills it in")
    assert [one.name for one in shop_fields(store)] == ["clamp"]
    kept = vehicles.vehicle(store, vehicle_id).spec("belt")
    assert kept is not None
    assert kept.as_printed == "6 ribs"
    assert define_field(store, BELT) == number
    assert [one.name for one in shop_fields(store)] == ["belt", "clamp"]


def test_an_edited_field_keeps_its_name_and_can_be_moved(store: Store) -> None:
    number = define_field(store, BELT)
    edit_field(store, number, 1, replace(BELT, title="Drive belt"), "clearer", position=9)
    (field,) = shop_fields(store)
    assert (field.name, field.title, field.position) == ("belt", "Drive belt", 9)
    with pytest.raises(Conflict):
        edit_field(store, number, 1, BELT, "no")
    undo(store, shared_history(store)[0].id, "no")
    assert shop_fields(store)[0].title == "Belt"


@pytest.mark.parametrize("draft", [replace(BELT, title=" "), replace(BELT, kind="colour")])
def test_a_field_without_title_or_of_an_unknown_kind_is_refused(store: Store, draft: ShopFieldDraft) -> None:
    with pytest.raises(UnfitValue, match="Nothing was changed"):
        define_field(store, draft)


def test_two_fields_have_not_one_name(store: Store) -> None:
    define_field(store, BELT)
    with pytest.raises(Conflict, match="Belt"):
        define_field(store, BELT)
