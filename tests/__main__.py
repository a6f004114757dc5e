"""Run the whole test suite: ``python tests [arguments for pytest]``. Sets itself up the first time."""

from __future__ import annotations

import os
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "desktop"))

import bootstrap


def main() -> int:
    """Run pytest with the given arguments in the environment of the project; return its exit code."""
    bootstrap.enter(bootstrap.TESTS)
    import pytest

    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    os.chdir(bootstrap.ROOT)
    return int(pytest.main(sys.argv[1:]))


if __name__ == "__main__":
    raise SystemExit(main())
