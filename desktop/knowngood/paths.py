"""Where the program keeps a user's files."""

from __future__ import annotations

import os
from pathlib import Path

import platformdirs

DATA_VARIABLE = "KNOWNGOOD_DATA"
"""Environment variable that names another data folder."""


def data_folder() -> Path:
    """The user's data folder, or the one that the environment names; it need not exist yet."""
    named = os.environ.get(DATA_VARIABLE)
    return Path(named) if named else platformdirs.user_data_path("knowngood", appauthor=False)


def settings_file() -> Path:
    """The settings."""
    return data_folder() / "settings.json"


def drafts_file() -> Path:
    """What was typed but not saved."""
    return data_folder() / "drafts.json"


def crash_folder() -> Path:
    """Reports on faults of the program."""
    return data_folder() / "faults"


def plugins_folder() -> Path:
    """Plugins that the user put in place: one folder or one ``.py`` file a plugin."""
    return data_folder() / "plugins"


def unpacked_plugins_folder() -> Path:
    """Where plugins that came as zip files are unpacked once they may run."""
    return data_folder() / "unpacked plugins"


def plugin_decisions_file() -> Path:
    """Which plugins were approved, refused or switched off."""
    return data_folder() / "plugins.json"


def start_mark_file() -> Path:
    """Lies there while the program starts, and names the plugin that is being loaded."""
    return data_folder() / "starting.json"
