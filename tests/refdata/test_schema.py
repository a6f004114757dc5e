"""Changing tables: all of it or none, and no row lost on the way."""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.operations import Operations
from alembic.script import ScriptDirectory
from sqlalchemy import Column, Text, inspect, text

from knowngood_refdata import migrations, places, schema
from knowngood_refdata.drafts import SessionDraft
from knowngood_refdata.engines import for_upgrading, make_engine
from knowngood_refdata.queries import session_windows, sessions, vehicles
from knowngood_refdata.records import Channel, Estimate, Quantity, Recording, Role
from knowngood_refdata.store import LibraryDamaged, LibraryMissing, Store

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy import Connection

SAMPLES = np.array([30.0, 31.0, 32.0])
RECORDING = Recording(np.arange(3.0), (Channel("P1", Role.LOW_SIDE, "psi", True, SAMPLES),))


def saved(store: Store) -> int:
    return sessions.save(store, SessionDraft(None, "Session", "R-134a", "log.csv"), RECORDING, b"log")


def remake_channels(connection: Connection) -> None:
    operations = Operations(MigrationContext.configure(connection))
    with operations.batch_alter_table("channel", recreate="always") as table:
        table.add_column(Column("remark", Text))


def test_the_step_the_program_works_with_is_the_newest_there_is() -> None:
    config = Config()
    config.set_main_option("script_location", str(Path(migrations.__file__).parent))
    script = ScriptDirectory.from_config(config)
    assert script.get_current_head() == migrations.HEAD
    assert {one.revision for one in script.walk_revisions()} == set(migrations.KNOWN)


def test_a_step_imports_none_of_our_modules() -> None:
    for step in (Path(migrations.__file__).parent / "versions").glob("m*.py"):
        assert "knowngood_refdata" not in step.read_text(encoding="utf-8")


def test_remaking_a_table_keeps_the_rows_that_hang_on_it(tmp_path: Path) -> None:
    # SQLite deletes them in silence when foreign keys are in force: on DELETE CASCADE, without a word.
    store = Store.open(tmp_path / "library.sqlite", user="Ada Fell")
    number = saved(store)
    schema.change_tables(store.engine, remake_channels)
    np.testing.assert_array_equal(sessions.recording(store, number).channels[0].values, SAMPLES)
    with store.engine.connect() as connection:
        assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1
    store.close()


def test_a_change_that_would_orphan_rows_is_not_made(tmp_path: Path) -> None:
    def drop_files(connection: Connection) -> None:
        connection.execute(text("DELETE FROM source_file"))

    store = Store.open(tmp_path / "library.sqlite", user="Ada Fell")
    number = saved(store)
    with pytest.raises(LibraryDamaged, match="rows of session have lost"):
        schema.change_tables(store.engine, drop_files)
    assert sessions.source(store, number) == b"log"
    store.close()


def test_a_change_that_fails_half_way_leaves_the_tables_as_they_were(store: Store) -> None:
    def half_done(connection: Connection) -> None:
        connection.execute(text("CREATE TABLE half (id INTEGER PRIMARY KEY)"))
        raise RuntimeError("half way")

    with pytest.raises(RuntimeError):
        schema.change_tables(store.engine, half_done)
    assert "half" not in inspect(store.engine).get_table_names()


def test_a_library_whose_making_was_broken_off_is_made_the_next_time(
    address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    make = schema._upgrade

    def broken_off(connection: Connection) -> None:
        make(connection)
        raise KeyboardInterrupt

    monkeypatch.setattr(schema, "_upgrade", broken_off)
    with pytest.raises(KeyboardInterrupt):
        Store.open(address)
    monkeypatch.setattr(schema, "_upgrade", make)
    with pytest.raises(LibraryMissing):
        Store.open(address, create=False)
    store = Store.open(address, user="Ada Fell")
    assert sessions.info(store, saved(store)).sample_count == 3
    store.close()


def test_steps_of_a_plugin_beside_ours_do_not_make_a_library_too_new(address: str) -> None:
    first = Store.open(address, user="Ada Fell")
    number = saved(first)
    with first.engine.begin() as connection:
        connection.execute(text("INSERT INTO alembic_version VALUES ('service_0004')"))
    first.close()
    second = Store.open(address, create=False)
    assert sessions.info(second, number).sample_count == 3
    second.close()


@contextmanager
def made_at(address: str, step: str) -> Iterator[Connection]:
    """A library as this step of the schema made it, open to be filled."""
    engine = make_engine(places.address(address))
    config = Config()
    config.set_main_option("script_location", str(Path(migrations.__file__).parent))
    with for_upgrading(engine).begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, step)
        yield connection
    engine.dispose()


