"""The hooks: what a plugin can bring. One typed function a hook, four parts in each docstring."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pluggy

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood.api import (
        CheckNote,
        Command,
        DerivedChannel,
        Explanation,
        LogReader,
        LogRequest,
        Measurement,
        Page,
        PluginTables,
        Program,
        ReportSection,
        Setting,
        SpecField,
    )
    from knowngood.scales import System
    from knowngood_refdata.store import Store

hookspec = pluggy.HookspecMarker("knowngood")


@hookspec
def pages() -> Sequence[Page]:  # type: ignore[empty-body]
    """Bring pages for the left rail.

    Called once, before the window is shown; the page itself is made at its first click.
    Return the pages; an empty sequence means none.
    When it raises, the plugin has no pages and is listed with the traceback; others keep theirs.
    """


@hookspec
def commands() -> Sequence[Command]:  # type: ignore[empty-body]
    """Bring commands for the ``knowngood`` command line.

    Called once when the command line starts.
    Return the commands; an empty sequence means none.
    When it raises, the plugin's commands are missing and the error is printed; others still run.
    """


@hookspec
def import_log(store: Store, request: LogRequest) -> int | None:
    """Read a log file into the library, analyse it and store what was found.

    Called for a log named on the command line, plugin after plugin until one answers.
    Return the id of the new session; None means that this plugin does not read such files.
    Raise `knowngood.api.LogRefused` for a file that is recognised but cannot be trusted: the refusal
    is shown and nothing is stored. Any other exception counts as a fault of the plugin, and the next
    plugin is asked.
    """


@hookspec
def report_sections(  # type: ignore[empty-body]
    store: Store, session_id: int, system: System, program: Program
) -> Sequence[ReportSection]:
    """Bring sections for the report on a session.

    Called each time a report is made, possibly off the GUI thread; ``system`` is the unit system in
    which to write values, ``program`` answers for other plugins.
    Return the sections; an empty sequence means that there is nothing to add.
    When it raises, the report says that this plugin's part is missing; the rest is printed.
    """


@hookspec
def spec_fields() -> Sequence[SpecField]:  # type: ignore[empty-body]
    """Bring fields for the records of vehicles.

    Called once, when the first record is shown; what is entered in a field stays when its plugin is gone.
    Return the fields; an empty sequence means none.
    When it raises, the plugin's fields are missing; values entered in them are shown by their names.
    """


@hookspec
def derived_channels(refrigerant: str) -> Sequence[DerivedChannel]:  # type: ignore[empty-body]
    """Bring channels that are worked out of recorded ones, such as a superheat.

    Called once for each refrigerant, when the first session with it is opened; ``refrigerant`` is its
    name, ``R-134a``.
    Return the channels; an empty sequence means none. A channel is shown where a session holds what it
    needs.
    When it raises, the plugin's channels are missing; the session opens all the same.
    """


@hookspec
def log_readers() -> Sequence[LogReader]:  # type: ignore[empty-body]
    """Bring readers of log files, one a format.

    Called once, when the first log is imported. A file is read by the first reader that claims it, those
    of one format before those of whole families of files; a packed file is unpacked first.
    Return the readers; an empty sequence means none.
    When it raises, the plugin's readers are missing. When a reader raises, the plugin is listed with the
    traceback and the next reader is asked; `knowngood_refdata.logs.LogUnreadable` is a refusal in words, no
    fault, and ends the asking.
    """


@hookspec
def tables() -> PluginTables | None:
    """Bring tables of the plugin's own in the library, as the steps that make them.

    Called once the library is open, before pages, commands and all else. Each step that the library does not
    have yet is made in one transaction; names of tables begin with the prefix, other tables are left alone.
    Return the tables; None means that there are none. They stay when the plugin is gone, until somebody
    exports and removes them on the Plugins page.
    When it raises, or a step does, that step leaves nothing behind and the plugin does not run; it is listed
    with the traceback. In the window steps are made off its thread: until they are, the plugin is asked for
    nothing else, and whoever does not want to wait stops them, which undoes the step.
    """


@hookspec
def settings() -> Sequence[Setting]:  # type: ignore[empty-body]
    """Bring settings, shown on the Settings page under the plugin's name.

    Called once, when the first setting is asked for or the Settings page is shown; a page asks for a value
    with ``host.setting(plugin, key)``. Values stay when the plugin is gone.
    Return the settings; an empty sequence means none.
    When it raises, the plugin has no settings, and asking for one raises a KeyError.
    """


@hookspec
def session_checks(store: Store, session_id: int, program: Program) -> Sequence[CheckNote]:  # type: ignore[empty-body]
    """Look at a session and tell what whoever reads its check-up should know.

    Called each time a check-up is made, off the GUI thread; ``program`` answers for other plugins.
    Return the notes, which stand beside the outcome; an empty sequence means that nothing is to be told.
    When it raises, a note says that this plugin's checks are missing; the check-up is shown all the same.
    """


@hookspec
def explanations() -> Sequence[Explanation]:  # type: ignore[empty-body]
    """Bring explanations that the check-up weighs beside its own.

    Called once, when the first check-up is made.
    Return the explanations; an empty sequence means none. A case that was found to be one stays when its
    plugin is gone.
    When it raises, the plugin's explanations are missing; a wrong one loses only itself.
    """


@hookspec
def measurements() -> Sequence[Measurement]:  # type: ignore[empty-body]
    """Bring measurements that tell explanations apart, of the check-up's or of any plugin.

    Called once, when the first check-up is made.
    Return the measurements; an empty sequence means none. An answer that was given stays when its plugin is
    gone, and counts again when it is back.
    When it raises, the plugin's measurements are missing; a wrong one loses only itself.
    """
