"""What is written is read back as it is: planned again, every row stands on record already."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import TYPE_CHECKING, TypeAlias

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knowngood.parsing import parse_with_tolerance
from knowngood.scales import System
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import SourceKind, SpecValue, Vehicle
from knowngood_specs.core.agreement import agree
from knowngood_specs.core.exporting.sheet import value_lines, vehicle_lines
from knowngood_specs.core.exporting.writers import write_csv, write_xlsx
from knowngood_specs.core.fields import FIELDS, Field
from knowngood_specs.core.importing.existing import ExistingIndex
from knowngood_specs.core.importing.plan import Outcome
from knowngood_specs.core.importing.planning import plan
from knowngood_specs.core.importing.proposal import propose
from knowngood_specs.core.importing.reader import read_rows

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from knowngood_refdata.drafts import SpecDraft
    from knowngood_specs.core.exporting.sheet import Sheet
    from knowngood_specs.core.importing.plan import Plan
    from knowngood_specs.core.importing.table import Table

    Layout: TypeAlias = Callable[[Sequence[Vehicle], Sequence[Field]], Sheet]

SHOP_FIELDS = (
    *FIELDS,
    Field("belt", "Drive belt", Kind.LENGTH),
    Field("high cut-out", "High-pressure cut-out", Kind.PRESSURE),
    Field("fan on", "Fan comes on at", Kind.TEMPERATURE),
)

letters = st.characters(exclude_categories=["Cs", "Cc", "Zl", "Zp"])
texts = (
    st.one_of(
        st.sampled_from(
            [
                "Tarn",
                "=1+1",
                "'=1+1",
                "''@x",
                "-5",
                "+49",
                "@sum",
                "\N{FULLWIDTH EQUALS SIGN}x",
                "<b>x</b>",
                'a"b',
                "a;b,c\td",
                "1,5",
                "2021",
                "'21",
                "é",
                "|x",
            ]
        ),
        st.text(letters, min_size=1, max_size=12),
    )
    .map(lambda text: " ".join(text.split()))
    .filter(lambda text: any(map(str.isalnum, text)))
)
maybe = st.one_of(st.just(""), texts)


@st.composite
def spec_values(draw: st.DrawFn) -> SpecValue:
    field = draw(st.sampled_from(["charge", "refrigerant", "oil", "fan", "belt", "high cut-out", "fan on"]))
    value = tolerance = None
    if field == "charge":
        grams, tolerance_g = draw(st.integers(100, 4_000)), draw(st.one_of(st.none(), st.integers(1, 50)))
        value, tolerance = grams / 1e3, None if tolerance_g is None else tolerance_g / 1e3
        beside = "" if tolerance is None else f" ± {tolerance_g}"
        printed = draw(st.sampled_from([f"{grams}{beside} g", f"{value} kg", f"as on the label ({grams} g)"]))
    elif field == "oil":
        millilitres = draw(st.integers(50, 300))
        value, printed = draw(
            st.sampled_from([(millilitres / 1e6, f"PAG 46, {millilitres} mL"), (None, "PAG 46")])
        )
    elif field in {"belt", "high cut-out", "fan on"}:
        value, printed = draw(st.floats(200.0, 3e6)), draw(texts)
    else:
        printed = draw(texts)
    return SpecValue(
        id=1,
        field=field,
        value=value,
        tolerance=tolerance,
        as_printed=printed,
        source_kind=draw(st.sampled_from(SourceKind)),
        citation=draw(texts),
        revision=draw(maybe),
        reviewed_by=draw(maybe),
        page=draw(maybe),
    )


@st.composite
def vehicles(draw: st.DrawFn) -> Vehicle:
    first = draw(st.integers(1950, 2026))
    build = draw(st.sampled_from([("", ""), ("2021-03", "2022-06"), ("2022-07", ""), ("", "2020-12")]))
    values = draw(st.lists(spec_values(), max_size=4))
    return Vehicle(
        id=draw(st.integers(1, 10**6)),
        make=draw(texts),
        model=draw(texts),
        engine=draw(maybe),
        year_from=first,
        year_to=draw(st.one_of(st.none(), st.integers(first, 2028))),
        market=draw(maybe),
        evaporators=draw(st.sampled_from(["", "single evaporator", "dual evaporator", "Dual"])),
        maker=draw(texts),
        family=draw(maybe),
        notes=draw(maybe),
        build_from=build[0],
        build_to=build[1],
        generation=draw(maybe),
        body=draw(maybe),
        specs={
            field: tuple(one for one in values if one.field == field)
            for field in {one.field for one in values}
        },
    )


def planned_again(table: Table, held: Sequence[Vehicle]) -> Plan:
    def read(text: str, kind: Kind) -> tuple[float, float | None]:
        return parse_with_tolerance(text, kind, System.US)

    mapping = propose(table, SHOP_FIELDS).mapping
    return plan(table, mapping, ExistingIndex(held), read, this_year=2026, fields=SHOP_FIELDS)


def written(sheet: Sheet, form: str) -> bytes:
    into = io.BytesIO()
    if form == "xlsx":
        write_xlsx(sheet, into)
    else:
        write_csv(sheet, into, delimiter=form)
    return into.getvalue()


def complaints(table: Table, held: Sequence[Vehicle]) -> list[object]:
    done = planned_again(table, held)
    assert len(done.rows) == len(table.rows)
    return [row for row in done.rows if row.outcome is not Outcome.UNCHANGED]


def as_value(spec: SpecDraft) -> SpecValue:
    return SpecValue(
        0, spec.field, spec.value, spec.tolerance, spec.as_printed, spec.source_kind, spec.citation
    )


@pytest.mark.parametrize("form", [",", ";", "\t", "xlsx"])
@given(held=st.lists(vehicles(), min_size=1, max_size=4))
@settings(max_examples=40, deadline=None)
def test_one_line_a_value_is_on_record_when_it_is_read_back(form: str, held: list[Vehicle]) -> None:
    data = written(value_lines(held, SHOP_FIELDS), form)
    table = read_rows(data, "library")
    assert len(table.rows) == sum(max(sum(map(len, one.specs.values())), 1) for one in held)
    assert complaints(table, held) == []


@pytest.mark.parametrize("form", [",", "xlsx"])
@given(held=st.lists(vehicles(), min_size=1, max_size=4))
@settings(max_examples=40, deadline=None)
def test_one_line_a_vehicle_is_on_record_when_it_is_read_back(form: str, held: list[Vehicle]) -> None:
    data = written(vehicle_lines(held, SHOP_FIELDS), form)
    table = read_rows(data, "library")
    assert len(table.rows) == len(held)
    assert complaints(table, held) == []


@given(held=vehicles())
@settings(max_examples=60, deadline=None)
def test_an_empty_library_gets_every_value_of_the_written_one(held: Vehicle) -> None:
    table = read_rows(written(value_lines([held], SHOP_FIELDS), ","), "library")
    done = planned_again(table, [])
    taken = {row.number: None for row in done.rows if row.outcome is Outcome.DOUBTED}
    got = [spec for one in done.additions(taken) if one.vehicle for spec in one.vehicle.specs]
    for values in held.specs.values():
        for one in values:
            # Of one value that a source prints twice, one stays.
            assert any(
                agree(replace(one, tolerance=None), as_value(spec))
                and (one.tolerance is None or spec.tolerance == pytest.approx(one.tolerance, rel=1e-9))
                for spec in got
                if (spec.field, spec.source_kind, spec.citation, spec.page)
                == (one.field, one.source_kind, one.citation, one.page)
            ), one
