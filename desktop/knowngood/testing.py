"""For the tests of a plugin: a library, the bench, a host, and a way to let background work finish.

Load it with ``addopts = ["-p", "knowngood.testing"]`` in the plugin's ``pyproject.toml``. The fixtures need
pytest; pytest-qt is not needed.
"""

from __future__ import annotations

import os
import time
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from PySide6.QtWidgets import QApplication

    from knowngood.bench import Bench
    from knowngood.host import WindowHost
    from knowngood.loader import Plugins
    from knowngood_refdata.store import Store

LONGEST_S = 30.0


@pytest.fixture(scope="session")
def application() -> QApplication:
    """The one Qt application, without a display."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from PySide6.QtWidgets import QApplication

    found = QApplication.instance()
    return found if isinstance(found, QApplication) else QApplication([])


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """An empty library in a file of its own."""
    from knowngood_refdata.store import Store

    opened = Store.open(tmp_path / "library.sqlite", user="Ada Fell")
    yield opened
    opened.close()


@pytest.fixture
def bench(store: Store, application: QApplication) -> Bench:  # noqa: ARG001 - signals need it
    """The bench with nothing in hand."""
    from knowngood.bench import Bench
    from knowngood_refdata.queries import vehicles

    return Bench(find_vehicle=lambda number: vehicles.vehicle(store, number))


@pytest.fixture
def host(store: Store, bench: Bench, tmp_path: Path) -> Iterator[WindowHost]:
    """What a page is given; what it says goes to standard output."""
    from knowngood.drafts import Drafts
    from knowngood.host import WindowHost
    from knowngood.loader import Plugins
    from knowngood.scales import System
    from knowngood.settings import SettingsFile
    from knowngood.tasks import Tasks
    from knowngood.units import Units

    tasks, drafts = Tasks(), Drafts(tmp_path / "drafts.json")
    yield WindowHost(
        store=store,
        bench=bench,
        units=Units(System.SI),
        tasks=tasks,
        drafts=drafts,
        plugins=Plugins(()),
        settings=SettingsFile(tmp_path / "settings.json"),
        show=print,
        tell=print,
    )
    drafts.close()
    tasks.close()


@pytest.fixture
def settle(host: WindowHost, application: QApplication) -> Callable[[], None]:
    """Call it to wait until the work that a page started has come back."""

    def wait() -> None:
        begun = time.monotonic()
        application.processEvents()
        while host.tasks.running:
            if time.monotonic() - begun > LONGEST_S:
                raise TimeoutError(f"work was still running after {LONGEST_S:.0f} s")
            application.processEvents()
            time.sleep(0.005)
        application.processEvents()

    return wait


@pytest.fixture
def load(application: QApplication) -> Iterator[Callable[[Path], Plugins]]:  # noqa: ARG001
    """Call it with the folder of a plugin to load it as the program does, without asking for approval."""
    from knowngood.authoring.trial import loaded

    kept: list[Plugins] = []

    def one(folder: Path) -> Plugins:
        kept.append(loaded(folder))
        return kept[-1]

    yield one
    for plugins in kept:
        plugins.close()
