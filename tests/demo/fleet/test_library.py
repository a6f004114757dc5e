"""The fleet in the library, on SQLite and PostgreSQL."""

from __future__ import annotations

import zipfile
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import inspect, text

from knowngood_fleet import library
from knowngood_fleet.core.fleet import Counters, Done
from knowngood_fleet.core.leaks import Service, Verdict, Work, leak
from knowngood_fleet.core.lists import ListRefused
from knowngood_fleet.importing import take_lists
from knowngood_fleet.library import Refused
from knowngood_fleet.rows import UNIT
from knowngood_fleet.tables import PREFIX, first_tables, repairs_and_checks
from knowngood_refdata import plugin_tables

if TYPE_CHECKING:
    from pathlib import Path

    from knowngood_refdata.store import Store

DAY = date(2025, 4, 2)
WEIGHED = Service(DAY, Work.WEIGHED_IN, 5.0, 4.6, repaired=True, note="O-ring at the hose")


def enrol(store: Store, *names: str, depot: str = "Quay") -> dict[str, int]:
    cars = [one for one in library.cars(store) if one.name in names]
    library.add_units(store, cars, depot, "city bus", 0.06)
    return {one.name: one.unit_id for one in cars}


@pytest.mark.usefixtures("wherries")
def test_cars_of_the_library_become_units_of_the_fleet_and_are_offered_no_longer(fleet_store: Store) -> None:
    assert [one.name for one in library.cars(fleet_store)] == [
        "HL-901",
        "HL-902",
        "HL-903",
        "HL-904",
        "HL-951",
    ]
    enrol(fleet_store, "HL-902", "HL-951")
    assert [one.name for one in library.cars(fleet_store)] == ["HL-901", "HL-903", "HL-904"]
    first, second = library.units(fleet_store)
    assert (first.name, first.depot, first.body, first.usual_loss_kg) == ("HL-902", "Quay", "city bus", 0.06)
    assert first.charge_kg == 5.0
    assert second.charge_kg is None
    assert "Wherry" in first.design


@pytest.mark.usefixtures("wherries")
def test_what_was_entered_comes_back_as_it_was(fleet_store: Store) -> None:
    number = enrol(fleet_store, "HL-901")["HL-901"]
    top_up = Service(date(2025, 9, 1), Work.TOPPED_UP, 0.3, limit_kg=0.005)
    library.add_service(fleet_store, number, top_up)
    library.add_service(fleet_store, number, WEIGHED)
    library.add_counters(fleet_store, number, Counters(DAY, 8_100.5, None))
    library.add_done(fleet_store, number, Done("Leak check", DAY, 8_100.5, None, "dry"))
    found = library.unit(fleet_store, number)
    assert found is not None
    assert [replace(one, id=None) for one in found.services] == [WEIGHED, top_up]
    assert found.counters == (Counters(DAY, 8_100.5, None),)
    assert found.done == (Done("Leak check", DAY, 8_100.5, None, "dry"),)


@pytest.mark.usefixtures("wherries")
def test_a_service_that_was_struck_out_counts_no_longer_and_stays_on_record(fleet_store: Store) -> None:
    number = enrol(fleet_store, "HL-901")["HL-901"]
    library.add_service(fleet_store, number, WEIGHED)
    (entered,) = library.unit(fleet_store, number).services  # type: ignore[union-attr]
    with pytest.raises(Refused, match="with a reason"):
        library.strike_service(fleet_store, entered.id or 0, " ")
    library.strike_service(fleet_store, entered.id or 0, "weighed on another unit")
    assert library.unit(fleet_store, number).services == ()  # type: ignore[union-attr]
    with fleet_store.reading() as session:
        kept = session.execute(text("SELECT charged_kg, struck_why FROM fleet_service")).one()
    assert tuple(kept) == (5.0, "weighed on another unit")


@pytest.mark.usefixtures("wherries")
def test_nonsense_is_refused_in_words_and_nothing_is_stored(fleet_store: Store) -> None:
    number = enrol(fleet_store, "HL-901")["HL-901"]
    library.add_counters(fleet_store, number, Counters(DAY, 900.0, None))
    with pytest.raises(Refused, match="would fall from 900"):
        library.add_counters(fleet_store, number, Counters(date(2025, 5, 1), 90.0, None))
    with pytest.raises(Refused, match="Neither engine hours nor odometer"):
        library.add_counters(fleet_store, number, Counters(DAY))
    with pytest.raises(Refused, match="zero or more"):
        library.add_service(fleet_store, number, replace(WEIGHED, charged_kg=-1.0))
    with pytest.raises(Refused, match="nothing to enter"):
        library.add_service(fleet_store, number, Service(DAY, Work.TOPPED_UP, 0.0))
    with pytest.raises(Refused, match="limit of error"):
        library.add_service(fleet_store, number, replace(WEIGHED, limit_kg=0.0))
    with pytest.raises(Refused, match="stands at a depot"):
        enrol(fleet_store, "HL-902", depot="  ")
    with pytest.raises(Refused, match="stands at a depot"):
        library.move(fleet_store, number, "")
    found = library.unit(fleet_store, number)
    assert found is not None
    assert (len(found.counters), found.services) == (1, ())


@pytest.mark.usefixtures("wherries")
def test_a_unit_can_move_to_another_depot(fleet_store: Store) -> None:
    number = enrol(fleet_store, "HL-901")["HL-901"]
    library.move(fleet_store, number, "Mill Road")
    assert [one.depot for one in library.units(fleet_store)] == ["Mill Road"]


