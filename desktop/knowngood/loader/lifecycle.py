"""What becomes of each plugin: found, let in or not, loaded, asked, taken out again."""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING, Any, TypeVar

import pluggy

from knowngood import hookspecs
from knowngood.loader import rules
from knowngood.loader.folder import CodeFinder
from knowngood.loader.gate import Gate
from knowngood.loader.output import Capture
from knowngood.loader.own_tables import are_behind, make_tables, tables_of
from knowngood.loader.owners import Owners
from knowngood.loader.preparing import Preparing
from knowngood.loader.record import LOADING, READING, Record
from knowngood.loader.status import PluginFailed, PluginMistake, PluginStatus, State

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from knowngood.bringing import PluginTables
    from knowngood.loader.candidate import Candidate
    from knowngood.loader.preparing import Elsewhere
    from knowngood.loader.sources import Source
    from knowngood.loader.watchdog import Watchdog
    from knowngood_refdata.store import Store

T = TypeVar("T")

BRINGS = (
    ("import_log", "reads logs"),
    ("report_sections", "part of the report"),
    ("spec_fields", "spec fields"),
    ("derived_channels", "derived channels"),
    ("log_readers", "log readers"),
    ("tables", "tables in the library"),
    ("session_checks", "checks on a session"),
    ("explanations", "explanations"),
    ("measurements", "measurements"),
)
"""Hooks whose answers are asked for late, with what stands for them on the plugins page."""

_LET_IN = frozenset({State.RUNNING, State.PREPARING})


