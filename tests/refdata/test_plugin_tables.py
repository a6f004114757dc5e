"""Tables of plugins in the library: made whole or not at all, kept, exported, removed."""

from __future__ import annotations

import csv
import json
import zipfile
from datetime import UTC, date, datetime
from io import TextIOWrapper
from threading import Barrier, Thread
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import Boolean, Column, Date, Float, ForeignKey, Integer, LargeBinary, Text, inspect, text

from knowngood_refdata import plugin_tables
from knowngood_refdata.errors import NotFound, StoreError
from knowngood_refdata.exchange.storing import import_library
from knowngood_refdata.exchange.writing import EVERYTHING, export_library
from knowngood_refdata.plugin_tables import TablesRefused
from knowngood_refdata.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from alembic.operations import Operations

PREFIX = "depot_"


@pytest.fixture
def library(address: str) -> Iterator[Store]:
    opened = Store.open(address, user="Ada Fell")
    yield opened
    opened.close()


def units(op: Operations) -> None:
    op.create_table(
        "depot_unit",
        Column("id", Integer, primary_key=True),
        Column("name", Text, nullable=False),
        Column("bought", Date),
        Column("share", Float),
        Column("badge", LargeBinary),
    )


def works(op: Operations) -> None:
    op.add_column("depot_unit", Column("sold", Boolean))
    op.create_table(
        "depot_work",
        Column("id", Integer, primary_key=True),
        Column("unit_id", Integer, ForeignKey("depot_unit.id"), index=True),
    )


def half_done(op: Operations) -> None:
    op.create_table("depot_work", Column("id", Integer, primary_key=True))
    op.execute("INSERT INTO depot_unit (id, name) VALUES (9, 'half')")
    raise RuntimeError("half way")


def tables(store: Store) -> set[str]:
    return set(inspect(store.engine).get_table_names())


def add_unit(store: Store, **values: object) -> None:
    names = ", ".join(values)
    with store.writing("unit added") as session:
        places = ", ".join(f":{one}" for one in values)
        session.execute(text(f"INSERT INTO depot_unit ({names}) VALUES ({places})"), values)


def is_whole(store: Store) -> bool:
    if store.engine.dialect.name != "sqlite":
        return True
    with store.engine.connect() as connection:
        answers = connection.exec_driver_sql("PRAGMA integrity_check").scalars().all()
        return answers == ["ok"] and not connection.exec_driver_sql("PRAGMA foreign_key_check").all()


def test_steps_are_made_once_and_the_book_says_by_whom(library: Store) -> None:
    plugin_tables.make(library, "depot", PREFIX, [units])
    add_unit(library, id=1, name="Bus 12")
    plugin_tables.make(library, "depot", PREFIX, [units, works])
    plugin_tables.make(library, "depot", PREFIX, [units, works])
    (kept,) = plugin_tables.kept(library)
    assert (kept.plugin, kept.prefix, kept.step) == ("depot", PREFIX, 2)
    assert kept.rows == {"depot_unit": 1, "depot_work": 0}
    with library.engine.connect() as connection:
        rows = connection.execute(text("SELECT step, who FROM plugin_schema ORDER BY step")).all()
    assert [tuple(one) for one in rows] == [(1, "Ada Fell"), (2, "Ada Fell")]


def test_a_step_that_fails_half_way_leaves_nothing_and_can_be_made_later(library: Store) -> None:
    with pytest.raises(RuntimeError, match="half way"):
        plugin_tables.make(library, "depot", PREFIX, [units, half_done])
    assert "depot_work" not in tables(library)
    (kept,) = plugin_tables.kept(library)
    assert (kept.step, kept.rows) == (1, {"depot_unit": 0})
    assert is_whole(library)
    plugin_tables.make(library, "depot", PREFIX, [units, works])
    assert "depot_work" in tables(library)


@pytest.mark.parametrize(
    "statement",
    [
        "CREATE TABLE other (id INTEGER)",
        "DROP TABLE weighing",
        "ALTER TABLE maker ADD COLUMN depot TEXT",
        "CREATE INDEX depot_index ON maker (name)",
    ],
)
def test_a_step_that_touches_other_tables_is_refused_whole(library: Store, statement: str) -> None:
    def too_much(op: Operations) -> None:
        units(op)
        op.execute(statement)

    before = tables(library)
    with pytest.raises(TablesRefused, match="which is not its own"):
        plugin_tables.make(library, "depot", PREFIX, [too_much])
    assert tables(library) == before
    assert plugin_tables.kept(library) == ()


@pytest.mark.parametrize("prefix", ["", "depot", "d_", "Depot_", "1de_", 'a"b_', "dé_x_"])
def test_what_is_no_prefix_is_refused_in_words(library: Store, prefix: str) -> None:
    with pytest.raises(ValueError, match="the prefix of its tables"):
        plugin_tables.make(library, "depot", prefix, [units])


def test_a_prefix_belongs_to_one_plugin_even_when_that_is_away(library: Store) -> None:
    plugin_tables.make(library, "depot", PREFIX, [units])
    for prefix in (PREFIX, "depot_more_"):
        with pytest.raises(TablesRefused, match="belongs to the plugin 'depot'"):
            plugin_tables.make(library, "stranger", prefix, [works])
    with pytest.raises(TablesRefused, match="began with 'depot_' so far"):
        plugin_tables.make(library, "depot", "yard_", [units, works])


