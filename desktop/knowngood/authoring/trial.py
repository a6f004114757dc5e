"""One plugin, run as the program runs it: beside the program's own, on a library of its own, off screen."""

from __future__ import annotations

import importlib.util
import os
import sys
import time
from importlib import metadata
from pathlib import Path
from tempfile import gettempdir
from typing import TYPE_CHECKING

from knowngood.authoring import asking
from knowngood.loader import PluginFailed, Plugins, find_sources
from knowngood.loader.candidate import GROUP
from knowngood.loader.gate import Gate
from knowngood.loader.sources import FolderSource, InstalledSource
from knowngood.loader.status import Failure, PluginMistake

if TYPE_CHECKING:
    from collections.abc import Callable
    from types import TracebackType

    from PySide6.QtWidgets import QWidget

    from knowngood.api import Page
    from knowngood.loader import PluginStatus
    from knowngood.tasks import Task
    from knowngood_refdata.records import SessionInfo

LONGEST_S = 20.0
STANDING_STILL_MS = 100.0
"""The longest that a window may keep its user waiting."""
OFFSCREEN_ONLY = "propagateSizeHints"
"""What only the display that is none warns of."""
WINDOW = 1080, 740
"""The room of a page in a window on a small screen, in pixels."""


def loaded(place: Path) -> Plugins:
    """The plugin in a folder or file alone, without asking whether it may run."""
    # A plugin packed as a zip file is unpacked beside nothing that could be mistaken for it.
    source = FolderSource(place.resolve(), Path(gettempdir()))
    return Plugins([_importable(source) or source], Gate(trusting=True))


def _importable(source: FolderSource) -> InstalledSource | None:
    """The plugin as the package that its own tests import from this very place; None when they do not."""
    try:
        candidate = source.examine()
    except (PluginMistake, OSError):
        return None
    spec = importlib.util.find_spec(candidate.package)
    if spec is None or spec.origin is None or not Path(spec.origin).is_relative_to(source.path):
        return None
    return InstalledSource(metadata.EntryPoint(candidate.about.name, candidate.module, GROUP))


