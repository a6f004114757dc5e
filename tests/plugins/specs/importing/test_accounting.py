"""Files grown at random: whatever they hold, every row of them is accounted for exactly once."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from hypothesis import given, settings
from hypothesis import strategies as st
from xlsxwriter import Workbook

from knowngood_refdata.records import SourceKind, SpecValue, Vehicle
from knowngood_specs.core.importing.existing import ExistingIndex
from knowngood_specs.core.importing.plan import Outcome
from knowngood_specs.core.importing.planning import plan
from knowngood_specs.core.importing.proposal import propose
from knowngood_specs.core.importing.reader import read_rows

if TYPE_CHECKING:
    from knowngood_specs.core.importing.amounts import ReadQuantity
    from knowngood_specs.core.importing.plan import Plan
    from knowngood_specs.core.importing.table import Table

HEADER = (
    "Make",
    "Model",
    "Years",
    "Evaporators",
    "Charge (g)",
    "Tolerance",
    "Refrigerant",
    "Build",
    "VIN",
    "Notes",
)
HELD = (
    Vehicle(
        5, "Tarn", "Skerry", "", 2021, 2023,
        specs={
            "charge": (SpecValue(1, "charge", 0.47, 0.015, "470 ± 15 g", SourceKind.UNDER_HOOD_LABEL, "x"),)
        },
    ),
    Vehicle(6, "Fen", "Harrier", "", 2017, None, evaporators="dual evaporator"),
)  # fmt: skip

odd = st.sampled_from(
    [
        "",
        " ",
        "-",
        "n/a",
        "=1+1",
        "'=2",
        "@x",
        "<b>bold</b>",
        '5/8"',
        '"',
        "a\nb",
        "é",
        "\t",
        "١٢",
        "1e999",
        "0x1",
    ]
)
cells = st.one_of(
    st.sampled_from(["Tarn", "tarn", "Trn", "Fen", "Skerry", "Skery", "Harrier"]),
    st.sampled_from(["2021", "21", "3021", "2021-23", "2017 on", "44256", "2021-03-01", "2023-2021"]),
    st.sampled_from(
        ["470", "470 g", "0", "0 g", "50 kg", "1.1 lb", "470 ± 15 g", "1,234", "1 234 g", "-5 g"]
    ),
    st.sampled_from(["R-134a", "single", "dual", "03/2021", "03/04/2021", "VF1AAAAAAAA000001"]),
    odd,
    st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=8),
)
rows = st.lists(st.lists(cells, min_size=1, max_size=12), min_size=1, max_size=12)


def as_planned(table: Table, read: ReadQuantity) -> Plan:
    mapping = propose(table).mapping.from_source("generic", "a list")
    return plan(table, mapping, ExistingIndex(HELD), read, this_year=2026)


def check(table: Table, done: Plan) -> None:
    assert [row.number for row in done.rows] == [row.number for row in table.rows]
    assert sum(done.counts.values()) == len(table.rows)
    assert all(row.reason for row in done.rows)
    additions = done.additions()
    stored = sorted(number for one in additions for number in one.rows)
    wanted = [row.number for row in done.rows if row.outcome in (Outcome.ADDED, Outcome.CHANGED)]
    assert stored == wanted
    owners = [one.vehicle_id for one in additions if one.vehicle_id is not None]
    assert len(owners) == len(set(owners))
    for one in additions:
        assert (one.vehicle is None) == (one.vehicle_id is not None)
        for spec in one.vehicle.specs if one.vehicle else one.specs:
            assert spec.citation
            assert spec.field != "charge" or (spec.value is not None and 0.05 <= spec.value < 50.0)
        if one.vehicle is not None:
            assert one.vehicle.make
            assert one.vehicle.model
            assert 1930 <= one.vehicle.year_from <= (one.vehicle.year_to or 2099) <= 2099


@given(rows, st.sampled_from([",", ";", "\t"]), st.sampled_from(["utf-8", "utf-16", "cp1252"]), st.booleans())
@settings(max_examples=150, deadline=None)
def test_every_row_of_a_text_file_is_accounted_for_once(
    read: ReadQuantity, grown: list[list[str]], delimiter: str, encoding: str, quoted: bool
) -> None:
    into = io.StringIO()
    if quoted:
        csv.writer(into, delimiter=delimiter).writerows([HEADER, *grown])
    else:
        into.write("\n".join(delimiter.join(row) for row in [HEADER, *grown]))
    table = read_rows(into.getvalue().encode(encoding, "replace"), "list.csv")
    check(table, as_planned(table, read))


@given(rows)
@settings(max_examples=40, deadline=None)
def test_every_row_of_a_workbook_is_accounted_for_once(read: ReadQuantity, grown: list[list[str]]) -> None:
    into = io.BytesIO()
    book = Workbook(into, {"in_memory": True})
    sheet = book.add_worksheet()
    for index, row in enumerate([HEADER, *grown, ("Tarn", "Rill", "2022")]):
        for column, cell in enumerate(row):
            if cell.startswith("="):
                sheet.write_formula(index, column, cell, value=7)
            else:
                sheet.write_string(index, column, cell)
    book.close()
    table = read_rows(into.getvalue(), "list.xlsx")
    held = [index for index, row in enumerate(grown, 2) if any(cell.strip() for cell in row)]
    assert [row.number for row in table.rows] == [*held, len(grown) + 2]
    check(table, as_planned(table, read))


@given(rows)
@settings(max_examples=60, deadline=None)
def test_bringing_in_a_file_twice_adds_nothing_new(read: ReadQuantity, grown: list[list[str]]) -> None:
    into = io.StringIO()
    csv.writer(into, delimiter=";").writerows([HEADER, *grown, ("Tarn", "Rill", "2022", "", "600")])
    table = read_rows(into.getvalue().encode("utf-8", "replace"), "list.csv")
    mapping = propose(table).mapping.from_source("generic", "a list")
    first = plan(table, mapping, ExistingIndex(), read, this_year=2026)
    stored = [
        Vehicle(
            id=number, make=new.make, model=new.model, engine=new.engine, year_from=new.year_from,
            year_to=new.year_to, market=new.market, evaporators=new.evaporators, maker=new.maker or new.make,
            notes="\n".join((new.notes, *one.notes)), build_from=new.build_from, build_to=new.build_to,
            specs={
                name: tuple(
                    SpecValue(0, name, s.value, s.tolerance, s.as_printed, s.source_kind, s.citation)
                    for s in new.specs if s.field == name
                )
                for name in {s.field for s in new.specs}
            },
        )
        for number, one in enumerate(first.additions(), 1)
        if (new := one.vehicle) is not None
    ]  # fmt: skip
    again = plan(table, mapping, ExistingIndex(stored), read, this_year=2026)
    for before, after in zip(first.rows, again.rows, strict=True):
        assert after.outcome not in (Outcome.ADDED, Outcome.CHANGED) or after.unit is not None, (
            before,
            after,
        )
