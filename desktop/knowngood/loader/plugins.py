"""The loaded plugins, with one typed method a hook."""

from __future__ import annotations

import html
import time
from dataclasses import replace
from typing import TYPE_CHECKING, TypeVar

import pluggy

from knowngood import hookspecs
from knowngood.api import (
    Command,
    DerivedChannel,
    Group,
    LogReader,
    LogRefused,
    LogRequest,
    Page,
    ReportSection,
    SpecField,
)
from knowngood.loader import channels, readers, rules
from knowngood.loader.folder import CodeFinder
from knowngood.loader.record import Record
from knowngood.loader.status import PluginFailed, PluginMistake, PluginStatus
from knowngood_refdata.errors import StoreError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from knowngood.loader.sources import Source
    from knowngood.scales import System
    from knowngood_refdata.store import Store

T = TypeVar("T")

OWN_COMMANDS = {"plugins": "the program itself", "report": "the program itself"}
"""Names that no plugin's command can have."""

BRINGS = (
    ("import_log", "reads logs"),
    ("report_sections", "part of the report"),
    ("spec_fields", "spec fields"),
    ("derived_channels", "derived channels"),
    ("log_readers", "log readers"),
)
"""Hooks whose answers are asked for late, with what stands for them on the plugins page."""

_LAST = 10_000
_GROUPS = list(Group)


