"""A million samples of eight channels through the library, against bare compressed blobs beside it.

The rival does the least that keeps the samples: each channel rounded to counts, compressed with the same
library at the same level, one blob a channel in a table of the same SQLite database.
"""

from __future__ import annotations

import sqlite3
import time
from typing import TYPE_CHECKING

import numpy as np
import pytest
import zstandard

from knowngood_refdata.drafts import SessionDraft
from knowngood_refdata.queries import sessions
from knowngood_refdata.records import Channel, Recording, Role
from knowngood_refdata.store import Store

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from numpy.typing import NDArray
    from pytest_benchmark.fixture import BenchmarkFixture

SAMPLES = 1_000_000
ROLES = (
    Role.LOW_SIDE, Role.HIGH_SIDE, Role.SUCTION_LINE, Role.LIQUID_LINE,
    Role.VENT, Role.AMBIENT, Role.HUMIDITY, Role.ENGINE_SPEED,
)  # fmt: skip
MOST = 3.0


def channels() -> list[NDArray[np.float64]]:
    random = np.random.default_rng(8)
    walks = np.cumsum(random.normal(0, 0.05, (len(ROLES), SAMPLES)), axis=1)
    return [np.round(50 + walk, 1) for walk in walks]


class Blobs:
    """The rival."""

    def __init__(self, path: Path) -> None:
        self.database = sqlite3.connect(path)
        self.database.execute("PRAGMA journal_mode = WAL")
        self.database.execute("CREATE TABLE blob (number INTEGER PRIMARY KEY, content BLOB)")

    def write(self, values: list[NDArray[np.float64]]) -> None:
        squeeze = zstandard.ZstdCompressor(level=3)
        for one in values:
            counts = np.rint(one * 10).astype("<i4")
            content = squeeze.compress(counts.view(np.uint8).reshape(-1, 4).T.tobytes())
            self.database.execute("INSERT INTO blob (content) VALUES (?)", (content,))
        self.database.commit()

    def read(self) -> list[NDArray[np.float64]]:
        expand = zstandard.ZstdDecompressor()
        rows = self.database.execute("SELECT content FROM blob ORDER BY number DESC LIMIT 8").fetchall()
        values = []
        for (content,) in rows:
            raw = np.frombuffer(expand.decompress(content), np.uint8).reshape(4, -1).T
            values.append(np.ascontiguousarray(raw).view("<i4").reshape(-1) / 10.0)
        return values


def best(work: Callable[[], object], rounds: int = 5) -> float:
    times = []
    for _ in range(rounds):
        begun = time.perf_counter()
        work()
        times.append(time.perf_counter() - begun)
    return min(times)


@pytest.mark.benchmark(group="a million samples of eight channels")
def test_the_library_costs_little_more_than_bare_blobs(tmp_path: Path, benchmark: BenchmarkFixture) -> None:
    values = channels()
    time_s = np.arange(SAMPLES) / 10.0
    recording = Recording(
        time_s, tuple(Channel(role, role, "1", False, one) for role, one in zip(ROLES, values, strict=True))
    )
    store = Store.open(tmp_path / "library.sqlite", user="Ada Fell")
    blobs = Blobs(tmp_path / "blobs.sqlite")
    count = iter(range(1000))

    def save() -> int:
        # Each session comes from a file of its own, as in a shop.
        content = f"log {next(count)}".encode()
        return sessions.save(store, SessionDraft(None, "long", "R-134a", "log.csv"), recording, content)

    written = best(save) / best(lambda: blobs.write(values))
    number = save()
    read = best(lambda: sessions.recording(store, number)) / best(blobs.read)
    found = benchmark(lambda: sessions.recording(store, number))
    for one, given in zip(found.channels, values, strict=True):
        np.testing.assert_array_equal(one.values, given)
    store.close()
    blobs.database.close()
    benchmark.extra_info.update(write_ratio=round(written, 2), read_ratio=round(read, 2))
    print(f"\nwriting {written:.2f} times, reading {read:.2f} times the bare blobs")
    assert written < MOST
    assert read < MOST
