"""What twenty approved plugins add to the start of the window, and who is named when one of them is slow.

The rival is the same program with an empty plugins folder, started in turn with the other, each in a process
of its own. What a plugin adds is a twentieth of the difference; reading, hashing, the user's decisions,
importing, the hooks and the rail are all in it. Counted is the processor's time until the window is painted:
the noise of two whole starts by the clock is larger than what is looked for.
"""

from __future__ import annotations

import os
import re
import statistics
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from knowngood import cli
from knowngood.authoring.new import make
from knowngood.loader.status import QUICK_MS
from knowngood_demo.shop import ensure_library

from .test_startup import OURS

if TYPE_CHECKING:
    from pathlib import Path

    from pytest_benchmark.fixture import BenchmarkFixture

ROUNDS = 7
NUMBER = 20
SLEPT_MS = 50
SLOW = f"import time\ntime.sleep({SLEPT_MS / 1e3})\n"
SHOWN = OURS.replace("time.time()", "time.process_time()").replace(
    "sys.argv[1], ", 'sys.argv[1], "--plugins-folder", sys.argv[2], '
)


def approve(folder: Path, *names: str) -> None:
    """Approve plugins as a user does, each by its name."""
    for name in names:
        assert cli.main(["--plugins-folder", str(folder), "plugins", "--approve", name]) == 0


@pytest.fixture
def shelf(tmp_path: Path, data_folder: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    """A plugins folder with twenty approved plugins, as ``knowngood plugin new`` makes them."""
    folder = tmp_path / "shelf"
    names = [f"shop_{number:02d}" for number in range(NUMBER)]
    for name in names:
        make(name, folder)
    approve(folder, *names)
    capsys.readouterr()
    return folder


def started(library: str, plugins: Path, data: Path) -> float:
    """Seconds of processor time from the command to the painted window."""
    environment = {**os.environ, "QT_QPA_PLATFORM": "offscreen", "KNOWNGOOD_DATA": str(data)}
    # Installed programs start from bytecode, whatever the shell of the one who measures says.
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    environment["PYTHONPYCACHEPREFIX"] = str(data / "bytecode")
    command = [sys.executable, "-c", SHOWN, library, str(plugins)]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)
    return float(done.stdout)


def listed(folder: Path, data: Path) -> dict[str, str]:
    """What ``knowngood plugins`` tells of each plugin, in a process of its own."""
    told = subprocess.run(
        [sys.executable, "-m", "knowngood", "--plugins-folder", str(folder), "plugins"],
        env={**os.environ, "KNOWNGOOD_DATA": str(data)},
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    parts = re.split(r"^(?=\S)", told, flags=re.MULTILINE)
    return {part.partition(" ")[0]: part for part in parts if part.startswith("shop_")}


def test_twenty_plugins_that_keep_to_the_guide_add_little_each(
    tmp_path: Path, shelf: Path, data_folder: Path, benchmark: BenchmarkFixture
) -> None:
    library = str(ensure_library(tmp_path / "shop.sqlite"))
    empty = tmp_path / "empty"
    empty.mkdir()

    places = (library, empty, data_folder), (library, shelf, data_folder)
    for place in places:
        started(*place)
    pairs = [tuple(started(*place) for place in places) for _ in range(ROUNDS)]
    benchmark.pedantic(started, places[1], rounds=1)  # type: ignore[no-untyped-call]
    without_s, within_s = (statistics.median(column) for column in zip(*pairs, strict=True))
    each_ms = (within_s - without_s) * 1e3 / NUMBER
    benchmark.extra_info.update(without_s=without_s, within_s=within_s, each_ms=each_ms)
    print(f"\nwithout {without_s:.3f} s, with {NUMBER} plugins {within_s:.3f} s, {each_ms:.1f} ms each")
    parts = listed(shelf, data_folder)
    assert len(parts) == NUMBER
    assert all("page Shop " in part and "slow:" not in part for part in parts.values())
    assert each_ms < QUICK_MS


def test_one_slow_plugin_among_twenty_is_named_with_its_cost(
    shelf: Path, data_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    hooks = shelf / "shop_07" / "knowngood_shop_07" / "plugin.py"
    hooks.write_text(hooks.read_text("utf-8") + SLOW, "utf-8")
    approve(shelf, "shop_07")
    capsys.readouterr()
    parts = listed(shelf, data_folder)
    assert {name for name, part in parts.items() if "slow:" in part} == {"shop_07"}
    cost = re.search(r"slow: it adds (\d+) ms to the start", parts["shop_07"])
    assert cost is not None
    assert int(cost[1]) >= SLEPT_MS
