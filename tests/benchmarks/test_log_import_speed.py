"""Reading a log of eight channels with a million samples each, against a bare read of the same table.

The rival is `polars.read_csv` over the same bytes, which looks for no preamble, no unit, no missing mark, no
ragged line, and knows nothing of time. Each is measured in a process of its own, in turns, with the largest
memory that it ever took; the file is the one that a logger writes at fifty samples a second.
"""

from __future__ import annotations

import json
import subprocess
import sys
from typing import TYPE_CHECKING

import numpy as np
import polars as pl
import pytest

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path
    from typing import Any

    from pytest_benchmark.fixture import BenchmarkFixture

SAMPLES = 1_000_000
LONGEST_S = 5.0
LONGEST_SILENCE_S = 1.5
MOST_BYTES = 1_000_000_000
MOST = 40.0
ROUNDS = 3
CHANNELS = {
    "P_low (psig)": 30.0,
    "P_high (psig)": 150.0,
    "T_suction (°F)": 45.0,
    "T_liquid (°F)": 95.0,
    "T_vent (°F)": 48.0,
    "T_ambient (°F)": 88.0,
    "T_intake (°F)": 76.0,
    "Engine speed (rpm)": 750.0,
}
BARE = """
import io, json, resource, sys, time
from pathlib import Path
import polars as pl
data = Path(sys.argv[1]).read_bytes()
began = time.perf_counter()
frame = pl.read_csv(io.BytesIO(data), separator=sys.argv[2], decimal_comma=sys.argv[2] == ";")
taken = time.perf_counter() - began
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
print(json.dumps({"s": taken, "peak": peak, "rows": len(frame)}))
"""
WHOLE = """
import json, resource, sys, time
from pathlib import Path
import polars
from knowngood_sessions.core.mapping.importing import prepare, to_recording
data = Path(sys.argv[1]).read_bytes()
began = time.perf_counter()
told = [began]
prepared = prepare(data, "log.csv", proceed=lambda _: told.append(time.perf_counter()))
told.append(time.perf_counter())
recording = to_recording(prepared.table, prepared.mapping).recording
taken = time.perf_counter() - began
told.append(time.perf_counter())
silence = max(after - before for before, after in zip(told, told[1:]))
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
sums = {one.name: float(one.values.sum()) for one in recording.channels}
print(json.dumps({"s": taken, "peak": peak, "rows": recording.time_s.size, "told": len(told),
    "silence": silence, "sums": sums, "questions": len(prepared.questions)}))
"""


@pytest.fixture(scope="module")
def frame() -> pl.DataFrame:
    draw = np.random.default_rng(5)
    columns = {"Time (s)": np.arange(SAMPLES) * 20 / 1_000}
    for name, level in CHANNELS.items():
        walk = np.cumsum(draw.normal(0.0, 0.01, SAMPLES))
        columns[name] = np.round(level + walk + draw.normal(0.0, 0.5, SAMPLES), 2)
    return pl.DataFrame(columns)


def commas(frame: pl.DataFrame, path: Path) -> str:
    frame.write_csv(path)
    return ","


def decimal_commas(frame: pl.DataFrame, path: Path) -> str:
    frame.write_csv(path, separator=";", decimal_comma=True)
    return ";"


def marks(frame: pl.DataFrame, path: Path) -> str:
    frame.write_csv(path, quote_style="always")
    return ","


def run(program: str, path: Path, delimiter: str) -> dict[str, Any]:
    done = subprocess.run(
        [sys.executable, "-c", program, str(path), delimiter], capture_output=True, text=True, check=True
    )
    found: dict[str, Any] = json.loads(done.stdout)
    return found


@pytest.mark.benchmark(group="reading a log of eight million samples")
@pytest.mark.parametrize("write", [commas, decimal_commas, marks], ids=lambda one: one.__name__)
def test_eight_million_samples_are_read_in_five_seconds_and_a_gigabyte(
    frame: pl.DataFrame,
    tmp_path: Path,
    benchmark: BenchmarkFixture,
    write: Callable[[pl.DataFrame, Path], str],
) -> None:
    path = tmp_path / "log.csv"
    delimiter = write(frame, path)
    bare = [run(BARE, path, delimiter)]
    whole = [run(WHOLE, path, delimiter)]

    def both() -> None:
        whole.append(run(WHOLE, path, delimiter))
        bare.append(run(BARE, path, delimiter))

    benchmark.pedantic(both, rounds=ROUNDS)  # type: ignore[no-untyped-call]
    taken, rival = min(one["s"] for one in whole), min(one["s"] for one in bare)
    peak, silence = max(one["peak"] for one in whole), min(one["silence"] for one in whole)
    benchmark.extra_info.update(
        read_s=round(taken, 2), ratio=round(taken / rival, 1), peak_mb=round(peak / 1e6)
    )
    size, of_rival = path.stat().st_size, max(one["peak"] for one in bare)
    print(
        f"\n{size / 1e6:.0f} MB read in {taken:.2f} s, {taken / rival:.1f} times the bare read "
        f"({rival:.2f} s); at most {peak / 1e6:.0f} MB (bare {of_rival / 1e6:.0f} MB); progress told "
        f"{whole[0]['told']} times, longest silence {silence:.2f} s"
    )
    assert {one["rows"] for one in (*whole, *bare)} == {SAMPLES}
    assert {one["questions"] for one in whole} == {0}
    sums = {name.partition(" (")[0]: float(frame[name].sum()) for name in CHANNELS}
    assert whole[0]["sums"] == pytest.approx(sums, rel=1e-12)
    assert taken < LONGEST_S
    assert peak < MOST_BYTES
    assert silence < LONGEST_SILENCE_S
    assert taken < MOST * rival
