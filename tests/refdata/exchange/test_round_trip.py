"""A library written as an exchange file and read into an empty one is equal, value for value."""

from __future__ import annotations

import json
from pathlib import Path
from shutil import copy
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import select, text

from knowngood_refdata.drafts import SpecDraft, VehicleDraft
from knowngood_refdata.exchange import EVERYTHING, What, export_library, import_library
from knowngood_refdata.models import Audit, Base
from knowngood_refdata.queries import imports, readings, sessions, vehicles
from knowngood_refdata.records import SourceKind, Standing
from knowngood_refdata.store import Store

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from sqlalchemy import Engine

Dump = dict[str, list[dict[str, Any]]]


def emptied(address: str) -> Store:
    """The library of a server, empty again."""
    opened = Store.open(address, user="Bo Tarn")
    with opened.engine.begin() as connection:
        connection.execute(text(f"TRUNCATE {', '.join(Base.metadata.tables)} RESTART IDENTITY CASCADE"))
    return opened


@pytest.fixture(scope="module")
def other_schema(server: Engine, postgres: str) -> str:
    """Address of a second library on the server."""
    with server.begin() as connection:
        connection.execute(text("CREATE SCHEMA other"))
    address = f"{postgres}&options=-csearch_path%3Dother"
    Store.open(address).close()
    return address


@pytest.fixture(params=["sqlite", "postgresql"])
def other(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Store]:
    """Another empty library, on each of the two databases."""
    if request.param == "sqlite":
        opened = Store.open(copy(request.getfixturevalue("made_file"), tmp_path / "other"), user="Bo Tarn")
    else:
        opened = emptied(request.getfixturevalue("other_schema"))
    yield opened
    opened.close()


on_sqlite = pytest.mark.parametrize("other", ["sqlite"], indirect=True)


def test_everything_comes_back_on_either_database(
    full: Store, other: Store, tmp_path: Path, dump: Callable[[Store], Dump]
) -> None:
    export_library(full, tmp_path / "a.json", what=EVERYTHING)
    import_library(other, tmp_path / "a.json", ours=True)
    expected, found = dump(full), dump(other)
    assert all(expected.values()), [name for name, rows in expected.items() if not rows]
    assert found == expected


@on_sqlite
def test_records_are_read_as_before_through_the_library(full: Store, other: Store, tmp_path: Path) -> None:
    export_library(full, tmp_path / "a.json", what=EVERYTHING)
    import_library(other, tmp_path / "a.json", ours=True)
    for one, same in zip(vehicles.search(full), vehicles.search(other), strict=True):
        assert (same.name, same.notes, same.family) == (one.name, one.notes, one.family)
        assert [spec.as_printed for values in same.specs.values() for spec in values] == [
            spec.as_printed for values in one.specs.values() for spec in values
        ]
    for number in (1, 2):
        assert sessions.source(other, number) == sessions.source(full, number)
        ours, theirs = sessions.recording(full, number), sessions.recording(other, number)
        for channel, same_channel in zip(ours.channels, theirs.channels, strict=True):
            assert same_channel.values.tobytes() == channel.values.tobytes()
    assert len(vehicles.search(other, "1234yf skerry hl-7")) == 1


def test_every_change_comes_back_with_who_when_and_why(full: Store, other: Store, tmp_path: Path) -> None:
    export_library(full, tmp_path / "a.json", what=EVERYTHING)
    taken = import_library(other, tmp_path / "a.json", ours=True)
    ours = (Audit.at, Audit.who, Audit.table_name, Audit.action, Audit.after, Audit.before, Audit.why)
    with full.reading() as session:
        expected = session.execute(select(*ours).order_by(Audit.id)).all()
    with other.reading() as session:
        found = session.execute(select(*ours).where(Audit.who == "Ada Fell").order_by(Audit.id)).all()
    assert len(expected) == taken.added["change"]
    assert found == expected


@on_sqlite
def test_a_file_exported_again_differs_in_nothing_but_its_moment(
    full: Store, other: Store, tmp_path: Path
) -> None:
    what = What(removed=True)
    export_library(full, tmp_path / "a.json", what=what)
    import_library(other, tmp_path / "a.json", ours=True)
    export_library(other, tmp_path / "b.json", what=what)
    first, second = ((tmp_path / name).read_text("utf-8").splitlines()[1:] for name in ("a.json", "b.json"))
    assert second == first


def test_the_file_is_one_json_document_with_a_record_to_each_line(full: Store, tmp_path: Path) -> None:
    counts = export_library(full, tmp_path / "a.json", what=EVERYTHING)
    whole = json.loads((tmp_path / "a.json").read_text("utf-8"))
    assert (whole["format"], whole["version"], whole["counts"]) == ("knowngood library", 2, dict(counts))
    lines = (tmp_path / "a.json").read_text("utf-8").splitlines()
    assert len(lines) == len(whole["records"]) + 2
    assert sum(counts.values()) == len(whole["records"])


