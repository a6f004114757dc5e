"""What the demo needs before the program starts: the shop's library and the logs to import."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood import paths
from knowngood.settings import SettingsFile
from knowngood_demo.fleet_stage import fill_fleet, install_plugin
from knowngood_demo.logs import DemoLogs, write_demo_logs
from knowngood_demo.shop import NAME, TECHNICIANS, ensure_library

if TYPE_CHECKING:
    from pathlib import Path

FLEET_LISTS = "fleet lists"


@dataclass(frozen=True, slots=True)
class Stage:
    """The library of the shop as it was made, never opened by the program, and the logs."""

    as_made: Path
    logs: DemoLogs


def set_stage(output: Path) -> Stage:
    """Make the library, unless it is there already, and the logs in the output folder.

    The program's settings, unless made before, get the shop's name and a technician. The fleet plugin is
    installed and approved, and its lists are entered once.

    Raises
    ------
    OSError
        When the folder cannot be written.
    knowngood_refdata.errors.StoreError
        When the library cannot be made.
    RuntimeError
        When the program refuses the fleet plugin or its lists.
    """
    as_made = output / "as_made.sqlite"
    if not as_made.exists():
        print("Making the library of the invented shop; this takes some seconds, once", flush=True)
    ensure_library(as_made)
    settings = SettingsFile(paths.settings_file())
    if not settings.now.shop:
        settings.change(shop=NAME, user=TECHNICIANS[0])
    install_plugin()
    if not (output / FLEET_LISTS).exists():
        fill_fleet(as_made, output / FLEET_LISTS)
    return Stage(as_made, write_demo_logs(output / "logs"))
