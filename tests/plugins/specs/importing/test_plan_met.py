"""Which vehicle a row is taken for: one on record, a new one, that of another row, or none without asking."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from knowngood_refdata.drafts import UnitDraft
from knowngood_refdata.records import Unit, Vehicle
from knowngood_specs.core.importing.plan import Outcome

from .charge_list import BOOK, HEADER, LABEL, SKERRY, only

if TYPE_CHECKING:
    from .conftest import Planned


def test_a_row_that_is_on_record_is_unchanged_however_it_is_written(planned: Planned) -> None:
    row = only(
        planned(
            f"{HEADER}TARN;skerry;1,6  Petrol;2021-23;single;0.470 ± 0.015 kg;Label;Photographed\n", [SKERRY]
        )
    )
    assert (row.outcome, row.vehicle_id) == (Outcome.UNCHANGED, 7)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("Tarn;Skerry;1.6 petrol;21;single;470 g;label;x", "two digits"),
        ("Tarn;Skery;1.6 petrol;2021-2023;single;470 g;label;x", "may be a vehicle on record: Tarn Skerry"),
        ("Trn;Skerry;1.6 petrol;2021-2023;single;470 g;label;x", "may be a vehicle on record: Tarn Skerry"),
        ("Tarn;Skerry;1.6 petrol;2022;single;470 g;label;x", "may be a vehicle on record"),
        ("Tarn;Skerry;;2021-2023;single;470 g;label;x", "may be a vehicle on record"),
        ("Tarn;Rill;electric;2031;single;470 g;label;x", "lies in the future"),
    ],
)
def test_what_may_be_meant_otherwise_is_doubted_and_never_merged(
    line: str, words: str, planned: Planned
) -> None:
    done = planned(f"{HEADER}{line}\n", [SKERRY])
    row = only(done)
    assert row.outcome is Outcome.DOUBTED
    assert words in row.reason
    assert done.additions() == ()


@pytest.mark.parametrize(
    "line",
    [
        "Tarn;Skerry 2;1.6 petrol;2021-2023;single;470 g;label;x",
        "Tarn;Skerry;2.0 diesel;2021-2023;single;470 g;label;x",
        "Tarn;Skerry;1.6 petrol;2021-2023;dual;670 g;label;x",
        "Tarn;Skerry;1.6 petrol;2024;single;470 g;label;x",
        "Fen;Skerry;1.6 petrol;2021-2023;single;470 g;label;x",
    ],
)
def test_another_digit_engine_make_year_or_evaporator_is_another_vehicle(line: str, planned: Planned) -> None:
    assert only(planned(f"{HEADER}{line}\n", [SKERRY])).outcome is Outcome.ADDED


def test_a_charge_for_a_car_that_may_have_two_evaporators_is_doubted(planned: Planned) -> None:
    dual = Vehicle(8, "Tarn", "Fell", "2.0", 2021, 2023, evaporators="dual evaporator")
    row = only(planned("Make;Model;Engine;Years;Charge\nTarn;Fell;2.0;2021-23;900 g\n", [dual]))
    assert row.outcome is Outcome.DOUBTED
    assert "dual evaporator" in row.reason


def test_a_build_split_on_record_is_not_met_by_a_row_without_build_months(planned: Planned) -> None:
    split = Vehicle(9, "Tarn", "Fell", "2.0", 2021, 2023, build_from="2021-03", build_to="2022-06")
    header = "Make;Model;Engine;Years;Build from;Build to;Charge\n"
    without = only(planned(f"{header}Tarn;Fell;2.0;2021-23;;;900 g\n", [split]))
    assert "build months" in without.reason
    met = only(planned(f"{header}Tarn;Fell;2.0;2021-23;03/2021;06/2022;900 g\n", [split]))
    assert (met.outcome, met.vehicle_id) == (Outcome.CHANGED, 9)
    other = only(planned(f"{header}Tarn;Fell;2.0;2021-23;07/2022;12/2023;850 g\n", [split]))
    assert other.outcome is Outcome.ADDED


def test_a_row_that_fits_several_vehicles_names_them(planned: Planned) -> None:
    pair = [
        Vehicle(1, "Tarn", "Fell", "2.0", 2021, 2023, generation="first"),
        Vehicle(2, "Tarn", "Fell", "2.0", 2021, 2023, generation="second"),
    ]
    row = only(planned("Make;Model;Engine;Years;Charge\nTarn;Fell;2.0;2021-23;900 g\n", pair))
    assert row.outcome is Outcome.DOUBTED
    assert row.candidates == (1, 2)


def test_a_row_said_before_in_the_file_is_doubted_naming_the_earlier(planned: Planned) -> None:
    line = "Tarn;Rill;electric;2022;single;600 g;label;x\n"
    done = planned(f"{HEADER}{line}{line}")
    assert [row.outcome for row in done.rows] == [Outcome.ADDED, Outcome.DOUBTED]
    assert done.rows[1].reason == "It repeats row 2."


def test_two_rows_of_one_new_vehicle_make_one_addition(planned: Planned) -> None:
    done = planned(
        f"{HEADER}Tarn;Rill;electric;2022;single;600 g;label;x\n"
        "Tarn;Rill;electric;2022;single;600 g;manual;y\n"
    )
    assert [row.outcome for row in done.rows] == [Outcome.ADDED, Outcome.ADDED]
    (addition,) = done.additions()
    assert addition.rows == (2, 3)
    assert addition.vehicle is not None
    assert [one.source_kind for one in addition.vehicle.specs] == [LABEL, BOOK]


def test_rows_of_a_file_that_contradict_each_other_are_doubted(planned: Planned) -> None:
    done = planned(
        f"{HEADER}Tarn;Rill;electric;2022;single;600 g;label;x\n"
        "Tarn;Rill;electric;2022;single;700 g;manual;y\n"
        "Tarn;Ril;electric;2022;single;600 g;label;x\n"
    )
    assert [row.outcome for row in done.rows] == [Outcome.ADDED, Outcome.DOUBTED, Outcome.DOUBTED]
    assert "differs from 600 g (label) in row 2" in done.rows[1].reason
    assert "It may be the vehicle of row 2" in done.rows[2].reason


def test_rows_of_a_doubted_new_vehicle_are_doubted_with_it(planned: Planned) -> None:
    done = planned(
        f"{HEADER}Tarn;Skery;1.6 petrol;2021-2023;single;470 g;label;x\n"
        "Tarn;Skery;1.6 petrol;2021-2023;single;470 g;manual;y\n",
        [SKERRY],
    )
    assert [row.outcome for row in done.rows] == [Outcome.DOUBTED, Outcome.DOUBTED]
    (addition,) = done.additions({2: 7, 3: 7})
    assert (addition.vehicle_id, len(addition.specs)) == (7, 2)


def test_cars_of_a_fleet_list_are_added_to_their_vehicle_once(planned: Planned) -> None:
    known = Unit(3, 7, "VF1AAAAAAAA000001", "12")
    done = planned(
        "Make;Model;Engine;Years;Evaporators;VIN;Fleet number\n"
        "Tarn;Skerry;1.6 petrol;2021-23;single;VF1AAAAAAAA000001;12\n"
        "Tarn;Skerry;1.6 petrol;2021-23;single;vf1-aaaaaaaa-000002;13\n"
        "Tarn;Skerry;1.6 petrol;2021-23;single;VF1AAAAAAAA000002;13\n"
        "Tarn;Skerry;1.6 petrol;2021-23;single;VF1AAAAAAAA0003;14\n"
        "Fen;Harrier;2.0;2017;single;VF1AAAAAAAA000001;12\n",
        [SKERRY],
        [known],
    )
    assert [row.outcome for row in done.rows] == [
        Outcome.UNCHANGED, Outcome.CHANGED, Outcome.DOUBTED, Outcome.DOUBTED, Outcome.DOUBTED,
    ]  # fmt: skip
    assert done.rows[2].reason == "It repeats row 3."
    assert "is no VIN" in done.rows[3].reason
    assert "on record as another vehicle (number 7)" in done.rows[4].reason
    (addition,) = done.additions()
    assert addition.units == (UnitDraft("VF1AAAAAAAA000002", "13"),)
