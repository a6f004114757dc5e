"""Show Knowngood with the library of an invented shop: ``python demo [--headless] [--output DIR]``.

Sets itself up the first time. With a display the window opens; without one, or with ``--headless``, the
same path is walked offscreen, the answer printed, and screenshots and the report written.
"""

from __future__ import annotations

import os
import sys
from argparse import ArgumentParser, Namespace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "desktop"))

import bootstrap


def main() -> int:
    """Set up, make the demo library, and open the window or walk through it; return the exit code."""
    options = _options()
    headless = options.headless or not _has_display()
    bootstrap.enter(bootstrap.RUNTIME, window=not headless)
    output: Path = options.output.resolve()
    # The demo keeps its settings and drafts apart from those of the user's own library.
    os.environ["KNOWNGOOD_DATA"] = str(output / ("walk data" if headless else "user data"))
    if headless:
        os.environ["QT_QPA_PLATFORM"] = "offscreen"
        from knowngood_demo.walk import walk

        return walk(output)
    from knowngood_demo.window import open_window

    return open_window(output)


def _options() -> Namespace:
    parser = ArgumentParser(prog="python demo", description="Show Knowngood with an invented shop.")
    parser.add_argument("--headless", action="store_true", help="walk through it without a window")
    parser.add_argument(
        "--output",
        type=Path,
        default=bootstrap.ROOT / "demo" / "output",
        metavar="DIR",
        help="where the demo library and all results go (default: demo/output)",
    )
    return parser.parse_args()


def _has_display() -> bool:
    if sys.platform != "linux":
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


if __name__ == "__main__":
    raise SystemExit(main())
