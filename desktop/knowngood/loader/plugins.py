"""The loaded plugins, with one typed method a hook."""

from __future__ import annotations

import html
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from knowngood.api import (
    CheckNote,
    Command,
    DerivedChannel,
    Explanation,
    Group,
    LogReader,
    LogRefused,
    LogRequest,
    Measurement,
    Page,
    ReportSection,
    SpecField,
)
from knowngood.loader import channels, checkups, own_settings, readers, rules
from knowngood.loader.lifecycle import Lifecycle
from knowngood.loader.status import PluginMistake
from knowngood.program import RunningProgram
from knowngood_refdata.errors import StoreError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from knowngood.bringing import Setting
    from knowngood.loader.record import Record
    from knowngood.loader.status import PluginFailed
    from knowngood.scales import System
    from knowngood_refdata.store import Store

T = TypeVar("T")

OWN_COMMANDS = {"plugins": "the program itself", "report": "the program itself"}
"""Names that no plugin's command can have."""

OWN_PAGES = {"plugins": "the program itself", "settings": "the program itself"}
"""Keys that no plugin's page can have."""

_LAST = 10_000
_GROUPS = list(Group)


@dataclass(frozen=True, slots=True)
class Brought(Generic[T]):
    """What a hook brings: of which kind, under which name, by which rule, and how it is handed on.

    ``name`` tells what must not be used twice; ``check`` refuses a wrong one, given who has which name;
    ``contain`` gives what stands in its place, with its failures noted; ``words`` stand for it on the
    Plugins page, where the hook is not one of `knowngood.loader.lifecycle.BRINGS`. With ``each`` a wrong one
    loses only itself, and plugins of the program itself are asked first.
    """

    hook: str
    kind: type[T]
    name: Callable[[T], str]
    check: Callable[[T, dict[str, str]], None]
    contain: Callable[[T, Record], T] = lambda one, _record: one
    words: Callable[[T], str] | None = None
    each: bool = False


class Plugins(Lifecycle):
    """The plugins of a running program: see `knowngood.loader.lifecycle.Lifecycle` for their parameters.

    Each hook whose answer holds for the whole run is asked once a plugin; a plugin that is let in later
    is asked then, and what a plugin brought leaves with it.

    Attributes
    ----------
    kept_settings
        Given a plugin's name: the values that are kept for its settings, by key.
    """

    kept_settings: Callable[[str], Mapping[str, object]] = staticmethod(lambda _plugin: {})

    def pages(self) -> tuple[Page, ...]:
        """The pages of all plugins, in the order of the rail.

        A page's factory raises `PluginFailed` when the plugin's own one fails, and notes why.
        """
        return tuple(sorted(self._once(PAGES, taken=OWN_PAGES), key=_place_in_rail))

    def commands(self) -> tuple[Command, ...]:
        """The commands of all plugins, sorted by name.

        ``configure`` raises `PluginFailed` when the plugin's own one fails, and notes why.
        """
        return tuple(sorted(self._once(COMMANDS, taken=OWN_COMMANDS), key=lambda one: one.name))

    def spec_fields(self) -> tuple[SpecField, ...]:
        """The spec fields of all plugins."""
        return self._once(SPEC_FIELDS)

    def derived_channels(self, refrigerant: str) -> tuple[DerivedChannel, ...]:
        """The derived channels of all plugins; each plugin is asked once for each refrigerant.

        ``compute`` raises `PluginFailed` when the plugin's own one fails or answers nonsense, and notes why.
        """
        return self._once(DERIVED_CHANNELS, taken=channels.recorded_names(), refrigerant=refrigerant)

    def log_readers(self) -> tuple[LogReader, ...]:
        """The log readers of all plugins, those of whole families of files last.

        ``claims`` says no when the plugin's own one fails, ``read`` raises
        `knowngood_refdata.logs.ReaderFailed`; both note why.
        """
        return tuple(sorted(self._once(LOG_READERS), key=lambda one: one.general))

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
            program=RunningProgram(store, self),
        )
        found = [section for sections in answers for section in sections]
        return tuple(sorted(found + failed, key=lambda section: (section.order, section.title)))

    def explanations(self) -> tuple[Explanation, ...]:
        """The explanations of all plugins, those of the program itself first; each plugin is asked once."""
        return self._once(EXPLANATIONS, taken=checkups.ALWAYS_WEIGHED)

    def measurements(self) -> tuple[Measurement, ...]:
        """The measurements of all plugins, those of the program itself first; each plugin is asked once."""
        return self._once(MEASUREMENTS)

    def session_checks(self, store: Store, session_id: int) -> tuple[CheckNote, ...]:
        """What the checks of all plugins found in a session; a note stands where a plugin failed."""
        failed: list[CheckNote] = []
        answers = self._ask(
            "session_checks",
            lambda name, answer: checkups.notes_of(answer, name),
            on_failure=lambda failure: failed.append(checkups.missing_checks(failure)),
            store=store,
            session_id=session_id,
            program=RunningProgram(store, self),
        )
        found = [note for notes in answers for note in notes]
        return checkups.in_order(found + failed)

    def settings(self) -> dict[str, tuple[Setting, ...]]:
        """The settings that each plugin brings, by plugin; those without any are left out."""
        kept: dict[str, tuple[Setting, ...]] = self._answers.setdefault(("settings",), {})

        def accept(name: str, answer: object) -> None:
            kept[name] = own_settings.settings_of(answer)
            self._records[name].bring("settings")

        def fail(failure: PluginFailed) -> None:
            kept[failure.name] = ()

        for _ in self._ask("settings", accept, on_failure=fail, without=tuple(kept)):
            pass
        return {name: found for name, found in sorted(kept.items()) if found}

    def setting(self, plugin: str, key: str) -> str | float | bool:
        """The value of a plugin's setting, of the setting's kind.

        Raises
        ------
        KeyError
            When the plugin brings no such setting.
        """
        for one in self.settings().get(plugin, ()):
            if one.key == key:
                return own_settings.value_of(one, self.kept_settings(plugin))
        raise KeyError(f"The plugin '{plugin}' brings no setting '{key}'.")

    def _once(
        self, brought: Brought[T], *, taken: Mapping[str, str] | None = None, **given: Any
    ) -> tuple[T, ...]:
        """What all plugins bring by a hook; who was asked before is not asked again, failed or not.

        ``taken`` names who has the names that no plugin can bring. Of two plugins that bring one name the
        one that was asked first keeps it.
        """
        kept: dict[str, tuple[T, ...]] = self._answers.setdefault((brought.hook, *given.values()), {})

        def accept(name: str, answer: object) -> None:
            owners = dict(taken or {})
            for other, things in kept.items():
                owners |= {brought.name(one): f"the plugin '{other}'" for one in things}
            kept[name] = self._accepted(brought, name, answer, owners)

        def fail(failure: PluginFailed) -> None:
            kept[failure.name] = ()

        for _ in self._ask(
            brought.hook, accept, on_failure=fail, without=tuple(kept), own_first=brought.each, **given
        ):
            pass
        order = sorted(kept, key=lambda name: self._place(name, own_first=brought.each))
        return tuple(one for name in order for one in kept[name])

    def _accepted(
        self, brought: Brought[T], name: str, answer: object, owners: dict[str, str]
    ) -> tuple[T, ...]:
        record = self._records[name]
        things = rules.all_of(answer, brought.kind, brought.hook)
        good = []
        for one in things:
            try:
                brought.check(one, owners)
            except PluginMistake as mistake:
                if not brought.each:
                    raise
                record.fail(brought.hook, mistake)
            else:
                good.append(one)
                owners[brought.name(one)] = f"the plugin '{name}'"
        for one in good:
            if brought.words is not None:
                record.bring(brought.words(one))
        return tuple(brought.contain(one, record) for one in good)


