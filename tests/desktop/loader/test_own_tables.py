"""Tables of their own that plugins bring: made when one is let in, and bad ones lose their plugin alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from sqlalchemy import inspect

from knowngood.loader import State
from knowngood_refdata import plugin_tables
from knowngood_refdata.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from .conftest import Load, Put

HEAD = """
from knowngood.api import Group, Page, PluginTables, TableStep, hookimpl

def first(op):
    from sqlalchemy import Column, Integer, Text
    op.create_table("depot_unit", Column("id", Integer, primary_key=True), Column("name", Text))

def second(op):
    op.execute("INSERT INTO depot_unit (id, name) VALUES (1, 'half')")
    raise ValueError("half way")

@hookimpl
def pages():
    return [Page(__name__, "A page", Group.SHOP, 1, lambda host: None)]

"""
GOOD = """
@hookimpl
def tables():
    return PluginTables("depot_", (TableStep(1, first),))
"""
HEALTHY = """
from knowngood.api import Group, Page, hookimpl

@hookimpl
def pages():
    return [Page("healthy", "A page", Group.SHOP, 1, lambda host: None)]
"""


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    opened = Store.open(tmp_path / "library.sqlite", user="Ada Fell")
    yield opened
    opened.close()


def is_whole(store: Store) -> bool:
    with store.engine.connect() as connection:
        answers = connection.exec_driver_sql("PRAGMA integrity_check").scalars().all()
        return answers == ["ok"] and not connection.exec_driver_sql("PRAGMA foreign_key_check").all()


def test_tables_are_made_when_the_library_is_there_and_stay_when_the_plugin_is_off(
    put: Put, load: Load, store: Store
) -> None:
    put("depot.py", GOOD, head=HEAD)
    plugins = load()
    plugins.use_library(store)
    (kept,) = plugin_tables.kept(store)
    assert (kept.plugin, kept.step, kept.rows) == ("depot", 1, {"depot_unit": 0})
    plugins.disable("depot")
    assert plugin_tables.kept(store) == (kept,)
    plugins.enable("depot")
    (status,) = plugins.status()
    assert (status.state, status.failures) == (State.RUNNING, ())
    assert "tables in the library" in status.contributions


def test_a_plugin_that_is_let_in_later_has_its_tables_before_its_page(
    put: Put, load: Load, store: Store
) -> None:
    put("depot.py", GOOD, head=HEAD)
    plugins = load()
    plugins.disable("depot")
    plugins.use_library(store)
    assert plugin_tables.kept(store) == ()
    seen: list[int] = []
    plugins.on_change(lambda: seen.append(len(plugin_tables.kept(store))))
    plugins.enable("depot")
    assert seen == [1]


def test_no_tables_is_no_fault(put: Put, load: Load, store: Store) -> None:
    put("depot.py", "@hookimpl\ndef tables():\n    return None", head=HEAD)
    plugins = load()
    plugins.use_library(store)
    assert plugins.status()[0].failures == ()
    assert [one.title for one in plugins.pages()] == ["A page"]


@pytest.mark.parametrize(
    ("answer", "words"),
    [
        ("PluginTables('depot_', (TableStep(1, first), TableStep(2, second)))", "half way"),
        ("PluginTables('depot_', (TableStep(1, first), TableStep(3, second)))", "number 2 is missing"),
        ("PluginTables('Depot', (TableStep(1, first),))", "the prefix of its tables is 'Depot'"),
        ("PluginTables('import_', (TableStep(1, first),))", "has a table 'import_"),
        ("PluginTables('yard_', (TableStep(1, first),))", "'depot_unit', which is not its own"),
        ("PluginTables('depot_', ())", "its tables have no steps"),
        ("PluginTables('depot_', [TableStep(1, first)])", "the steps of its tables is a list, not a tuple"),
        ("PluginTables('depot_', (TableStep(1, None),))", "step 1 of its tables is None"),
        ("[TableStep(1, first)]", "returned a list instead of PluginTables or None"),
        ("1 / 0", "ZeroDivisionError"),
    ],
)
def test_a_plugin_whose_tables_fail_does_not_run_and_no_other_is_touched(
    put: Put, load: Load, store: Store, answer: str, words: str
) -> None:
    put("depot.py", f"@hookimpl\ndef tables():\n    return {answer}", head=HEAD)
    put("healthy.py", "", head=HEALTHY)
    before = set(inspect(store.engine).get_table_names())
    plugins = load()
    plugins.use_library(store)
    broken, healthy = plugins.status()
    assert (broken.state, healthy.state) == (State.FAILED, State.RUNNING)
    assert broken.failure is not None
    assert words in broken.failure.words
    assert "Traceback" in broken.failure.traceback
    assert [one.key for one in plugins.pages()] == ["healthy"]
    assert set(inspect(store.engine).get_table_names()) - before <= {"depot_unit"}
    assert all(not any(one.rows.values()) for one in plugin_tables.kept(store))
    assert is_whole(store)


def test_a_mended_plugin_goes_on_where_its_tables_stand(put: Put, load: Load, store: Store) -> None:
    steps = "(TableStep(1, first), TableStep(2, second))"
    two = f"@hookimpl\ndef tables():\n    return PluginTables('depot_', {steps})"
    put("depot.py", two, head=HEAD)
    plugins = load()
    plugins.use_library(store)
    assert plugins.status()[0].state is State.FAILED
    put("depot.py", two, head=HEAD.replace('    raise ValueError("half way")\n', ""))
    plugins.enable("depot")
    assert plugins.status()[0].state is State.RUNNING
    assert plugin_tables.kept(store)[0].rows == {"depot_unit": 1}


def test_tables_stay_when_the_plugin_is_gone_and_can_be_removed_then(
    put: Put, load: Load, store: Store, tmp_path: Path
) -> None:
    file = put("depot.py", GOOD, head=HEAD)
    load().use_library(store)
    file.unlink()
    load().use_library(store)
    assert [one.plugin for one in plugin_tables.kept(store)] == ["depot"]
    plugin_tables.remove(store, "depot", tmp_path / "depot.zip")
    assert plugin_tables.kept(store) == ()
    assert is_whole(store)
