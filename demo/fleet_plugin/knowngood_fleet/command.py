"""The command ``knowngood fleet-lists FOLDER``."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from knowngood_fleet.core.lists import ListRefused
from knowngood_fleet.importing import take_lists
from knowngood_fleet.library import Refused

if TYPE_CHECKING:
    from argparse import Namespace

    from knowngood.api import Desk


def run(desk: Desk, options: Namespace) -> int:
    """Take the lists and say how much was entered; 1 when they are refused."""
    try:
        print(f"Entered {take_lists(desk.store, Path(options.folder))}.")
    except (ListRefused, Refused, OSError) as refused:
        print(refused, file=sys.stderr)
        return 1
    return 0
