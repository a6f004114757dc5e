"""The host of the window program, without its window and without plugins."""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING

from knowngood.bench import Bench
from knowngood.drafts import Drafts
from knowngood.host import WindowHost
from knowngood.loader import Plugins
from knowngood.settings import SettingsFile
from knowngood.tasks import Tasks
from knowngood.units import System, Units
from knowngood_refdata.queries import vehicles

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from knowngood_refdata.store import Store


@contextlib.contextmanager
def window_host(
    store: Store, folder: Path, said: list[str], shown: list[str] | None = None
) -> Iterator[WindowHost]:
    """A host in SI; what is said, and the keys of the pages that are shown, go into lists (or one list)."""
    tasks, drafts = Tasks(), Drafts(folder / "drafts.json")
    yield WindowHost(
        store=store,
        bench=Bench(find_vehicle=lambda number: vehicles.vehicle(store, number)),
        units=Units(System.SI),
        tasks=tasks,
        drafts=drafts,
        plugins=Plugins(()),
        settings=SettingsFile(folder / "settings.json"),
        show=(said if shown is None else shown).append,
        tell=said.append,
    )
    drafts.close()
    assert tasks.close()