def test_a_unit_whose_vehicle_left_the_library_stays_and_is_told_as_such(
    fleet_store: Store, wherries: int
) -> None:
    enrol(fleet_store, "HL-901")
    with fleet_store.engine.begin() as connection:
        connection.execute(
            text("UPDATE configuration SET deleted_at = changed_at WHERE id = :id"), {"id": wherries}
        )
    (found,) = library.units(fleet_store)
    assert "no longer on record" in found.name
    assert found.design == "no longer on record"


def test_the_second_step_keeps_what_the_first_one_holds(store: Store) -> None:
    with store.engine.begin() as connection:
        UNIT.metadata.drop_all(connection)
        connection.execute(text("DELETE FROM plugin_schema"))
    plugin_tables.make(store, "fleet", PREFIX, [first_tables])
    with store.engine.begin() as connection:
        connection.execute(
            text(
                "INSERT INTO fleet_service (unit_id, at, work, charged_kg, limit_kg, left_share, note,"
                " entered_by, entered_at) VALUES (7, '2025-04-02', 'refrigerant added without recovery',"
                " 0.3, 0.015, 0.05, '', 'Ada Fell', '2025-04-02 10:00:00+00:00')"
            )
        )
    plugin_tables.make(store, "fleet", PREFIX, [first_tables, repairs_and_checks])
    assert plugin_tables.steps_made(store) == {"fleet": 2}
    with store.reading() as session:
        kept = session.execute(text("SELECT unit_id, charged_kg, repaired FROM fleet_service")).one()
    assert (kept[0], kept[1], bool(kept[2])) == (7, 0.3, False)
    names = {name for name in inspect(store.engine).get_table_names() if name.startswith(PREFIX)}
    assert names == {"fleet_unit", "fleet_service", "fleet_counters", "fleet_done"}


@pytest.mark.usefixtures("wherries")
def test_what_was_entered_can_be_exported_and_removed(fleet_store: Store, tmp_path: Path) -> None:
    enrol(fleet_store, "HL-901")
    plugin_tables.remove(fleet_store, "fleet", tmp_path / "fleet.zip")
    assert [one for one in inspect(fleet_store.engine).get_table_names() if one.startswith(PREFIX)] == []
    with zipfile.ZipFile(tmp_path / "fleet.zip") as kept:
        assert "Quay" in kept.read("fleet_unit.csv").decode("utf-8-sig")


def test_the_tables_that_the_steps_make_have_the_columns_that_the_plugin_asks_for(fleet_store: Store) -> None:
    look = inspect(fleet_store.engine)
    for table in UNIT.metadata.sorted_tables:
        made = {column["name"] for column in look.get_columns(table.name)}
        assert made == {column.name for column in table.columns}


LISTS = {
    "units": "unit,depot,body,usual loss g\nHL-901,Quay,city bus,60\nHL-951,Mill Road,van,\n",
    "services": "unit,date,work,recovered g,charged g,repaired,note\n"
    "HL-901,2024-04-02,weighed in,,5000,no,\nHL-901,2025-04-02,weighed in,3800,5000,no,\n",
    "counters": "unit,date,hours,odometer km\nHL-901,2025-04-02,8100,214000\n",
    "checks": "unit,date,check,hours,odometer km,note\nHL-901,2025-04-02,season check,8100,214000,\n",
}


def write(folder: Path, **changed: str) -> Path:
    for name, content in {**LISTS, **changed}.items():
        (folder / f"{name}.csv").write_text(content, encoding="utf-8")
    return folder


@pytest.mark.usefixtures("wherries")
def test_whole_lists_are_entered_at_once(fleet_store: Store, tmp_path: Path) -> None:
    assert str(take_lists(fleet_store, write(tmp_path))) == "2 units, 2 services, 1 counters, 1 checks"
    first, second = library.units(fleet_store)
    assert (first.usual_loss_kg, second.usual_loss_kg) == (0.06, 0.04)
    assert leak(first.services).verdict is Verdict.LOSING
    assert first.done[0].check.startswith("Season check")


@pytest.mark.usefixtures("wherries")
@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"units": "unit,depot\nHL-901,Quay\n"}, "units, line 1: the column 'body' is missing"),
        ({"units": LISTS["units"] + "HL-999,Quay,,\n"}, "names 'HL-999', which is no car"),
        ({"units": LISTS["units"] + ",Quay,,\n"}, "units, line 4: it names no unit"),
        ({"services": LISTS["services"] + "HL-901,2.4.2025,topped up,,200,,\n"}, "services, line 4"),
        ({"services": LISTS["services"] + "HL-901,2025-05-01,filled,,200,,\n"}, "'filled' is none of"),
        ({"services": LISTS["services"] + "HL-901,2025-05-01,topped up,,-3,,\n"}, "'-3' is no number"),
        ({"counters": LISTS["counters"] + "HL-902,2025-05-01,1,1\n"}, "counters names 'HL-902'"),
        ({"counters": LISTS["counters"] + "HL-901,2025-05-01,10,\n"}, "would fall from 8,100"),
        ({"checks": LISTS["checks"] + "HL-901,2025-05-01,paint,,,\n"}, "'paint' is no check"),
    ],
)
def test_a_list_with_a_mistake_is_refused_naming_the_line_and_none_of_its_services_is_stored(
    fleet_store: Store, tmp_path: Path, changed: dict[str, str], words: str
) -> None:
    with pytest.raises((ListRefused, Refused)) as refused:
        take_lists(fleet_store, write(tmp_path, **changed))
    assert words in str(refused.value)
    assert all(one.services == () for one in library.units(fleet_store))
