"""Tables of plugins made off the thread of the window: the plugin waits for them, nobody else does."""

from __future__ import annotations

import time
from queue import Queue
from threading import Event, Thread, get_ident
from typing import TYPE_CHECKING

import pytest

from knowngood.loader import State
from knowngood.progress import Cancelled
from knowngood_refdata import plugin_tables
from knowngood_refdata.store import Store

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from knowngood.loader import Plugins, PluginStatus
    from knowngood.loader.preparing import Ended
    from knowngood.progress import Progress

    from .conftest import Load, Put

HEAD = """
from knowngood.api import Group, Page, PluginTables, SpecField, TableStep, hookimpl

def make(op, name):
    from sqlalchemy import Column, Integer
    op.create_table(name, Column("id", Integer, primary_key=True))

@hookimpl
def pages():
    return [Page(__name__, "A page", Group.SHOP, 1, lambda host: None)]

@hookimpl
def spec_fields():
    return [SpecField(__name__, "A field")]

"""
TABLES = """
def first(op):
    make(op, "{0}_unit")
    {1}

@hookimpl
def tables():
    return PluginTables("{0}_", (TableStep(1, first),))
"""
WAIT_S = 10.0


class Elsewhere:
    """Threads, whose ends are taken by the test where it waits for them."""

    def __init__(self) -> None:
        self.titles: list[str] = []
        self.threads: list[int] = []
        self.stop = Event()
        self.let = Event()
        self._ends: Queue[tuple[Ended, BaseException | None]] = Queue()

    def __call__(self, title: str, work: Callable[[Progress], None], ended: Ended) -> None:
        self.titles.append(title)
        Thread(target=self._do, args=(work, ended), daemon=True).start()

    def wait_for_one(self) -> None:
        """Wait until one piece of work has ended."""
        ended, error = self._ends.get(timeout=WAIT_S)
        ended(error)

    def _do(self, work: Callable[[Progress], None], ended: Ended) -> None:
        self.threads.append(get_ident())
        assert self.let.wait(WAIT_S)
        try:
            work(self._progress)
        except BaseException as error:  # noqa: BLE001 - told to whoever started the work
            self._ends.put((ended, error))
        else:
            self._ends.put((ended, None))

    def _progress(self, fraction: float, text: str = "") -> None:
        if self.stop.is_set():
            raise Cancelled


@pytest.fixture
def store(address: str) -> Iterator[Store]:
    opened = Store.open(address, user="Ada Fell")
    yield opened
    opened.close()


@pytest.fixture
def elsewhere() -> Elsewhere:
    return Elsewhere()


def status(plugins: Plugins, name: str) -> PluginStatus:
    return {one.name: one for one in plugins.status()}[name]


def brought(plugins: Plugins) -> tuple[list[str], list[str]]:
    """The keys of the pages and the names of the spec fields that the plugins bring now."""
    return [one.key for one in plugins.pages()], [one.name for one in plugins.spec_fields()]


def test_a_plugin_is_asked_for_nothing_until_its_tables_are_made(
    put: Put, load: Load, store: Store, elsewhere: Elsewhere
) -> None:
    put("depot.py", TABLES.format("depot", ""), head=HEAD)
    put("yard.py", "", head=HEAD)
    plugins = load()
    plugins.use_library(store, elsewhere)
    changes: list[State] = []
    plugins.on_change(lambda: changes.append(status(plugins, "depot").state))
    assert status(plugins, "depot").state is State.PREPARING
    assert brought(plugins) == (["yard"], ["yard"])
    assert plugin_tables.kept(store) == ()
    elsewhere.let.set()
    elsewhere.wait_for_one()
    assert elsewhere.threads != [get_ident()]
    assert changes == [State.RUNNING]
    assert brought(plugins) == (["depot", "yard"], ["depot", "yard"])
    assert [one.rows for one in plugin_tables.kept(store)] == [{"depot_unit": 0}]


def test_tables_that_are_there_already_are_waited_for_by_nobody(
    put: Put, load: Load, store: Store, elsewhere: Elsewhere
) -> None:
    put("depot.py", TABLES.format("depot", ""), head=HEAD)
    before = load()
    before.use_library(store)
    before.close()
    plugins = load()
    plugins.use_library(store, elsewhere)
    assert (status(plugins, "depot").state, elsewhere.titles) == (State.RUNNING, [])
    assert brought(plugins) == (["depot"], ["depot"])