@on_sqlite
def test_a_file_laid_out_otherwise_is_read_as_well(
    full: Store, other: Store, tmp_path: Path, dump: Callable[[Store], Dump]
) -> None:
    export_library(full, tmp_path / "a.json", what=What(removed=True))
    whole = json.loads((tmp_path / "a.json").read_text("utf-8"))
    (tmp_path / "b.json").write_text("\ufeff" + json.dumps(whole, indent=2), "utf-8")
    import_library(other, tmp_path / "b.json", ours=True)
    assert dump(other) == dump(full)


@on_sqlite
def test_known_good_readings_of_another_shop_stay_apart_from_this_shops(
    full: Store, other: Store, tmp_path: Path, dump: Callable[[Store], Dump]
) -> None:
    export_library(full, tmp_path / "a.json", what=What(removed=True))
    import_library(other, tmp_path / "a.json")
    assert readings.readings(other, 1, Standing.KNOWN_GOOD) == ()
    (theirs,) = readings.readings(other, 1, Standing.IMPORTED)
    assert (theirs.decided_by, theirs.decided_why) == ("Ada Fell", "weighed in")
    expected, found = dump(full), dump(other)
    for row in expected["reading"]:
        if row["standing"] == "known-good":
            row["standing"] = "imported"
    assert found == expected
    readings.decide(other, theirs.id, theirs.version, Standing.KNOWN_GOOD, "seen the same on our cars")
    (own,) = readings.readings(other, 1, Standing.KNOWN_GOOD)
    assert own.decided_by == "Bo Tarn"


@on_sqlite
def test_values_keep_who_entered_them_and_when(full: Store, other: Store, tmp_path: Path) -> None:
    export_library(full, tmp_path / "a.json")
    import_library(other, tmp_path / "a.json")
    for one, same in zip(
        vehicles.vehicle(full, 1).specs["charge"], vehicles.vehicle(other, 1).specs["charge"], strict=True
    ):
        assert (same.entered_by, same.entered_at) == ("Ada Fell", one.entered_at)
        assert (same.source_kind, same.citation, same.page) == (one.source_kind, one.citation, one.page)


@pytest.mark.parametrize("what", [What(), EVERYTHING])
def test_an_import_is_taken_back_as_a_whole(full: Store, other: Store, tmp_path: Path, what: What) -> None:
    export_library(full, tmp_path / "a.json", what=what)
    taken = import_library(other, tmp_path / "a.json")
    undone = imports.undo_import(other, taken.batch_id, "not for us")
    assert (undone.kept, vehicles.count(other)) == ((), 0)
    assert readings.readings(other, 1) == ()
    assert sessions.list_sessions(other) == ()


TEXTS = st.text(st.characters(exclude_characters="\0", exclude_categories=["Cs"]), max_size=20)
NAMES = TEXTS.filter(str.strip)
NUMBERS = st.floats(allow_nan=False, allow_infinity=False)
SPECS = st.builds(
    SpecDraft, field=TEXTS, value=st.none() | NUMBERS, as_printed=TEXTS, citation=TEXTS, revision=TEXTS,
    source_kind=st.sampled_from(SourceKind), tolerance=st.none() | NUMBERS, page=TEXTS, reviewed_by=TEXTS,
)  # fmt: skip
VEHICLES = st.builds(
    VehicleDraft, make=NAMES, model=NAMES, engine=TEXTS, year_from=st.integers(1900, 2100),
    year_to=st.none(), family=TEXTS, maker=TEXTS, market=TEXTS, evaporators=TEXTS, notes=TEXTS,
    generation=TEXTS, body=TEXTS, specs=st.lists(SPECS, max_size=3).map(tuple),
)  # fmt: skip


@given(drafts=st.lists(VEHICLES, max_size=4))
@settings(max_examples=10, deadline=None)
def test_whatever_text_and_numbers_a_library_holds_they_come_back_from_sqlite_to_postgresql(
    drafts: list[VehicleDraft], made_file: Path, made_schema: str, dump: Callable[[Store], Dump]
) -> None:
    with TemporaryDirectory() as folder:
        ours = Store.open(copy(made_file, Path(folder) / "library.sqlite"), user="Ada Fell")
        for draft in drafts:
            vehicles.add_vehicle(ours, draft)
        export_library(ours, Path(folder) / "a.json")
        theirs = emptied(made_schema)
        import_library(theirs, Path(folder) / "a.json", ours=True)
        expected, found = dump(ours), dump(theirs)
        ours.close()
        theirs.close()
    assert found == expected
