"""What is imported before it is needed costs every start."""

from __future__ import annotations

import subprocess
import sys

import pytest

HEAVY = ("PySide6", "numpy", "scipy", "sqlalchemy", "alembic", "jinja2", "CoolProp", "polars", "pyqtgraph")


def loaded_by(module: str) -> set[str]:
    program = f"import sys, {module}; print(*[name for name in {HEAVY!r} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    return set(done.stdout.split())


@pytest.mark.parametrize(
    "module",
    ["knowngood.api", "knowngood.formatting", "knowngood.loader", "knowngood.settings", "knowngood.cli"],
)
def test_the_core_without_a_window_loads_no_heavy_library(module: str) -> None:
    assert loaded_by(module) == set()


@pytest.mark.parametrize(
    "module", ["knowngood.units", "knowngood.bench", "knowngood.tasks", "knowngood.drafts", "knowngood.crash"]
)
def test_the_core_of_the_window_loads_qt_alone(module: str) -> None:
    assert loaded_by(module) <= {"PySide6"}
