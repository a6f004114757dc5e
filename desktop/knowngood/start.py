"""What the command line and the window decide alike: exit codes, which library, which plugins folder."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from knowngood import paths
from knowngood.host import user_name
from knowngood.loader.decisions import Decisions
from knowngood.loader.gate import Gate
from knowngood.loader.policy import Policy

if TYPE_CHECKING:
    from knowngood.settings import Settings, SettingsFile

DONE, BAD_INPUT, LIBRARY_TROUBLE, FAULT, INTERRUPTED = 0, 2, 3, 4, 130
LIBRARY_VARIABLE = "KNOWNGOOD_LIBRARY"
POLICY_VARIABLE = "KNOWNGOOD_PLUGIN_POLICY"
POLICY_NAME = "plugin-policy.toml"


def library_target(option: str | None, settings: Settings) -> str | None:
    """The library to open: by option, by environment, by setting, or else None for the user's own."""
    return option or os.environ.get(LIBRARY_VARIABLE) or settings.library or None


def plugins_place(option: Path | None, settings: Settings) -> Path:
    """The plugins folder: by option, by setting, or else the one in the data folder."""
    if option is not None:
        return option
    return Path(settings.plugins_folder) if settings.plugins_folder else paths.plugins_folder()


def plugin_gate(settings: SettingsFile, library: str | None, *, safe: bool = False) -> Gate:
    """The gate of the user's own decisions and of the policy that holds for a library."""
    return Gate(
        decisions=Decisions(paths.plugin_decisions_file()),
        policy=Policy.read(policy_place(settings.now, library)),
        user=lambda: user_name(settings.now),
        safe=safe,
    )


def policy_place(settings: Settings, library: str | None) -> Path | None:
    """The policy on plugins: by environment, by setting, or else the file beside the library, if there."""
    named = os.environ.get(POLICY_VARIABLE) or settings.plugin_policy
    if named:
        return Path(named)
    if library is not None and "://" in library:
        return None
    beside = (Path(library).parent if library else paths.data_folder()) / POLICY_NAME
    return beside if beside.is_file() else None