class Trial:
    """Within ``with``: the plugin is loaded, and a host stands ready for its pages.

    Attributes
    ----------
    failures
        What its pages raised while they were in use.
    warnings
        What Qt warned of meanwhile.
    slow_pages
        How many milliseconds the window stood still for a page, by its title, where that was too long.
    imported
        The top-level modules that the import of its hooks brought in.
    """

    def __init__(self, place: Path, room: Path, doing: Callable[[str], None]) -> None:
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
        self.failures: list[Failure] = []
        self.warnings: list[str] = []
        self.slow_pages: dict[str, float] = {}
        self._place, self._room, self._doing = place.resolve(), room, doing
        self._during = ""
        self._load()
        self._say("opening a library")
        self._open_library()

    def _load(self) -> None:
        own = [one for one in find_sources() if one.built_in]
        alone = Plugins(own)
        self._foreign = {one.key for one in alone.pages()} | {one.name for one in alone.commands()}
        alone.close()
        self._say("loading")
        before = set(sys.modules)
        source = FolderSource(self._place, self._room / "unpacked")
        self.plugins = Plugins([*own, source], Gate(trusting=True))
        self.imported = frozenset(name.partition(".")[0] for name in set(sys.modules) - before)

    def _open_library(self) -> None:
        from PySide6.QtCore import qInstallMessageHandler
        from PySide6.QtWidgets import QApplication

        from knowngood.bench import Bench
        from knowngood.drafts import Drafts
        from knowngood.host import WindowHost
        from knowngood.scales import System
        from knowngood.settings import SettingsFile
        from knowngood.tasks import Tasks
        from knowngood.units import Units
        from knowngood_refdata.queries import vehicles
        from knowngood_refdata.store import Store

        self._before = qInstallMessageHandler(self._warned), sys.excepthook
        sys.excepthook = lambda _kind, error, _trace: self._raised(error)
        found = QApplication.instance()
        self._application = found if isinstance(found, QApplication) else QApplication([])
        self._store = store = Store.open(self._room / "library.sqlite", user="plugin check")
        self._tasks, self._drafts = Tasks(on_failure=self._failed), Drafts(self._room / "drafts.json")
        self.host = WindowHost(
            store=store,
            bench=Bench(find_vehicle=lambda number: vehicles.vehicle(store, number)),
            units=Units(System.SI),
            tasks=self._tasks,
            drafts=self._drafts,
            plugins=self.plugins,
            settings=SettingsFile(self._room / "settings.json"),
            show=lambda _key: None,
            tell=lambda _text: None,
        )

    def __enter__(self) -> Trial:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        from PySide6.QtCore import qInstallMessageHandler

        qInstallMessageHandler(self._before[0])
        sys.excepthook = self._before[1]
        self._drafts.close()
        self._tasks.close()
        self.plugins.close()
        self._store.close()

    def run(self) -> None:
        """Open the pages with an empty library and with a session in hand, and ask every hook."""
        from knowngood.authoring.example import example_session

        self._say("making its tables")
        self.plugins.use_library(self._store)
        pages = self._pages()
        self.plugins.commands()
        self.plugins.started()
        for page in pages:
            self._use(page, "with an empty library")
        session = example_session(self._store)
        self.host.bench.take_session(session)
        for page in pages:
            self._use(page, "with a session in hand")
        self._ask(session)

    def status(self) -> PluginStatus:
        """What the loader noted of the plugin."""
        return next(one for one in self.plugins.status() if one.place == str(self._place))

    def collisions(self) -> list[str]:
        """What the plugin takes away from the program's own plugins."""
        name = f"the plugin '{self.status().name}'"
        return [
            f"the program's own plugin '{one.name}' loses what it brings: {failure.words}"
            for one in self.plugins.status()
            for failure in one.failures
            if one.built_in and name in failure.words
        ]

    def _pages(self) -> list[Page]:
        self._say("asking for its pages")
        return [one for one in self.plugins.pages() if one.key not in self._foreign]

    def _use(self, page: Page, where: str) -> None:
        self._say(f"opening the page '{page.title}' {where}")
        widget = self._made(page)
        if widget is None:
            return
        widget.resize(*WINDOW)
        widget.show()
        self._settle()
        self._say(f"showing the page '{page.title}' in the other units, {where}")
        self._switch_units()
        self._settle()
        self._say(f"closing the page '{page.title}' {where}")
        widget.close()
        widget.deleteLater()
        self._settle()

    def _made(self, page: Page) -> QWidget | None:
        begun = time.perf_counter()
        try:
            widget = page.factory(self.host)
        except PluginFailed:
            # It stands among the plugin's failures.
            return None
        spent_ms = (time.perf_counter() - begun) * 1e3
        # The first time imports what the page needs, which the second does not.
        if self.host.bench.session is not None and spent_ms > STANDING_STILL_MS:
            self.slow_pages[page.title] = spent_ms
        return widget

    def _switch_units(self) -> None:
        from knowngood.scales import System

        other = {System.SI: System.US, System.US: System.SI}
        self.host.units.set_system(other[self.host.units.system])

    def _ask(self, session: SessionInfo) -> None:
        for hook, ask in asking.HOOKS.items():
            self._say(f"asking the hook '{hook}'")
            ask(self.host, session, self._room)
            self._settle()

    def _say(self, what: str) -> None:
        self._during = what
        self._doing(what)

    def _failed(self, task: Task, error: BaseException) -> None:
        self.failures.append(Failure.of(f"{self._during}, in the work '{task.title}'", error))

    def _raised(self, error: BaseException) -> None:
        self.failures.append(Failure.of(self._during, error))

    def _warned(self, _kind: object, _context: object, text: str) -> None:
        if OFFSCREEN_ONLY not in text and text not in self.warnings:
            self.warnings.append(text)

    def _settle(self) -> None:
        """Wait until the work that was started has come back."""
        begun = time.monotonic()
        self._application.processEvents()
        while self._tasks.running:
            if time.monotonic() - begun > LONGEST_S:
                error = TimeoutError(f"the work had not ended after {LONGEST_S:.0f} s")
                self._failed(self._tasks.running[0], error)
                for task in self._tasks.running:
                    task.cancel()
                return
            self._application.processEvents()
            time.sleep(0.005)
        self._application.processEvents()
