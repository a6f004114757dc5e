"""Stands for the user who has looked at the plugins of a folder and approved them."""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING

from knowngood import paths
from knowngood.host import user_name
from knowngood.loader import Origin, find_sources
from knowngood.loader.decisions import Decisions
from knowngood.loader.status import PluginMistake
from knowngood.settings import Settings

if TYPE_CHECKING:
    from pathlib import Path


def approve_all(folder: Path, user: str = "") -> None:
    """Approve every plugin of a folder that can be read, with the contents that it has now."""
    decisions = Decisions(paths.plugin_decisions_file())
    for source in find_sources(folder):
        if source.origin is not Origin.FOLDER:
            continue
        with contextlib.suppress(PluginMistake):
            about = source.examine().about
            decisions.decide(user_name(Settings(user=user)), about.name, about.sha256, approved=True)