def test_a_step_that_fails_loses_its_plugin_alone_and_the_next_one_has_its_turn(
    put: Put, load: Load, store: Store, elsewhere: Elsewhere
) -> None:
    put("depot.py", TABLES.format("depot", "raise SystemExit"), head=HEAD)
    put("works.py", TABLES.format("works", ""), head=HEAD)
    plugins = load()
    elsewhere.let.set()
    plugins.use_library(store, elsewhere)
    assert len(elsewhere.titles) == 1
    for _ in range(2):
        elsewhere.wait_for_one()
    assert elsewhere.titles == [
        "Preparing the tables of the plugin 'depot'",
        "Preparing the tables of the plugin 'works'",
    ]
    (failure,) = status(plugins, "depot").failures
    assert (failure.during, failure.words) == ("tables", "it wanted to end the program (SystemExit)")
    assert "in first" in failure.traceback
    assert status(plugins, "depot").state is State.FAILED
    assert brought(plugins) == (["works"], ["works"])
    assert [one.plugin for one in plugin_tables.kept(store)] == ["works"]
    put("depot.py", TABLES.format("depot", ""), head=HEAD)
    plugins.enable("depot")
    elsewhere.wait_for_one()
    assert brought(plugins)[0] == ["depot", "works"]


@pytest.mark.parametrize("work", ["while True: pass", "while True: op.execute('SELECT 1')"])
def test_a_step_that_does_not_end_can_be_stopped_and_leaves_nothing(
    put: Put, load: Load, store: Store, elsewhere: Elsewhere, work: str
) -> None:
    put("depot.py", TABLES.format("depot", work), head=HEAD)
    plugins = load()
    elsewhere.let.set()
    plugins.use_library(store, elsewhere)
    time.sleep(0.2)
    elsewhere.stop.set()
    elsewhere.wait_for_one()
    (failure,) = status(plugins, "depot").failures
    assert failure.words == "making its tables was stopped; what the step had done was undone"
    assert plugin_tables.kept(store) == ()
    elsewhere.stop.clear()
    put("depot.py", TABLES.format("depot", ""), head=HEAD)
    plugins.enable("depot")
    elsewhere.wait_for_one()
    assert status(plugins, "depot").state is State.RUNNING


def test_a_plugin_that_is_switched_off_meanwhile_does_not_come_back_by_itself(
    put: Put, load: Load, store: Store, elsewhere: Elsewhere
) -> None:
    put("depot.py", TABLES.format("depot", ""), head=HEAD)
    put("works.py", TABLES.format("works", ""), head=HEAD)
    plugins = load()
    plugins.use_library(store, elsewhere)
    plugins.disable("works")
    plugins.disable("depot")
    elsewhere.let.set()
    elsewhere.wait_for_one()
    assert {one.state for one in plugins.status()} == {State.OFF}
    assert brought(plugins) == ([], [])
    assert len(elsewhere.titles) == 1
    plugins.enable("depot")
    assert status(plugins, "depot").state is State.RUNNING


def test_a_plugin_switched_off_and_on_again_waits_for_its_new_tables(
    put: Put, load: Load, store: Store, elsewhere: Elsewhere
) -> None:
    put("depot.py", TABLES.format("depot", "raise ValueError('the old one')"), head=HEAD)
    plugins = load()
    plugins.use_library(store, elsewhere)
    plugins.disable("depot")
    put("depot.py", TABLES.format("depot", ""), head=HEAD)
    plugins.enable("depot")
    elsewhere.let.set()
    elsewhere.wait_for_one()
    assert status(plugins, "depot").state is State.PREPARING
    elsewhere.wait_for_one()
    assert status(plugins, "depot").state is State.RUNNING
    assert brought(plugins)[0] == ["depot"]


def test_looking_for_new_plugins_leaves_one_that_prepares_alone(
    put: Put, load: Load, store: Store, elsewhere: Elsewhere
) -> None:
    put("depot.py", TABLES.format("depot", ""), head=HEAD)
    plugins = load()
    plugins.use_library(store, elsewhere)
    plugins.take([one.source for one in plugins._records.values()])
    assert (status(plugins, "depot").state, len(elsewhere.titles)) == (State.PREPARING, 1)
    elsewhere.let.set()
    elsewhere.wait_for_one()
    assert status(plugins, "depot").state is State.RUNNING
