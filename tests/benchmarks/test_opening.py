"""Opening a library that is at the newest schema, against the bare driver reading its step."""

from __future__ import annotations

import sqlite3
import time
from typing import TYPE_CHECKING

import pytest

from knowngood_refdata.queries import vehicles
from knowngood_refdata.store import Store

if TYPE_CHECKING:
    from pathlib import Path

    from pytest_benchmark.fixture import BenchmarkFixture

LONGEST_S = 0.030


@pytest.mark.benchmark(group="opening a library at head")
def test_opening_a_library_takes_no_time_worth_noticing(tmp_path: Path, benchmark: BenchmarkFixture) -> None:
    path = tmp_path / "library.sqlite"
    Store.open(path).close()

    def bare() -> None:
        connection = sqlite3.connect(path)
        connection.execute("PRAGMA journal_mode = WAL")
        assert connection.execute("SELECT version_num FROM alembic_version").fetchone()
        connection.close()

    def ours() -> None:
        store = Store.open(path)
        assert vehicles.count(store) == 0
        store.close()

    began = time.perf_counter()
    for _ in range(20):
        bare()
    rival_s = (time.perf_counter() - began) / 20
    benchmark(ours)
    assert benchmark.stats is not None
    ours_s: float = benchmark.stats.stats.median
    print(f"\nopening takes {1e3 * ours_s:.1f} ms, {ours_s / rival_s:.1f} times the bare driver")
    assert ours_s < LONGEST_S
