"""The ``knowngood`` command line: plugins' commands, ``plugins``, ``report``, or the window.

Exit codes: 0 done, 2 bad input (a wrong option, a log that cannot be trusted, a file that cannot be
written), 3 trouble with the library, 4 a fault of the program or of a plugin.
"""

from __future__ import annotations

import sys
from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from knowngood import paths, plugin_list
from knowngood.api import LogRefused
from knowngood.authoring import command as authoring
from knowngood.crash import Fault, version, write_fault
from knowngood.files import replace_text
from knowngood.loader import PluginFailed, Plugins, State, find_sources
from knowngood.parsing import ParseError
from knowngood.scales import System
from knowngood.settings import Settings, SettingsFile
from knowngood.start import (
    BAD_INPUT,
    DONE,
    FAULT,
    INTERRUPTED,
    LIBRARY_TROUBLE,
    library_target,
    plugin_gate,
    plugins_place,
)
from knowngood_refdata.errors import StoreError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from knowngood.api import Command
    from knowngood.desk import CommandDesk

    Run = Callable[[CommandDesk, Namespace], int]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line; return the exit code."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    try:
        return _run(given)
    except KeyboardInterrupt:
        print("Stopped.", file=sys.stderr)
        return INTERRUPTED
    except (LogRefused, ParseError) as error:
        print(error, file=sys.stderr)
        return BAD_INPUT
    except OSError as error:
        named = error.filename and error.strerror
        print(f"{error.filename}: {error.strerror}." if named else error, file=sys.stderr)
        return BAD_INPUT
    except StoreError as error:
        print(error, file=sys.stderr)
        return LIBRARY_TROUBLE
    except PluginFailed as error:
        print(error, file=sys.stderr)
        return FAULT
    except Exception as error:  # noqa: BLE001 - a user gets words and a report, never a traceback
        return _explain(error)


def _run(given: list[str]) -> int:
    first, rest = _global_options(help_too=False).parse_known_args(given)
    if not rest:
        return _open_window(first)
    if rest[0] == authoring.NAME:
        # Whoever writes a plugin needs neither a library nor the plugins that are there.
        return authoring.run(authoring.parser(_global_options(help_too=True)).parse_args(given))
    kept = SettingsFile(paths.settings_file())
    _complain(kept.messages)
    gate = plugin_gate(kept, library_target(first.library, kept.now), safe=first.safe)
    _complain(gate.decisions.messages)
    plugins = Plugins(find_sources(plugins_place(first.plugins_folder, kept.now)), gate)
    plugins.kept_settings = kept.of_plugin
    try:
        parser, runs = _parser(plugins)
        if rest[0] != "plugins":
            # Before the words are read: they may name a command of a plugin that waits.
            _complain(
                f"The plugin '{one.name}' waits for your approval: see 'knowngood plugins'."
                for one in plugins.status()
                if one.state is State.WAITING
            )
        options = parser.parse_args(given)
        if options.command == "plugins":
            return plugin_list.run(plugins, options)
        return _with_library(runs[options.command], plugins, kept.now, options)
    finally:
        plugins.close()


def _global_options(*, help_too: bool) -> ArgumentParser:
    parser = ArgumentParser(
        prog="knowngood",
        description="A book of known-good readings for mobile air-conditioning work. "
        "Without a command, the window opens.",
        epilog="exit codes: 0 done, 2 bad input, 3 trouble with the library, 4 a fault of the program",
        add_help=help_too,
        allow_abbrev=False,
    )
    parser.add_argument("--library", metavar="PLACE", help="library file, or address of a database")
    parser.add_argument("--units", choices=[one.value for one in System], help="unit system to answer in")
    parser.add_argument("--plugins-folder", type=Path, metavar="FOLDER", help="where your own plugins lie")
    parser.add_argument("--safe", action="store_true", help="leave out all plugins but the program's own")
    if help_too:
        parser.add_argument("--version", action="version", version=f"knowngood {version()}")
    return parser


def _parser(plugins: Plugins) -> tuple[ArgumentParser, dict[str, Run]]:
    parser = _global_options(help_too=True)
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", title="commands", required=True)
    plugin_list.configure(commands.add_parser("plugins", help=plugin_list.HELP))
    commands.add_parser(authoring.NAME, help=authoring.HELP, add_help=False)
    report = commands.add_parser("report", help="write the report on a session")
    report.add_argument("session", type=int, help="the number of the session in the library")
    report.add_argument("--pdf", type=Path, metavar="FILE", help="write it as PDF")
    report.add_argument("--html", type=Path, metavar="FILE", help="write it as one HTML page")
    runs: dict[str, Run] = {}
    for command in plugins.commands():
        _add(command, commands.add_parser(command.name, help=command.help.replace("%", "%%")), runs)
    runs["report"] = _report
    _complain_of_failures(plugins)
    return parser, runs


def _add(command: Command, parser: ArgumentParser, runs: dict[str, Run]) -> None:
    try:
        command.configure(parser)
    except PluginFailed as failed:
        words = str(failed)

        def refuse(_desk: CommandDesk, _options: Namespace) -> int:
            print(words, file=sys.stderr)
            return FAULT

        runs[command.name] = refuse
    else:
        runs[command.name] = command.run


def _with_library(run: Run, plugins: Plugins, settings: Settings, options: Namespace) -> int:
    # The database layer takes a third of a second to import: not for --help or a wrong option.
    from knowngood.desk import CommandDesk
    from knowngood_refdata.store import Store

    system = System(options.units) if options.units else settings.units
    store = Store.open(library_target(options.library, settings), user=settings.user, create=False)
    try:
        plugins.use_library(store)
        if options.command not in {"report", *(one.name for one in plugins.commands())}:
            # Its plugin was taken out just now: its tables could not be made.
            _complain_of_failures(plugins)
            return FAULT
        return int(run(CommandDesk(store, plugins, system, shop=settings.shop), options))
    finally:
        store.close()


def _report(desk: CommandDesk, options: Namespace) -> int:
    if options.pdf is None and options.html is None:
        print(desk.report_html(options.session))
        return DONE
    if options.html is not None:
        replace_text(options.html, desk.report_html(options.session), make_folder=False)
    if options.pdf is not None:
        desk.print_report(options.session, options.pdf)
    return DONE


def _open_window(options: Namespace) -> int:
    from knowngood.app import run

    return run(
        library=options.library,
        system=System(options.units) if options.units else None,
        plugins_folder=options.plugins_folder,
        safe=options.safe,
    )


def _complain_of_failures(plugins: Plugins) -> None:
    _complain(
        f"The plugin '{one.name}' failed ({failure})." for one in plugins.status() for failure in one.failures
    )


def _complain(sentences: Iterable[str]) -> None:
    for sentence in sentences:
        print(sentence, file=sys.stderr)


def _explain(error: Exception) -> int:
    kept = "What was stored before stays in the library."
    fault: Fault = write_fault(paths.crash_folder(), error, kept)
    lies = f"The report is {fault.report}." if fault.report else "The report could not be written."
    print(f"Something went wrong inside the program: {fault.what}. {kept} {lies}", file=sys.stderr)
    return FAULT


if __name__ == "__main__":
    sys.exit(main())
