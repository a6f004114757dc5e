"""Published performance tables kept with vehicles and families, on both databases."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from knowngood_refdata.drafts import VehicleDraft
from knowngood_refdata.errors import Conflict, NotFound, UnfitValue
from knowngood_refdata.models import Audit, PerformanceTableRow
from knowngood_refdata.published.pasted import read_table
from knowngood_refdata.published.set_up import SetUp
from knowngood_refdata.published.table import PerformanceTable
from knowngood_refdata.queries import tables, vehicles
from knowngood_refdata.queries.tables import TableDraft
from knowngood_refdata.records import SourceKind

if TYPE_CHECKING:
    from knowngood_refdata.store import Store

SKERRY = VehicleDraft("Tarn", "Skerry", "1.6", 2021, family="Tarn small")
# US Army TM 5-3805-291-23-1, work package 0018, table 1 (public document), its first rows.
PASTED = read_table("Ambient °C | High side psi | Low side psi\n21 | 120-190 | 10-20\n27 | 140-210 | 10-25")
assert PASTED.grid is not None
TABLE = PerformanceTable("WP 0018, table 1", (PASTED.grid,), SetUp(run_time_s=600.0), generic=True)
DRAFT = TableDraft(
    TABLE, SourceKind.SERVICE_INFORMATION, " US Army TM 5-3805-291-23-1 ", "2009", "WP 0018", "Bo Tarn"
)


@pytest.fixture
def skerry(store: Store) -> int:
    return vehicles.add_vehicle(store, SKERRY)


def test_a_table_comes_back_as_it_was_entered_with_its_publication(store: Store, skerry: int) -> None:
    number = tables.add(store, DRAFT, vehicle_id=skerry)
    (found,) = tables.tables(store, skerry)
    assert (found.id, found.vehicle_id, found.family_id, found.table) == (number, skerry, None, TABLE)
    assert (found.generic, found.source_kind) == (True, SourceKind.SERVICE_INFORMATION)
    assert (found.citation, found.revision, found.page, found.reviewed_by, found.entered_by) == (
        "US Army TM 5-3805-291-23-1", "2009", "WP 0018", "Bo Tarn", "Ada Fell",
    )  # fmt: skip


def test_a_table_of_the_family_is_found_with_each_of_its_vehicles_after_their_own(
    store: Store, skerry: int
) -> None:
    fell = vehicles.add_vehicle(store, replace(SKERRY, model="Fell"))
    stranger = vehicles.add_vehicle(store, replace(SKERRY, model="Tor", family=""))
    shared = tables.add(store, DRAFT, family_id=vehicles.vehicle(store, skerry).family_id)
    own = tables.add(store, DRAFT, vehicle_id=fell)
    assert [one.id for one in tables.tables(store, skerry)] == [shared]
    assert [one.id for one in tables.tables(store, fell)] == [own, shared]
    assert tables.tables(store, stranger) == ()


def test_a_corrected_table_keeps_in_the_trail_what_stood_before(store: Store, skerry: int) -> None:
    number = tables.add(store, DRAFT, vehicle_id=skerry)
    tables.edit(store, number, 1, replace(DRAFT, table=replace(TABLE, title="Table 1"), page="18-3"))
    with pytest.raises(Conflict, match="Their version was kept"):
        tables.edit(store, number, 1, DRAFT)
    assert tables.table(store, number).title == "Table 1"
    with store.reading() as session:
        trace = session.scalars(select(Audit).where(Audit.action == "changed")).one()
    assert (trace.before, trace.after) == (
        {"title": "WP 0018, table 1", "page": "WP 0018"},
        {"title": "Table 1", "page": "18-3"},
    )


def test_a_table_out_of_use_is_brought_back(store: Store, skerry: int) -> None:
    number = tables.add(store, DRAFT, vehicle_id=skerry)
    with pytest.raises(UnfitValue, match="only with a reason"):
        tables.retire(store, number, 1, " ")
    tables.retire(store, number, 1, "superseded")
    assert tables.tables(store, skerry) == ()
    (retired,) = tables.tables(store, skerry, retired=True)
    tables.restore(store, number, retired.version)
    assert [one.id for one in tables.tables(store, skerry)] == [number]


@pytest.mark.parametrize(
    ("vehicle_id", "family_id", "error"),
    [(None, None, UnfitValue), (1, 1, UnfitValue), (77, None, NotFound), (None, 77, NotFound)],
)
def test_a_table_of_nothing_that_is_there_is_refused(
    store: Store, skerry: int, vehicle_id: int | None, family_id: int | None, error: type[Exception]
) -> None:
    with pytest.raises(error, match="Nothing was stored"):
        tables.add(store, DRAFT, vehicle_id=vehicle_id, family_id=family_id)
    assert tables.tables(store, skerry) == ()


def test_a_table_without_its_publication_is_refused(store: Store, skerry: int) -> None:
    with pytest.raises(UnfitValue, match="needs the publication"):
        tables.add(store, replace(DRAFT, citation=" "), vehicle_id=skerry)
    number = tables.add(store, DRAFT, vehicle_id=skerry)
    with pytest.raises(UnfitValue, match="needs the publication"):
        tables.edit(store, number, 1, replace(DRAFT, citation=""))


def test_a_table_of_a_newer_form_is_listed_with_why_it_cannot_be_read(store: Store, skerry: int) -> None:
    number = tables.add(store, DRAFT, vehicle_id=skerry)
    with store.writing("by a newer program") as session:
        session.get_one(PerformanceTableRow, number).content = {"version": 2}
    (found,) = tables.tables(store, skerry)
    assert found.table is None
    assert "version 2" in found.unreadable
    assert found.title == "WP 0018, table 1"
