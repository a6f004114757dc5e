"""Take engine hours and odometer from the heads of telematics files."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog

from knowngood_fleet import library
from knowngood_fleet.core.fleet import Counters
from knowngood_fleet.core.telematics import read_head
from knowngood_fleet.library import Refused
from knowngood_refdata.logs import LogUnreadable

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_refdata.store import Store


def ask_and_read(host: Host, parent: QWidget, stored: Callable[[], None]) -> None:
    """Ask for files, read their heads off the GUI thread, and say what became of each."""
    names, _ = QFileDialog.getOpenFileNames(
        parent, "Telematics files", "", "Telematics (*.csv);;All files (*)"
    )
    if not names:
        return
    store = host.store

    def done(told: tuple[int, list[str]]) -> None:
        taken, refused = told
        host.say(f"Counters of {taken} of {len(names)} files entered. {' '.join(refused)}".strip())
        stored()

    host.tasks.run("Reading counters", lambda _progress: take_counters(store, names), done=done)


def take_counters(store: Store, names: Sequence[str]) -> tuple[int, list[str]]:
    """Enter the counters of each file; how many, and why the others were not taken."""
    taken, refused = 0, []
    for name in names:
        try:
            _take(store, Path(name))
        except (LogUnreadable, Refused) as error:
            refused.append(str(error))
        except OSError as error:
            refused.append(f"{Path(name).name} cannot be read: {error.strerror}.")
        else:
            taken += 1
    return taken, refused


def _take(store: Store, path: Path) -> None:
    head = read_head(path.read_bytes(), path.name)
    known = {one.name: one for one in library.units(store)}
    if head.unit not in known:
        raise Refused(f"{path.name} is of unit '{head.unit}', which is no unit of the fleet.")
    if head.started is None:
        raise Refused(f"{path.name} does not say when it started.")
    unit, read = known[head.unit], Counters(head.started.date(), head.hours, head.odometer_km)
    if read in unit.counters:
        raise Refused(f"{path.name} was taken before.")
    library.add_counters(store, unit.unit_id, read)
