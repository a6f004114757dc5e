"""The plugin installed by folder, approved, and used through the program's own doors."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from tests.demo.fleet.conftest import add_cars
from tests.demo.fleet.test_library import LISTS

from knowngood_refdata.queries import sessions, vehicles
from knowngood_refdata.records import Role
from knowngood_refdata.store import Store

if TYPE_CHECKING:
    from collections.abc import Callable

    Run = Callable[..., subprocess.CompletedProcess[str]]

PROJECT = Path(__file__).resolve().parents[3] / "demo" / "fleet_plugin"
TELEMATICS = (
    "FLEET TELEMATICS;2\nunit;HL-901\nstarted;2026-06-03T07:14:00Z\nengine hours;8123,4\n"
    "odometer km;214880\nDATA\nt;PL;PH;TA;TV;N\ns;kPa abs;kPa abs;degC;degC;1/min\n"
)


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A library with the cars of the fleet, which the plugin has never seen."""
    place = tmp_path / "shop.sqlite"
    store = Store.open(place, user="Ada Fell")
    add_cars(store)
    store.close()
    return place


@pytest.fixture
def run(tmp_path: Path, shop: Path) -> Run:
    """The command line with the plugin's project lying in the plugins folder."""
    data = tmp_path / "data"
    shutil.copytree(
        PROJECT, data / "plugins" / "fleet_plugin", ignore=shutil.ignore_patterns("__pycache__", ".*")
    )
    environment = {**os.environ, "KNOWNGOOD_DATA": str(data), "QT_QPA_PLATFORM": "offscreen"}

    def answer(*arguments: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "knowngood.cli", "--library", str(shop), *arguments],
            env=environment, capture_output=True, text=True, check=False,
        )  # fmt: skip

    return answer


def tables(shop: Path) -> set[str]:
    connection = sqlite3.connect(shop)
    try:
        names = connection.execute("SELECT name FROM sqlite_master WHERE name LIKE 'fleet_%'").fetchall()
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        return {name for (name,) in names if not name.startswith("sqlite")}
    finally:
        connection.close()


def test_it_runs_after_its_approval_alone_and_then_makes_its_tables_and_takes_the_lists(
    run: Run, shop: Path, tmp_path: Path
) -> None:
    for name, content in LISTS.items():
        (tmp_path / f"{name}.csv").write_text(content, encoding="utf-8")
    before = run("fleet-lists", str(tmp_path))
    assert before.returncode == 2
    assert "waits for your approval" in run("plugins", "--disable", "no such").stderr + before.stderr
    assert tables(shop) == set()
    approved = run("plugins", "--approve", "fleet")
    assert approved.returncode == 0
    assert "log readers" in approved.stdout
    assert "failed" not in approved.stdout
    taken = run("fleet-lists", str(tmp_path))
    assert taken.stdout == "Entered 2 units, 2 services, 1 counters, 1 checks.\n", taken.stderr
    assert {"fleet_unit", "fleet_service", "fleet_counters", "fleet_done"} <= tables(shop)
    refused = run("fleet-lists", str(tmp_path / "nowhere"))
    assert refused.returncode == 0
    (tmp_path / "units.csv").write_text("unit,depot\n", encoding="utf-8")
    refused = run("fleet-lists", str(tmp_path))
    assert refused.returncode == 1
    assert "units, line 1: the column 'body' is missing" in refused.stderr


def test_a_log_of_the_telematics_box_is_imported_with_its_pressures_absolute(
    run: Run, shop: Path, tmp_path: Path
) -> None:
    rows = "".join(f"{second},0;301;1212;30,1;9,8;{802 + second % 3}\n" for second in range(240))
    log = tmp_path / "run.csv"
    log.write_text(TELEMATICS + rows, encoding="utf-8")
    run("plugins", "--approve", "fleet")
    answer = run("check", str(log), "--vehicle", "1", "--ambient", "30C", "--humidity", "50")
    assert answer.returncode == 0, answer.stderr
    store = Store.open(shop)
    try:
        (info,) = sessions.list_sessions(store)
        channels = {one.role: one for one in sessions.recording(store, info.id).channels}
        assert vehicles.count(store) == 2
    finally:
        store.close()
    assert (channels[Role.LOW_SIDE].unit, channels[Role.LOW_SIDE].gauge) == ("kPa", False)
    assert channels[Role.HIGH_SIDE].values[0] == pytest.approx(1_212.0)
    assert info.started_at is not None
    assert f"{info.started_at:%Y-%m-%d %H:%M}" == "2026-06-03 07:14"
