"""The demo with a window: the program as it is, on the library of the invented shop."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

from knowngood_demo.stage import set_stage

if TYPE_CHECKING:
    from pathlib import Path


def open_window(output: Path) -> int:
    """Open the window on the demo library in ``output``; return the program's exit code.

    What is added to the library there stays from one start to the next.
    """
    stage = set_stage(output)
    library = output / "shop.sqlite"
    if not library.exists():
        shutil.copy(stage.as_made, library)
    print(f"Logs to import lie in {stage.logs.folder}", flush=True)
    from knowngood.app import main

    return main(["--library", str(library)])