def test_the_names_of_the_library_are_no_prefix(library: Store) -> None:
    with pytest.raises(TablesRefused, match="has a table 'import_"):
        plugin_tables.make(library, "depot", "import_", [units])


def test_tables_of_a_newer_version_of_the_plugin_are_left_alone(library: Store) -> None:
    plugin_tables.make(library, "depot", PREFIX, [units, works])
    with pytest.raises(TablesRefused, match=r"newer version .* \(step 2; this one knows 1\)"):
        plugin_tables.make(library, "depot", PREFIX, [units])
    assert "depot_work" in tables(library)


def test_two_programs_that_make_the_tables_at_once_make_them_once(address: str) -> None:
    stores = [Store.open(address, user=name) for name in ("Ada Fell", "Ben Moss")]
    failed: list[BaseException] = []
    together = Barrier(len(stores))

    def work(store: Store) -> None:
        together.wait()
        try:
            plugin_tables.make(store, "depot", PREFIX, [units, works])
        except BaseException as error:  # noqa: BLE001 - told below
            failed.append(error)

    threads = [Thread(target=work, args=(store,)) for store in stores]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    assert [one.step for one in plugin_tables.kept(stores[0])] == [2]
    for store in stores:
        store.close()


def test_an_export_holds_every_row_in_a_form_any_program_reads(library: Store, tmp_path: Path) -> None:
    plugin_tables.make(library, "depot", PREFIX, [units, works])
    add_unit(library, id=1, name='=1+1, "Bus"\n12', bought=date(2025, 6, 2), share=0.1, badge=b"\x00\xff")
    add_unit(library, id=2, name="", sold=True)
    path = tmp_path / "depot.zip"
    plugin_tables.export(library, "depot", path)
    with zipfile.ZipFile(path) as archive:
        assert archive.testzip() is None
        head = json.loads(archive.read("tables.json"))
        with archive.open("depot_unit.csv") as member:
            rows = list(csv.DictReader(TextIOWrapper(member, "utf-8", newline="")))
        raw = archive.read("depot_unit.csv").decode()
    assert (head["plugin"], head["step"]) == ("depot", 2)
    assert {one["name"]: one["rows"] for one in head["tables"]} == {"depot_unit": 2, "depot_work": 0}
    assert datetime.fromisoformat(head["written_at"]).tzinfo == UTC
    told = {
        "id": "1",
        "name": '\'=1+1, "Bus"\n12',
        "bought": "2025-06-02",
        "share": "0.1",
        "badge": "AP8=",
        "sold": "",
    }
    assert rows[0] == told
    assert float(rows[0]["share"]) == 0.1
    # An empty text and no value are told apart.
    assert '2,"",,,,true' in raw


def test_a_removal_exports_first_and_leaves_nothing_of_the_plugin(library: Store, tmp_path: Path) -> None:
    plugin_tables.make(library, "depot", PREFIX, [units, works])
    add_unit(library, id=1, name="Bus 12")
    before = tables(library)
    plugin_tables.remove(library, "depot", tmp_path / "depot.zip")
    assert before - tables(library) == {"depot_unit", "depot_work"}
    assert plugin_tables.kept(library) == ()
    assert is_whole(library)
    with zipfile.ZipFile(tmp_path / "depot.zip") as archive:
        assert b"Bus 12" in archive.read("depot_unit.csv")
    plugin_tables.make(library, "depot", PREFIX, [units])
    assert plugin_tables.kept(library)[0].rows == {"depot_unit": 0}


def test_nothing_is_removed_when_the_export_cannot_be_written(library: Store, tmp_path: Path) -> None:
    plugin_tables.make(library, "depot", PREFIX, [units])
    add_unit(library, id=1, name="Bus 12")
    with pytest.raises(StoreError, match="cannot be written"):
        plugin_tables.remove(library, "depot", tmp_path / "no such folder" / "depot.zip")
    assert plugin_tables.kept(library)[0].rows == {"depot_unit": 1}


def test_what_no_plugin_made_can_neither_be_exported_nor_removed(library: Store, tmp_path: Path) -> None:
    for what in (plugin_tables.export, plugin_tables.remove):
        with pytest.raises(NotFound, match="no tables of a plugin 'depot'"):
            what(library, "depot", tmp_path / "depot.zip")
    assert not (tmp_path / "depot.zip").exists()


def test_a_library_opens_and_travels_without_the_tables_of_its_plugins(
    library: Store, address: str, tmp_path: Path
) -> None:
    plugin_tables.make(library, "depot", PREFIX, [units])
    add_unit(library, id=1, name="Bus 12")
    export_library(library, tmp_path / "library.json", what=EVERYTHING)
    assert "Bus 12" not in (tmp_path / "library.json").read_text("utf-8")
    other = Store.open(tmp_path / "other.sqlite", user="Cy Dunn")
    import_library(other, tmp_path / "library.json")
    assert plugin_tables.kept(other) == ()
    other.close()
    again = Store.open(address, create=False)
    assert plugin_tables.kept(again)[0].rows == {"depot_unit": 1}
    again.close()