class Lifecycle:
    """Lets plugins in one by one, each in a ``try`` of its own, and takes them out again.

    Whatever a plugin raises, ``SystemExit`` included, is noted under its name; a user's Ctrl-C alone
    passes.

    Parameters
    ----------
    sources
        The plugins there are, in this order: see `knowngood.loader.find_sources`.
    gate
        Decides which of them may run. Without one all may: whoever named the sources has decided.
    watchdog
        Ends a plugin's code that keeps the window standing still.
    """

    def __init__(
        self, sources: Iterable[Source], gate: Gate | None = None, *, watchdog: Watchdog | None = None
    ) -> None:
        self._manager = pluggy.PluginManager("knowngood")
        self._manager.add_hookspecs(hookspecs)
        self._gate = gate or Gate(trusting=True)
        self._watchdog = watchdog
        self._capture = Capture()
        self._records: dict[str, Record] = {}
        self._answers: dict[tuple[object, ...], dict[str, tuple[Any, ...]]] = {}
        self._listeners: list[Callable[[], None]] = []
        self._library: Store | None = None
        self._with_tables: set[str] = set()
        self._preparing: Preparing | None = None
        self.owners = watchdog.owners if watchdog is not None else Owners()
        self._finder = CodeFinder(self.owners.builtin_names)
        try:
            for source in sources:
                self._load(source)
        except BaseException:
            # A Ctrl-C, which leaves nobody to close what was begun.
            self.close()
            raise

    @property
    def safe(self) -> bool:
        """Whether only the plugins of the program itself were let in."""
        return self._gate.safe

    def status(self) -> tuple[PluginStatus, ...]:
        """Every plugin that was found, loaded or not, sorted by name."""
        return tuple(record.status(name) for name, record in sorted(self._records.items()))

    def on_change(self, listener: Callable[[], None]) -> None:
        """Have a function called whenever a plugin was let in or taken out."""
        self._listeners.append(listener)

    def take(self, sources: Iterable[Source]) -> None:
        """Take in what has been put into the plugins folder since, and forget what has been taken away."""
        found = {source.place: source for source in sources}
        known = {record.source.place: key for key, record in self._records.items()}
        for place, key in known.items():
            if self._records[key].state not in _LET_IN:
                del self._records[key]
            elif place not in found:
                self._records[key].reason = "Its files are gone; it runs on until the program ends."
        let_in = {record.source.place for record in self._records.values()}
        for place, source in found.items():
            if place not in let_in:
                self._load(source)
        self._tell()

    def approve(self, name: str, sha256: str) -> None:
        """Let a plugin run from now on, provided that its contents are those that were shown.

        Raises
        ------
        KeyError
            When there is no such plugin.
        """
        record = self._records[name]
        if record.state in _LET_IN or name != record.name:
            return
        candidate = self._examined(record)
        if candidate is not None and candidate.about.sha256 != sha256:
            record.state = State.WAITING
            record.reason = "Its contents changed while you decided; nothing of it has run. Look at it again."
        elif candidate is not None:
            self._gate.decide(record.name, candidate.about.sha256, approved=True)
            self._gate.switch(record.name, on=True)
            self._admit(name, record, candidate)
        self._tell()

    def refuse(self, name: str, sha256: str) -> None:
        """Keep a plugin with these contents from running, and do not ask again."""
        record = self._records[name]
        self._gate.decide(record.name, sha256, approved=False)
        self._take_out(name, record)
        record.state, record.reason = self._gate.verdict(record.source, record.about)
        self._tell()

    def disable(self, name: str) -> None:
        """Take a plugin out, now and at every start, until it is enabled again."""
        record = self._records[name]
        if name != record.name:  # the second of two: the first one has the name, on or off
            return
        self._gate.switch(record.name, on=False)
        self._take_out(name, record)
        record.state, record.reason = self._gate.verdict(record.source, record.about)
        self._tell()

    def enable(self, name: str) -> None:
        """Let a plugin in again that was switched off, or load one anew that failed."""
        record = self._records[name]
        if name != record.name:  # the second of two: the first one has the name, on or off
            return
        self._gate.switch(record.name, on=True)
        self._take_out(name, record)
        record.failures.clear()
        record.costs.clear()
        candidate = self._examined(record)
        if candidate is not None:
            self._admit(name, record, candidate)
        self._tell()

    def note(self, error: BaseException) -> PluginStatus | None:
        """Note an exception of a timer, a button or a task under the plugin whose code raised it.

        Returns None when no plugin's code has part in it.
        """
        name = self.owners.of_error(error)
        record = self._records.get(name) if name is not None else None
        if name is None or record is None:
            return None
        # What a page that was taken out leaves behind can no longer reach anything.
        if record.state in _LET_IN:
            record.fail("its page was in use", error)
        return record.status(name)

    def use_library(self, store: Store, elsewhere: Elsewhere | None = None) -> None:
        """Make the tables of the plugins in a library, now and whenever one is let in.

        A plugin whose tables cannot be made has failed: nothing else of it would work. With ``elsewhere``
        a plugin whose tables are behind prepares them there, and is asked for nothing until they are made.
        """
        self._library = store
        self._preparing = Preparing(elsewhere, self.owners) if elsewhere is not None else None
        self._with_tables.clear()
        self._make_tables()

    def started(self) -> None:
        """Note that the start is over: what a plugin costs from now on is not counted as its start."""
        for record in self._records.values():
            record.start_ms = record.loaded_ms + record.called_ms

    def close(self) -> None:
        """Forget the code of the plugins folder, so that it can be loaded anew."""
        self._finder.close()

    def _load(self, source: Source) -> None:
        record = Record(source, self._capture, self._watchdog)
        candidate = None if self._left_out(record) else self._examined(record)
        if record.name in self._records:
            other = self._records[record.name].source.place
            self._records[f"{record.name} ({source.place})"] = record
            record.state = State.FAILED
            record.fail(LOADING, PluginMistake(f"a plugin named '{record.name}' is there already: {other}"))
            return
        self._records[record.name] = record
        if candidate is not None:
            self._admit(record.name, record, candidate)

    def _left_out(self, record: Record) -> bool:
        if record.source.built_in or not self._gate.safe:
            return False
        record.state, record.reason = self._gate.verdict(record.source, None)
        return True

    def _examined(self, record: Record) -> Candidate | None:
        """What the plugin is, found out without running anything of it; None when that fails."""
        try:
            with record.guarded(READING):
                candidate = record.source.examine()
        except PluginFailed:
            record.state = State.FAILED
            return None
        record.about = candidate.about
        record.name = candidate.about.name
        record.package = candidate.package
        record.version = record.version or candidate.about.version
        return candidate

    def _admit(self, name: str, record: Record, candidate: Candidate) -> None:
        record.state, record.reason = self._gate.verdict(record.source, candidate.about)
        if record.state is not State.RUNNING:
            return
        self.owners.add(candidate.package, name, built_in=record.source.built_in)
        try:
            with self._mark(record), record.guarded(LOADING):
                self._register(name, record, candidate)
        except PluginFailed:
            self._take_out(name, record)
            record.state = State.FAILED
        self._make_tables()

    def _make_tables(self) -> None:
        store = self._library
        if store is None:
            return

        def make(name: str, answer: object) -> None:
            tables = tables_of(answer)
            if tables is not None and self._preparing is not None and are_behind(store, name, tables):
                self._prepare(self._preparing, name, store, tables)
                return
            if tables is not None:
                make_tables(store, name, tables)
            self._with_tables.add(name)

        def lose(failure: PluginFailed) -> None:
            self._lose(failure.name)

        for _ in self._ask("tables", make, on_failure=lose, without=self._with_tables):
            pass

    def _prepare(self, preparing: Preparing, name: str, store: Store, tables: PluginTables) -> None:
        record = self._records[name]
        record.state, record.reason = State.PREPARING, "What it brings is there once they are made."

        def ended(error: BaseException | None) -> None:
            record.state, record.reason = State.RUNNING, ""
            if error is None:
                self._with_tables.add(name)
            else:
                self._lose(name)
            self._tell()

        preparing.add(record, store, tables, ended)

    def _lose(self, name: str) -> None:
        record = self._records[name]
        self._take_out(name, record)
        record.state = State.FAILED

    def _mark(self, record: Record) -> contextlib.AbstractContextManager[None]:
        return contextlib.nullcontext() if record.source.built_in else self._gate.starting(record.name)

    def _register(self, name: str, record: Record, candidate: Candidate) -> None:
        module = record.source.load(self._finder, candidate)
        record.version = record.version or str(getattr(module, "__version__", ""))
        hooks = rules.check_hooks(module)
        self._manager.register(module, name)
        self._manager.check_pending()
        for hook, words in BRINGS:
            if hook in hooks:
                record.bring(words)

    def _take_out(self, name: str, record: Record) -> None:
        if self._manager.has_plugin(name):
            self._manager.unregister(name=name)
        self._finder.drop(record.package)
        self._with_tables.discard(name)
        if self._preparing is not None:
            self._preparing.forget(name)
        for answers in self._answers.values():
            answers.pop(name, None)
        record.contributions.clear()

    def _tell(self) -> None:
        for listener in self._listeners:
            listener()

    def _ask(
        self,
        hook: str,
        accept: Callable[[str, object], T],
        *,
        passing: tuple[type[Exception], ...] = (),
        on_failure: Callable[[PluginFailed], None] | None = None,
        without: Iterable[str] = (),
        own_first: bool = False,
        **given: Any,
    ) -> Iterator[T]:
        """Ask plugin after plugin for its answer, and have each checked by ``accept``."""
        left_out = frozenset(without)
        implementations = getattr(self._manager.hook, hook).get_hookimpls()
        for one in sorted(implementations, key=lambda one: self._place(one.plugin_name, own_first=own_first)):
            if one.plugin_name in left_out or self._records[one.plugin_name].state is State.PREPARING:
                continue
            try:
                with self._records[one.plugin_name].guarded(hook, passing):
                    answer = accept(one.plugin_name, one.function(*(given[name] for name in one.argnames)))
            except PluginFailed as failure:
                if on_failure is not None:
                    on_failure(failure)
            else:
                yield answer

    def _place(self, name: str, *, own_first: bool) -> tuple[bool, str]:
        """Where a plugin stands in the order in which they are asked."""
        return own_first and not self._records[name].source.built_in, name