def first_step_only(address: str) -> None:
    """A library as the program's first version made it, with a vehicle in it."""
    stamps = "1, '2026-01-02', 'Ada Fell', '2026-01-02', 'Ada Fell', NULL"
    with made_at(address, "0001") as connection:
        for line in (
            f"INSERT INTO maker VALUES (1, 'Tarn', {stamps})",
            (
                "INSERT INTO configuration VALUES (1, 1, NULL, 'Tarn', 'Skerry', '1.6 petrol', 2021, 2023, "
                f"'EU', 'single evaporator', '', 'tarn skerry 1.6 petrol eu r-1234yf', {stamps})"
            ),
            (
                "INSERT INTO spec_value VALUES (1, 1, 'charge', 0.47, 0.015, '470 ± 15 g', "
                f"'under-hood label', 'label', '', '', {stamps})"
            ),
        ):
            connection.exec_driver_sql(line)


def test_a_library_of_the_first_version_is_brought_along_with_all_it_holds(address: str) -> None:
    first_step_only(address)
    store = Store.open(address, create=False, user="Ben Moss")
    (vehicle,) = vehicles.search(store, "21 skerry 1.6")
    charge = vehicle.spec("charge")
    assert charge is not None
    assert (charge.as_printed, charge.page, vehicle.build_from) == ("470 ± 15 g", "", "")
    with store.engine.connect() as connection:
        assert connection.execute(text("SELECT sort_key FROM configuration")).scalar() == "tarn skerry 2021"
    store.close()


def second_step_only(address: str) -> None:
    """A library as the second step made it, with a session, a window set by hand, an event, a response."""
    with made_at(address, "0002") as connection:
        for line in (
            "INSERT INTO source_file VALUES (1, 'abc', 'log.csv', 3, 'x')",
            (
                "INSERT INTO session (id, source_file_id, title, refrigerant, instruments, duration_s, "
                "sample_count, technician, note, version, created_at, created_by, changed_at, changed_by) "
                "VALUES (1, 1, 'Season check', 'R-134a', '{}', 90.0, 3, '', '', 1, '2026-01-02', "
                "'Ada Fell', '2026-01-03', 'Ben Moss')"
            ),
            "INSERT INTO steady_window VALUES (1, 1, 1.0, 20.0, 750.0, 1, 'idle', :program)",
            "INSERT INTO steady_window VALUES (2, 1, 3.0, 30.0, 750.0, 1, 'mine', :person)",
            "INSERT INTO window_value VALUES (2, 'low side', 300000.0, 900.0)",
            "INSERT INTO event VALUES (1, 1, 'fan stage up', 25.0, 'fan stage 2')",
            (
                "INSERT INTO response VALUES (1, 1, 750.0, 2000.0, 1.0, 2.0, 3.0, 4.0, 'rises', 'falls', "
                ":program, 'fan')"
            ),
        ):
            connection.execute(text(line), {"program": False, "person": True})


def test_findings_and_windows_set_by_hand_of_the_second_version_are_kept(address: str) -> None:
    second_step_only(address)
    store = Store.open(address, create=False, user="Ben Moss")
    found = sessions.findings(store, 1)
    assert [(one.label, one.by_hand) for one in found.windows] == [("idle", False), ("mine", True)]
    assert found.windows[1].values == {Quantity.LOW_SIDE: Estimate(3e5, 9e2)}
    assert (found.events[0].text, found.events[0].evidence) == ("fan stage 2", None)
    assert (found.responses[0].remark, found.responses[0].low_per_octave) == ("fan", None)
    (window,) = session_windows.windows(store, 1)
    assert (window.said.label, window.who) == ("mine", "Ben Moss")
    session_windows.move(store, window.id, window.version, replace(window.said, end_s=40.0))
    assert sessions.findings(store, 1).windows[1].end_s == 40.0
    store.close()
