"""Editing the spec library with its history, undoing, decisions; on both databases."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from knowngood_refdata.drafts import SpecDraft, UnitDraft, VehicleDraft
from knowngood_refdata.errors import NotFound, UnfitValue
from knowngood_refdata.queries import finding, vehicles
from knowngood_refdata.queries.history import Change, deleted, history
from knowngood_refdata.queries.reasons import WhyMissing
from knowngood_refdata.queries.spec_edits import (
    correct_spec,
    decide,
    restore_spec,
    retire_spec,
    review_spec,
    undecide,
)
from knowngood_refdata.queries.undo import undo
from knowngood_refdata.queries.vehicle_edits import (
    delete_unit,
    delete_vehicle,
    edit_unit,
    edit_vehicle,
    restore_unit,
    restore_vehicle,
)
from knowngood_refdata.records import SourceKind, SpecValue
from knowngood_refdata.store import Conflict, Store

if TYPE_CHECKING:
    from collections.abc import Callable

LABEL = SpecDraft("charge", 0.470, "470 ± 15 g", SourceKind.UNDER_HOOD_LABEL, "label of car 3", 0.015)
BOOK = SpecDraft("charge", 0.500, "500 g", SourceKind.SERVICE_INFORMATION, "Tarn workshop data")
GAS = SpecDraft("refrigerant", None, "R-1234yf", SourceKind.UNDER_HOOD_LABEL, "label of car 3")
SKERRY = VehicleDraft("Tarn", "Skerry", "1.6 petrol", 2021, 2023, specs=(BOOK, LABEL, GAS))


@pytest.fixture
def skerry(store: Store) -> int:
    return vehicles.add_vehicle(store, SKERRY)


def charge(store: Store, vehicle_id: int) -> SpecValue:
    value = vehicles.vehicle(store, vehicle_id).spec("charge")
    assert value is not None
    return value


def latest(store: Store, vehicle_id: int) -> Change:
    return history(store, vehicle_id)[0]


def names(store: Store, words: str) -> list[str]:
    return [one.model for one in finding.find(store, words).lines]


def as_user(store: Store, name: str) -> Store:
    return replace(store, user=name)


def test_an_edited_vehicle_is_found_by_its_new_name_and_not_by_its_old(store: Store, skerry: int) -> None:
    edit_vehicle(store, skerry, 1, replace(SKERRY, model="Fellside"), "misspelt")
    assert names(store, "fellside") == ["Fellside"]
    assert names(store, "skerry") == []


def test_a_vehicle_edited_on_an_outdated_version_is_a_conflict(store: Store, skerry: int) -> None:
    edit_vehicle(store, skerry, 1, replace(SKERRY, model="Fellside"), "misspelt")
    with pytest.raises(Conflict, match="Their version was kept"):
        edit_vehicle(store, skerry, 1, SKERRY, "no, it was right")
    assert vehicles.vehicle(store, skerry).model == "Fellside"


def test_adding_a_value_or_a_car_makes_no_conflict_for_whoever_edits_the_vehicle(
    store: Store, skerry: int
) -> None:
    vehicles.add_spec(store, skerry, replace(GAS, as_printed="R-134a"))
    vehicles.add_unit(store, skerry, fleet_number="van 7")
    edit_vehicle(store, skerry, 1, replace(SKERRY, notes="quiet"), "heard it")
    assert vehicles.vehicle(store, skerry).notes == "quiet"


@pytest.mark.parametrize(
    "change",
    [
        lambda store, number: edit_vehicle(store, number, 1, SKERRY, " "),
        lambda store, number: delete_vehicle(store, number, 1, ""),
        lambda store, number: retire_spec(store, 1, 1, ""),
        lambda store, number: correct_spec(store, 1, 1, BOOK, ""),
        lambda store, number: decide(store, number, "charge", 1, ""),
    ],
)
def test_nothing_is_changed_without_a_reason(
    store: Store, skerry: int, change: Callable[[Store, int], object]
) -> None:
    with pytest.raises(WhyMissing, match="Nothing was changed"):
        change(store, skerry)
    assert all(one.action == "added" for one in history(store, skerry))


def test_a_deleted_vehicle_is_gone_from_every_list_and_comes_back_whole(store: Store, skerry: int) -> None:
    before = vehicles.vehicle(store, skerry)
    delete_vehicle(store, skerry, 1, "entered twice")
    assert names(store, "skerry") == []
    assert vehicles.count(store) == 0
    (told,) = deleted(store)
    assert (told.kind, told.id, told.why, told.who) == ("vehicle", skerry, "entered twice", "Ada Fell")
    restore_vehicle(store, skerry, "it was another")
    assert replace(vehicles.vehicle(store, skerry), version=before.version) == before
    assert latest(store, skerry).action == "brought back"
    assert deleted(store) == ()


def test_a_car_is_found_by_its_fleet_number_and_vin_as_long_as_it_has_them(store: Store, skerry: int) -> None:
    unit = vehicles.add_unit(store, skerry, vin="ZZ9TA000000000077", fleet_number="van 77")
    assert names(store, "van 77") == names(store, "000077") == ["Skerry"]
    edit_unit(store, unit, 1, UnitDraft("ZZ9TA000000000078", "van 78"), "misread")
    assert names(store, "van 77") == []
    assert names(store, "000078") == ["Skerry"]
    (car,) = vehicles.units(store, skerry)
    delete_unit(store, unit, car.version, "sold")
    assert names(store, "000078") == []
    restore_unit(store, unit, "bought back")
    assert names(store, "000078") == ["Skerry"]


def test_a_car_edited_on_an_outdated_version_is_a_conflict(store: Store, skerry: int) -> None:
    unit = vehicles.add_unit(store, skerry, fleet_number="van 7")
    edit_unit(store, unit, 1, UnitDraft(fleet_number="van 8"), "misread")
    with pytest.raises(Conflict):
        edit_unit(store, unit, 1, UnitDraft(fleet_number="van 9"), "misread")


def test_a_corrected_value_takes_the_place_of_the_old_one_which_is_kept(store: Store, skerry: int) -> None:
    old = charge(store, skerry)
    number = correct_spec(
        as_user(store, "Bo Tarn"),
        old.id,
        old.version,
        replace(LABEL, as_printed="480 g", value=0.48),
        "misread",
    )
    new = charge(store, skerry)
    assert (new.id, new.as_printed, new.entered_by, new.reviewed_by) == (number, "480 g", "Bo Tarn", "")
    assert [one.as_printed for one in vehicles.vehicle(store, skerry).specs["charge"]] == ["480 g", "500 g"]
    (told,) = deleted(store)
    assert (told.kind, told.subject, told.why) == ("spec value", "charge: 470 ± 15 g", "misread")


def test_a_value_cannot_be_corrected_into_another_field(store: Store, skerry: int) -> None:
    old = charge(store, skerry)
    with pytest.raises(UnfitValue, match="cannot become one of refrigerant"):
        correct_spec(store, old.id, old.version, GAS, "mixed up")


def test_undoing_either_half_of_a_correction_undoes_both(store: Store, skerry: int) -> None:
    before = vehicles.vehicle(store, skerry).specs["charge"]
    correct_spec(store, before[0].id, 1, replace(LABEL, as_printed="480 g", value=0.48), "misread")
    undo(store, latest(store, skerry).id, "it was right")
    after = vehicles.vehicle(store, skerry).specs["charge"]
    assert [(one.id, one.as_printed) for one in after] == [(one.id, one.as_printed) for one in before]
    undo(store, latest(store, skerry).id, "no, it was not")
    assert charge(store, skerry).as_printed == "480 g"


def test_a_retired_refrigerant_is_no_longer_searched_for_until_it_is_brought_back(
    store: Store, skerry: int
) -> None:
    gas = vehicles.vehicle(store, skerry).spec("refrigerant")
    assert gas is not None
    retire_spec(store, gas.id, gas.version, "of another car")
    assert names(store, "1234yf") == []
    restore_spec(store, gas.id, "it was of this one")
    assert names(store, "1234yf") == ["Skerry"]


def test_whoever_reviews_their_own_entry_is_warned_when_there_are_others(store: Store, skerry: int) -> None:
    value = charge(store, skerry)
    assert review_spec(store, value.id, 1) == ""
    vehicles.add_unit(as_user(store, "Bo Tarn"), skerry, fleet_number="van 7")
    assert "someone else" in review_spec(store, value.id, 2)
    assert review_spec(as_user(store, "Bo Tarn"), value.id, 3) == ""
    reviewed = charge(store, skerry)
    assert reviewed.reviewed_by == "Bo Tarn"
    assert reviewed.reviewed_at is not None
    with pytest.raises(WhyMissing, match="name"):
        review_spec(as_user(store, ""), value.id, 4)


def test_the_value_decided_for_comes_before_the_label_until_that_is_taken_back(
    store: Store, skerry: int
) -> None:
    label, book = vehicles.vehicle(store, skerry).specs["charge"]
    decide(store, skerry, "charge", book.id, "label of another build date")
    found = vehicles.vehicle(store, skerry)
    assert [one.id for one in found.specs["charge"]] == [book.id, label.id]
    assert (found.decided["charge"].who, found.decided["charge"].why) == (
        "Ada Fell", "label of another build date",
    )  # fmt: skip
    assert finding.find(store, "skerry").lines[0].charge == "500 g"
    undecide(store, skerry, "charge", "asked the maker")
    assert charge(store, skerry).id == label.id
    assert finding.find(store, "skerry").lines[0].charge == "470 ± 15 g"
    decide(store, skerry, "charge", book.id, "asked again")
    assert charge(store, skerry).id == book.id


def test_a_decision_follows_the_value_when_it_is_corrected(store: Store, skerry: int) -> None:
    _, book = vehicles.vehicle(store, skerry).specs["charge"]
    decide(store, skerry, "charge", book.id, "label of another build date")
    new = correct_spec(store, book.id, 1, replace(BOOK, as_printed="510 g", value=0.51), "misread")
    assert charge(store, skerry).id == new


def test_a_value_of_another_vehicle_cannot_be_decided_for(store: Store, skerry: int) -> None:
    other = vehicles.add_vehicle(store, replace(SKERRY, model="Fell"))
    with pytest.raises(NotFound, match="holds no such value"):
        decide(store, skerry, "charge", charge(store, other).id, "mixed up")


def test_the_history_tells_field_by_field_what_was_and_what_is(store: Store, skerry: int) -> None:
    edit_vehicle(
        store, skerry, 1, replace(SKERRY, model="Fellside", year_to=None, maker="Tarn Works"), "misspelt"
    )
    change = latest(store, skerry)
    assert (change.action, change.kind, change.who, change.why) == (
        "changed", "vehicle", "Ada Fell", "misspelt",
    )  # fmt: skip
    told = {one.title: (one.before, one.after) for one in change.fields}
    assert told == {
        "model": ("Skerry", "Fellside"),
        "last model year": ("2023", ""),
        "maker": ("Tarn", "Tarn Works"),
    }


def test_the_history_holds_values_cars_and_decisions_the_latest_first(store: Store, skerry: int) -> None:
    vehicles.add_unit(store, skerry, fleet_number="van 7")
    decide(store, skerry, "charge", charge(store, skerry).id, "sure")
    kinds = [one.kind for one in history(store, skerry)]
    assert kinds[:2] == ["decision", "car"]
    assert sorted(kinds[2:]) == ["spec value", "spec value", "spec value", "vehicle"]
    told = [one.after for one in history(store, skerry)[0].fields if one.title == "value that counts"]
    assert told == ["charge: 470 ± 15 g"]


def test_any_change_of_a_vehicle_can_be_undone_and_that_again(store: Store, skerry: int) -> None:
    before = vehicles.vehicle(store, skerry)
    edit_vehicle(store, skerry, 1, replace(SKERRY, model="Fellside", family="small"), "misspelt")
    undo(store, latest(store, skerry).id, "it was right")
    after = vehicles.vehicle(store, skerry)
    assert replace(after, version=1) == before
    assert names(store, "skerry") == ["Skerry"]
    undo(store, latest(store, skerry).id, "no")
    assert vehicles.vehicle(store, skerry).model == "Fellside"


def test_a_change_on_which_a_later_one_stands_is_not_undone(store: Store, skerry: int) -> None:
    edit_vehicle(store, skerry, 1, replace(SKERRY, model="Fell"), "misspelt")
    first = latest(store, skerry)
    edit_vehicle(as_user(store, "Bo Tarn"), skerry, 2, replace(SKERRY, model="Fellside"), "incomplete")
    assert not next(one for one in history(store, skerry) if one.id == first.id).stands
    with pytest.raises(Conflict, match=r"another, made by Bo Tarn .*\(incomplete\)\. Nothing was changed"):
        undo(store, first.id, "wrong")
    assert vehicles.vehicle(store, skerry).model == "Fellside"


def test_a_later_change_of_other_fields_does_not_stand_in_the_way(store: Store, skerry: int) -> None:
    edit_vehicle(store, skerry, 1, replace(SKERRY, model="Fell"), "misspelt")
    first = latest(store, skerry)
    edit_vehicle(store, skerry, 2, replace(SKERRY, model="Fell", notes="quiet"), "heard it")
    undo(store, first.id, "it was right")
    found = vehicles.vehicle(store, skerry)
    assert (found.model, found.notes) == ("Skerry", "quiet")


def test_an_added_value_that_is_undone_is_retired_and_can_be_brought_back(store: Store, skerry: int) -> None:
    number = vehicles.add_spec(store, skerry, replace(GAS, as_printed="R-134a"))
    undo(store, latest(store, skerry).id, "of another car")
    assert [one.as_printed for one in vehicles.vehicle(store, skerry).specs["refrigerant"]] == ["R-1234yf"]
    restore_spec(store, number, "it was of this one")
    assert len(vehicles.vehicle(store, skerry).specs["refrigerant"]) == 2


def test_a_review_can_be_undone(store: Store, skerry: int) -> None:
    review_spec(store, charge(store, skerry).id, 1)
    undo(store, latest(store, skerry).id, "wrong page")
    value = charge(store, skerry)
    assert (value.reviewed_by, value.reviewed_at) == ("", None)


def test_a_change_that_is_not_there_cannot_be_undone(store: Store) -> None:
    with pytest.raises(NotFound, match="no change number 99"):
        undo(store, 99, "why not")
