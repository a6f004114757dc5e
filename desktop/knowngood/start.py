"""What the command line and the window decide alike: exit codes, which library, which plugins folder."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from knowngood import paths

if TYPE_CHECKING:
    from knowngood.settings import Settings

DONE, BAD_INPUT, LIBRARY_TROUBLE, FAULT, INTERRUPTED = 0, 2, 3, 4, 130
LIBRARY_VARIABLE = "KNOWNGOOD_LIBRARY"


def library_target(option: str | None, settings: Settings) -> str | None:
    """The library to open: by option, by environment, by setting, or else None for the user's own."""
    return option or os.environ.get(LIBRARY_VARIABLE) or settings.library or None


def plugins_place(option: Path | None, settings: Settings) -> Path:
    """The plugins folder: by option, by setting, or else the one in the data folder."""
    if option is not None:
        return option
    return Path(settings.plugins_folder) if settings.plugins_folder else paths.plugins_folder()
