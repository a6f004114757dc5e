"""The fleet plugin of the invented shop: dropped into the plugins folder, approved, and given its lists."""

from __future__ import annotations

import contextlib
import io
import shutil
from datetime import UTC, datetime
from pathlib import Path

from knowngood import cli, paths
from knowngood_demo.fleet import add_readings, write_lists
from knowngood_demo.shop import TECHNICIANS
from knowngood_refdata.store import Store

PROJECT = Path(__file__).resolve().parents[1] / "fleet_plugin"
PLUGIN = "fleet"


def install_plugin() -> None:
    """Copy the plugin's project into the plugins folder as it is now, and approve it as a user would.

    Raises
    ------
    OSError
        When the folder cannot be written.
    RuntimeError
        When the program refuses the plugin; the text is what it said.
    """
    place = paths.plugins_folder() / PROJECT.name
    shutil.rmtree(place, ignore_errors=True)
    shutil.copytree(PROJECT, place, ignore=shutil.ignore_patterns("__pycache__", ".*"))
    command("plugins", "--approve", PLUGIN)


def fill_fleet(library: Path, lists: Path) -> None:
    """Enter the fleet's lists and the readings of its vans into a library, the dates counted back from today.

    Raises
    ------
    RuntimeError
        When the program refuses the lists; the text is what it said.
    """
    today = datetime.now(UTC).astimezone().date()
    command("--library", str(library), "fleet-lists", str(write_lists(lists, today)))
    store = Store.open(library, user=TECHNICIANS[0], create=False)
    try:
        add_readings(store, today)
    finally:
        store.close()


def command(*arguments: str) -> None:
    """Run a command of the program as a user would, saying nothing.

    Raises
    ------
    RuntimeError
        When it fails; the text is what it said.
    """
    said = io.StringIO()
    with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
        code = cli.main(arguments)
    if code != 0:
        raise RuntimeError(said.getvalue())
