"""Which cars of the library were built with either refrigerant, on both databases."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_refdata.drafts import SpecDraft, VehicleDraft
from knowngood_refdata.queries import pairs, vehicles
from knowngood_refdata.queries.pairs import Likeness
from knowngood_refdata.records import SourceKind

if TYPE_CHECKING:
    from knowngood_refdata.store import Store

OLD, NEW = "R-134a", "R-1234yf"


def add(
    store: Store,
    refrigerant: str,
    model: str = "Wader",
    engine: str = "1.2 petrol",
    *,
    make: str = "Fen",
    family: str = "",
    source: SourceKind = SourceKind.UNDER_HOOD_LABEL,
) -> int:
    gas = SpecDraft("refrigerant", None, refrigerant, source, "label")
    return vehicles.add_vehicle(
        store,
        VehicleDraft(make, model, engine, 2017, 2022, family=family, specs=(gas,) if refrigerant else ()),
    )


def found(store: Store) -> list[tuple[int, int, Likeness]]:
    return [(one.first.id, one.second.id, one.likeness) for one in pairs.pairs(store, OLD, NEW)]


def test_a_model_with_either_refrigerant_is_a_pair_in_the_order_asked_for(store: Store) -> None:
    newer, older = add(store, NEW), add(store, OLD)
    assert found(store) == [(older, newer, Likeness.ENGINE)]
    (turned,) = pairs.pairs(store, NEW, OLD)
    assert (turned.first.id, turned.second.id) == (newer, older)
    assert turned.first.refrigerant == NEW


def test_the_spelling_of_make_and_model_in_capitals_does_not_part_a_pair(store: Store) -> None:
    older, newer = add(store, OLD, "ÄSCHE", make="FEN"), add(store, NEW, "Äsche")
    assert found(store) == [(older, newer, Likeness.ENGINE)]


def test_another_engine_is_a_looser_likeness_and_comes_later(store: Store) -> None:
    diesel, petrol, older = add(store, NEW, engine="1.5 diesel"), add(store, NEW), add(store, OLD)
    assert found(store) == [(older, petrol, Likeness.ENGINE), (older, diesel, Likeness.MODEL)]


def test_another_model_is_a_pair_only_within_the_system_family(store: Store) -> None:
    older = add(store, OLD, family="Fen compact")
    add(store, NEW, "Heron", family="Fen large")
    add(store, NEW, "Stork")
    kin = add(store, NEW, "Dipper", family="Fen compact")
    assert found(store) == [(older, kin, Likeness.FAMILY)]


def test_the_same_family_name_of_another_maker_is_another_family(store: Store) -> None:
    add(store, OLD, family="compact")
    add(store, NEW, "Gill", make="Tarn", family="compact")
    assert found(store) == []


def test_cars_with_one_refrigerant_or_none_on_record_make_no_pair(store: Store) -> None:
    add(store, NEW)
    add(store, NEW, engine="1.5 diesel")
    add(store, "")
    assert found(store) == []


def test_the_label_decides_which_refrigerant_a_car_holds_whatever_the_book_says(store: Store) -> None:
    older = add(store, OLD)
    car = add(store, OLD, engine="1.5 diesel", source=SourceKind.SERVICE_INFORMATION)
    assert found(store) == []
    label = SpecDraft("refrigerant", None, NEW, SourceKind.UNDER_HOOD_LABEL, "label of car 7")
    vehicles.add_spec(store, car, label)
    assert found(store) == [(older, car, Likeness.MODEL)]


def test_no_more_pairs_than_asked_for_are_given_and_the_closest_are_kept(store: Store) -> None:
    add(store, NEW, engine="1.5 diesel")
    older, newer = add(store, OLD), add(store, NEW)
    (kept,) = pairs.pairs(store, OLD, NEW, limit=1)
    assert (kept.first.id, kept.second.id) == (older, newer)


def test_an_empty_library_has_no_pair(store: Store) -> None:
    assert found(store) == []