class Plugins:
    """Loads plugins and calls their hooks, each in a ``try`` of its own.

    Whatever a plugin raises, ``SystemExit`` included, is noted under its name; a user's Ctrl-C alone
    passes.

    Parameters
    ----------
    sources
        The plugins to load, in this order: see `find_sources`.
    """

    def __init__(self, sources: Iterable[Source]) -> None:
        self._manager = pluggy.PluginManager("knowngood")
        self._manager.add_hookspecs(hookspecs)
        self._finder = CodeFinder()
        self._records: dict[str, Record] = {}
        self._pages: tuple[Page, ...] | None = None
        self._fields: tuple[SpecField, ...] | None = None
        self._channels: dict[str, tuple[DerivedChannel, ...]] = {}
        self._readers: tuple[LogReader, ...] | None = None
        for source in sources:
            self._load(source)

    def status(self) -> tuple[PluginStatus, ...]:
        """Every plugin that was found, loaded or not, sorted by name."""
        return tuple(record.status(name) for name, record in sorted(self._records.items()))

    def pages(self) -> tuple[Page, ...]:
        """The pages of all plugins, in the order of the rail; each plugin is asked once.

        A page's factory raises `PluginFailed` when the plugin's own one fails, and notes why.
        """
        if self._pages is None:
            owners: dict[str, str] = {}
            answers = self._ask("pages", lambda name, answer: self._pages_of(name, answer, owners))
            found = [page for pages in answers for page in pages]
            self._pages = tuple(sorted(found, key=_place_in_rail))
        return self._pages

    def commands(self) -> tuple[Command, ...]:
        """The commands of all plugins, sorted by name.

        ``configure`` raises `PluginFailed` when the plugin's own one fails, and notes why.
        """
        owners = dict(OWN_COMMANDS)
        answers = self._ask("commands", lambda name, answer: self._commands_of(name, answer, owners))
        return tuple(sorted((one for commands in answers for one in commands), key=lambda one: one.name))

    def spec_fields(self) -> tuple[SpecField, ...]:
        """The spec fields of all plugins; each plugin is asked once."""
        if self._fields is None:
            owners: dict[str, str] = {}
            answers = self._ask("spec_fields", lambda name, answer: self._fields_of(name, answer, owners))
            self._fields = tuple(field for fields in answers for field in fields)
        return self._fields

    def derived_channels(self, refrigerant: str) -> tuple[DerivedChannel, ...]:
        """The derived channels of all plugins; each plugin is asked once for each refrigerant.

        ``compute`` raises `PluginFailed` when the plugin's own one fails or answers nonsense, and notes why.
        """
        if refrigerant not in self._channels:
            owners = channels.recorded_names()
            answers = self._ask(
                "derived_channels",
                lambda name, answer: self._channels_of(name, answer, owners),
                refrigerant=refrigerant,
            )
            self._channels[refrigerant] = tuple(one for brought in answers for one in brought)
        return self._channels[refrigerant]

    def log_readers(self) -> tuple[LogReader, ...]:
        """The log readers of all plugins, those of whole families of files last; each plugin is asked once.

        ``claims`` says no when the plugin's own one fails, ``read`` raises
        `knowngood_refdata.logs.ReaderFailed`; both note why.
        """
        if self._readers is None:
            owners: dict[str, str] = {}
            answers = self._ask("log_readers", lambda name, answer: self._readers_of(name, answer, owners))
            found = [one for brought in answers for one in brought]
            self._readers = tuple(sorted(found, key=lambda one: one.general))
        return self._readers

    def import_log(self, store: Store, request: LogRequest) -> int:
        """Have a log imported by the first plugin that reads it; return the id of the new session.

        Raises
        ------
        LogRefused
            When a plugin refuses it, or none reads it.
        knowngood_refdata.errors.StoreError
            When the library cannot be read or written.
        """
        failed: list[str] = []
        answers = self._ask(
            "import_log",
            lambda _name, answer: rules.session_id(answer),
            passing=(LogRefused, StoreError),
            on_failure=lambda failure: failed.append(f" {failure}"),
            store=store,
            request=replace(request, readers=self.log_readers()),
        )
        for session_id in answers:
            if session_id is not None:
                return session_id
        raise LogRefused(
            f"No plugin reads {request.path.name}.{''.join(failed)} Nothing was stored. "
            "Save the log as CSV with a header line and try again."
        )

    def report_sections(self, store: Store, session_id: int, system: System) -> tuple[ReportSection, ...]:
        """The parts of a report in their order; a sentence stands where a plugin failed to give one."""
        failed: list[ReportSection] = []
        answers = self._ask(
            "report_sections",
            lambda _name, answer: _sections_of(answer),
            on_failure=lambda failure: failed.append(_missing_part(failure)),
            store=store,
            session_id=session_id,
            system=system,
        )
        found = [section for sections in answers for section in sections]
        return tuple(sorted(found + failed, key=lambda section: (section.order, section.title)))

    def close(self) -> None:
        """Forget the code of the plugins folder, so that it can be loaded anew."""
        self._finder.close()

    def _load(self, source: Source) -> None:
        record = Record(source, source.version)
        if source.name in self._records:
            self._records[f"{source.name} ({source.place})"] = record
            other = self._records[source.name].source.place
            record.fail("loading", PluginMistake(f"a plugin named '{source.name}' is there already: {other}"))
            return
        self._records[source.name] = record
        started = time.perf_counter()
        try:
            self._register(source, record)
        except KeyboardInterrupt:
            raise
        except BaseException as error:  # noqa: BLE001 - a plugin may raise SystemExit at import
            record.fail("loading", error)
            if self._manager.has_plugin(source.name):
                self._manager.unregister(name=source.name)
        finally:
            record.loaded_ms = (time.perf_counter() - started) * 1e3

    def _register(self, source: Source, record: Record) -> None:
        module = source.load(self._finder)
        record.version = record.version or str(getattr(module, "__version__", ""))
        hooks = rules.check_hooks(module)
        self._manager.register(module, source.name)
        self._manager.check_pending()
        for hook, words in BRINGS:
            if hook in hooks:
                record.bring(words)

    def _ask(
        self,
        hook: str,
        accept: Callable[[str, object], T],
        *,
        passing: tuple[type[Exception], ...] = (),
        on_failure: Callable[[PluginFailed], None] | None = None,
        **given: object,
    ) -> Iterator[T]:
        """Ask plugin after plugin for its answer, and have each checked by ``accept``."""
        implementations = getattr(self._manager.hook, hook).get_hookimpls()
        for one in sorted(implementations, key=lambda one: one.plugin_name):
            try:
                with self._records[one.plugin_name].guarded(hook, passing):
                    answer = accept(one.plugin_name, one.function(*(given[name] for name in one.argnames)))
            except PluginFailed as failure:
                if on_failure is not None:
                    on_failure(failure)
            else:
                yield answer

    def _pages_of(self, name: str, answer: object, owners: dict[str, str]) -> list[Page]:
        record, taken = self._records[name], dict(owners)
        pages = rules.all_of(answer, Page, "pages")
        for page in pages:
            rules.check_page(page, taken)
            taken[page.key] = f"the plugin '{name}'"
        owners.update(taken)
        for page in pages:
            record.bring(f"page {page.title}")
        return [
            replace(page, factory=record.watched(f"making the page '{page.title}'", page.factory))
            for page in pages
        ]

    def _fields_of(self, name: str, answer: object, owners: dict[str, str]) -> tuple[SpecField, ...]:
        taken = dict(owners)
        fields = rules.all_of(answer, SpecField, "spec_fields")
        for field in fields:
            rules.check_field(field, taken)
            taken[field.name] = f"the plugin '{name}'"
        owners.update(taken)
        return fields

    def _channels_of(self, name: str, answer: object, owners: dict[str, str]) -> tuple[DerivedChannel, ...]:
        record, taken = self._records[name], dict(owners)
        brought = rules.all_of(answer, DerivedChannel, "derived_channels")
        for channel in brought:
            channels.check_channel(channel, taken)
            taken[channel.name] = f"the plugin '{name}'"
        owners.update(taken)
        return tuple(
            replace(
                one,
                compute=record.watched(f"working out '{one.title}'", channels.checked(one)),
            )
            for one in brought
        )

    def _readers_of(self, name: str, answer: object, owners: dict[str, str]) -> list[LogReader]:
        record, taken = self._records[name], dict(owners)
        brought = rules.all_of(answer, LogReader, "log_readers")
        for reader in brought:
            readers.check_reader(reader, taken)
            taken[reader.name] = f"the plugin '{name}'"
        owners.update(taken)
        return [readers.contained(one, record) for one in brought]

    def _commands_of(self, name: str, answer: object, owners: dict[str, str]) -> list[Command]:
        record, taken = self._records[name], dict(owners)
        commands = rules.all_of(answer, Command, "commands")
        for command in commands:
            rules.check_command(command, taken)
            taken[command.name] = f"the plugin '{name}'"
        owners.update(taken)
        for command in commands:
            record.bring(f"command {command.name}")
        return [
            replace(one, configure=record.watched(f"setting up the command '{one.name}'", one.configure))
            for one in commands
        ]


def _sections_of(answer: object) -> tuple[ReportSection, ...]:
    sections = rules.all_of(answer, ReportSection, "report_sections")
    for section in sections:
        rules.check_section(section)
    return sections


def _missing_part(failure: PluginFailed) -> ReportSection:
    return ReportSection("Missing part", _LAST, f'<p class="missing">{html.escape(str(failure))}</p>')


def _place_in_rail(page: Page) -> tuple[int, int, str]:
    return _GROUPS.index(page.group), page.order, page.title
