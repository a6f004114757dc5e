"""Each hook, asked as the program asks it, with an example of what it is given.

Whatever a plugin raises is noted by the loader; nothing of it comes back here.
"""

from __future__ import annotations

import contextlib
from argparse import ArgumentParser
from typing import TYPE_CHECKING

from knowngood.api import LogRefused, LogRequest
from knowngood.loader import PluginFailed

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from knowngood.host import WindowHost
    from knowngood_refdata.records import SessionInfo

    Ask = Callable[[WindowHost, SessionInfo, Path], None]

UNKNOWN = bytes(range(256)) * 16
"""A file that no reader knows."""


def _pages(host: WindowHost, _session: SessionInfo, _room: Path) -> None:
    host.plugins.pages()


def _commands(host: WindowHost, _session: SessionInfo, _room: Path) -> None:
    for command in host.plugins.commands():
        with contextlib.suppress(PluginFailed):
            command.configure(ArgumentParser(command.name))


def _import_log(host: WindowHost, session: SessionInfo, room: Path) -> None:
    from knowngood_refdata.records import Conditions, Instruments

    path = room / "unknown.bin"
    path.write_bytes(UNKNOWN)
    request = LogRequest(path, session.vehicle_id, session.refrigerant, Conditions(), Instruments(), {})
    with contextlib.suppress(LogRefused):
        host.plugins.import_log(host.store, request)


def _report_sections(host: WindowHost, session: SessionInfo, _room: Path) -> None:
    host.report_html(session.id)


def _spec_fields(host: WindowHost, _session: SessionInfo, _room: Path) -> None:
    host.spec_fields()


def _derived_channels(host: WindowHost, session: SessionInfo, _room: Path) -> None:
    from knowngood.authoring.example import example_samples

    given = example_samples()
    for channel in host.derived_channels(session.refrigerant):
        if given.keys() >= set(channel.needs):
            with contextlib.suppress(PluginFailed):
                channel.compute(given)


def _log_readers(host: WindowHost, _session: SessionInfo, _room: Path) -> None:
    for reader in host.log_readers():
        reader.claims(b"", "empty.csv")
        reader.claims(UNKNOWN, "unknown.bin")


def _session_checks(host: WindowHost, session: SessionInfo, _room: Path) -> None:
    host.session_checks(session.id)


def _tables(host: WindowHost, _session: SessionInfo, _room: Path) -> None:
    # The library has them by now: this is the next start.
    host.plugins.use_library(host.store)


def _settings(host: WindowHost, _session: SessionInfo, _room: Path) -> None:
    host.plugins.settings()


def _explanations(host: WindowHost, _session: SessionInfo, _room: Path) -> None:
    host.explanations()


def _measurements(host: WindowHost, _session: SessionInfo, _room: Path) -> None:
    host.measurements()


HOOKS: dict[str, Ask] = {
    "pages": _pages,
    "commands": _commands,
    "import_log": _import_log,
    "report_sections": _report_sections,
    "spec_fields": _spec_fields,
    "derived_channels": _derived_channels,
    "log_readers": _log_readers,
    "session_checks": _session_checks,
    "tables": _tables,
    "settings": _settings,
    "explanations": _explanations,
    "measurements": _measurements,
}
