"""A table of a million rows is written in seconds, and meanwhile no other thread waits long.

Rival in the same run: the standard library's writer with a text made of every number, on the first rows of
the same table. Both files are compared cell by cell. Target: under 5 s off the GUI thread, no 100 ms pause.
"""

from __future__ import annotations

import csv
import threading
import time
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from tests.benchmarks.test_opening_speed import SAMPLES, store_session
from tests.plugins.sessions.conftest import QuietHost

from knowngood.units import System
from knowngood_sessions.csv_export import head, write_csv
from knowngood_sessions.gather import load
from knowngood_sessions.own_channels import own_channels
from knowngood_sessions.sureness import sure_within
from knowngood_sessions.traces import measure_of

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from numpy.typing import NDArray
    from pytestqt.qtbot import QtBot

    from knowngood_sessions.gather import Session

LONGEST_S, PAUSE_S, TIMES_FASTER = 5.0, 0.1, 5.0
ROWS = 50_000
DIGITS = 2


@pytest.fixture
def session(tmp_path: Path, qtbot: QtBot) -> Iterator[Session]:
    shop = QuietHost(tmp_path)
    yield load(shop.store, store_session(shop), own_channels("R-134a"))
    shop.close()


def plainly_written(path: Path, session: Session) -> None:
    """The rival."""
    part = slice(0, ROWS)
    sure = sure_within(session, part)
    heads, columns = (
        ["Time (s)"],
        [[f"{one:.3f}".rstrip("0").rstrip(".") for one in session.derived.time_s[part]]],
    )
    for one in session.traces:
        measure = measure_of(one, System.US, session.barometer_pa)
        heads.append(head(one, measure))
        columns.append(_texts(measure.array(one.values[part]), measure.decimals + DIGITS))
        if one.worked_out:
            heads.append(f"{one.title} within")
            columns.append(_texts(sure[one.key] * measure.factor, measure.decimals + DIGITS))
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(heads)
        writer.writerows(zip(*columns, strict=True))


def _texts(values: NDArray[np.float64], decimals: int) -> list[str]:
    return [f"{one:.{decimals}f}" if np.isfinite(one) else "" for one in values.tolist()]


class Pulse(threading.Thread):
    """Another thread that wants to run every two milliseconds."""

    def __init__(self) -> None:
        super().__init__()
        self._over = threading.Event()
        self.longest_s = 0.0

    def run(self) -> None:
        last = time.perf_counter()
        while not self._over.wait(0.002):
            now = time.perf_counter()
            self.longest_s, last = max(self.longest_s, now - last), now

    def stop(self) -> None:
        self._over.set()
        self.join()


@pytest.mark.benchmark(group="a table of a million rows")
def test_a_million_rows_are_written_in_seconds_and_nobody_waits(
    session: Session, tmp_path: Path, benchmark: Any
) -> None:
    begun = time.perf_counter()
    plainly_written(tmp_path / "plain.csv", session)
    rival_s = (time.perf_counter() - begun) * SAMPLES / ROWS

    pulse = Pulse()
    pulse.start()
    try:
        written = benchmark.pedantic(
            write_csv, (tmp_path / "ours.csv", session, session.traces, (0.0, 1e9), System.US), rounds=2
        )
    finally:
        pulse.stop()
    ours_s: float = benchmark.stats.stats.min
    assert written == SAMPLES
    with (
        (tmp_path / "ours.csv").open(encoding="utf-8-sig") as ours,
        (tmp_path / "plain.csv").open(encoding="utf-8-sig") as plain,
    ):
        next(ours), next(plain)
        for row, expected in zip(csv.reader(ours), csv.reader(plain), strict=False):
            assert row == expected
    print(
        f"\n{ours_s:.2f} s; the standard library {rival_s:.1f} s ({rival_s / ours_s:.0f} times as long); "
        f"another thread waited {1e3 * pulse.longest_s:.0f} ms at most"
    )
    assert ours_s < LONGEST_S
    assert pulse.longest_s < PAUSE_S
    assert rival_s > TIMES_FASTER * ours_s
