"""The guide for whoever writes a plugin, as it came with the program."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

SHIPPED_AS = "plugin_guide.md"
"""The name under which the build puts ``plugins/README.md`` beside this module."""
_IN_THE_PROJECT = Path(__file__).resolve().parents[3] / "plugins" / "README.md"


def guide() -> str:
    """The text, in Markdown: from the project itself where the program runs out of it.

    Raises
    ------
    OSError
        When the program was installed without it.
    """
    shipped = resources.files(__package__).joinpath(SHIPPED_AS)
    return (shipped if shipped.is_file() else _IN_THE_PROJECT).read_text("utf-8")