def _page(page: Page, record: Record) -> Page:
    def make(host: Any) -> Any:
        return rules.widget(page.factory(host), page.title)

    return replace(page, factory=record.watched(f"making the page '{page.title}'", make))


def _command(command: Command, record: Record) -> Command:
    during = f"setting up the command '{command.name}'"
    return replace(command, configure=record.watched(during, command.configure))


def _channel(channel: DerivedChannel, record: Record) -> DerivedChannel:
    during = f"working out '{channel.title}'"
    return replace(channel, compute=record.watched(during, channels.checked(channel)))


PAGES = Brought("pages", Page, lambda one: one.key, rules.check_page, _page, lambda one: f"page {one.title}")
COMMANDS = Brought(
    "commands",
    Command,
    lambda one: one.name,
    rules.check_command,
    _command,
    lambda one: f"command {one.name}",
)
SPEC_FIELDS = Brought("spec_fields", SpecField, lambda one: one.name, rules.check_field)
DERIVED_CHANNELS = Brought(
    "derived_channels", DerivedChannel, lambda one: one.name, channels.check_channel, _channel
)
LOG_READERS = Brought("log_readers", LogReader, lambda one: one.name, readers.check_reader, readers.contained)

EXPLANATIONS = Brought(
    "explanations", Explanation, lambda one: one.name, checkups.check_explanation, each=True
)
MEASUREMENTS = Brought(
    "measurements", Measurement, lambda one: one.name, checkups.check_measurement, each=True
)


def _sections_of(answer: object) -> tuple[ReportSection, ...]:
    sections = rules.all_of(answer, ReportSection, "report_sections")
    for section in sections:
        rules.check_section(section)
    return sections


def _missing_part(failure: PluginFailed) -> ReportSection:
    return ReportSection("Missing part", _LAST, f'<p class="missing">{html.escape(str(failure))}</p>')


def _place_in_rail(page: Page) -> tuple[int, int, str]:
    return _GROUPS.index(page.group), page.order, page.title
