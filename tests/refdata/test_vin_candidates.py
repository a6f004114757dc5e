"""Which vehicles a VIN is compared with, and which car carries it; makes and VINs are made up."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from knowngood_refdata.drafts import VehicleDraft
from knowngood_refdata.queries import vehicle_edits, vehicles, vin_candidates
from knowngood_refdata.queries.vin_candidates import candidates, cars_with
from knowngood_refdata.store import Store
from knowngood_refdata.vin import read_vin

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

AMERICAN_2022 = read_vin("1ZTAB1CBXNF012345", today_year=2026)
EUROPEAN = read_vin("WZTAB1CBZ00012345", today_year=2026)


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Store]:
    store = Store.open(tmp_path / "library.sqlite", user="Ada Fell")
    yield store
    store.close()


def add(
    store: Store, model: str, years: tuple[int, int | None], pattern: str = "", make: str = "Tarn"
) -> int:
    return vehicles.add_vehicle(store, VehicleDraft(make, model, "", *years, vin_pattern=pattern))


def models(store: Store, vin_text: str, make: str = "") -> list[str]:
    vin = read_vin(vin_text, today_year=2026)
    return [one.model for one in candidates(store, vin, make).vehicles]


def test_a_model_year_that_is_bound_to_be_there_leaves_other_years_out(library: Store) -> None:
    add(library, "Old", (2010, 2015))
    add(library, "Now", (2021, None))
    assert models(library, AMERICAN_2022.typed) == ["Now"]
    assert models(library, EUROPEAN.typed) == ["Now", "Old"]


def test_a_pattern_of_another_country_is_left_out_but_not_an_open_one(library: Store) -> None:
    for model, pattern in (("A", "1ZT"), ("B", "WZT"), ("C", "??TAB"), ("D", "WAA 1ZTA"), ("E", "")):
        add(library, model, (2020, 2024), pattern)
    assert models(library, AMERICAN_2022.typed) == ["A", "C", "D", "E"]


def test_too_many_without_a_pattern_wait_for_the_make(
    library: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(vin_candidates, "MOST_WITHOUT_PATTERN", 1)
    add(library, "A", (2020, 2024), "1ZT")
    add(library, "B", (2020, 2024))
    add(library, "C", (2020, 2024), make="Fen")
    found = candidates(library, AMERICAN_2022)
    assert ([one.model for one in found.vehicles], found.left_aside) == (["A"], 2)
    assert models(library, AMERICAN_2022.typed, make="tarn") == ["A", "B"]


def test_a_deleted_vehicle_is_no_candidate_and_its_car_is_not_found(library: Store) -> None:
    number = add(library, "Gone", (2020, 2024))
    vehicles.add_unit(library, number, vin=AMERICAN_2022.characters, fleet_number="7")
    assert [one.fleet_number for one in cars_with(library, AMERICAN_2022.characters)] == ["7"]
    vehicle_edits.delete_vehicle(library, number, vehicles.vehicle(library, number).version, "entered twice")
    assert models(library, AMERICAN_2022.typed) == []
    assert cars_with(library, AMERICAN_2022.characters) == ()
    assert cars_with(library, "") == ()
