"""The fleet plugin uses the public part of the program alone, as a shop's plugin must."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

PACKAGE = Path(__file__).resolve().parents[3] / "demo" / "fleet_plugin" / "knowngood_fleet"
PUBLIC = {"api", "widgets", "units", "formatting", "plugin_tables"}


def modules(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {name.name for name in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {f"{node.module}.{name.name}" for name in node.names}
    return found


def test_it_uses_only_the_public_part_of_the_program() -> None:
    used = {
        module.split(".")[1]
        for path in PACKAGE.rglob("*.py")
        for module in modules(path)
        if module.startswith("knowngood.")
    }
    assert used
    assert used <= PUBLIC


def test_it_knows_no_other_plugin_and_no_table_of_the_library() -> None:
    for path in PACKAGE.rglob("*.py"):
        for module in modules(path):
            top = module.split(".")[0]
            assert not top.startswith("knowngood_") or top in {"knowngood_fleet", "knowngood_refdata"}, path
            assert not module.startswith(("knowngood_refdata.models", "knowngood_refdata.migrations")), path


def test_its_core_computes_without_the_screen_the_database_and_the_program() -> None:
    for path in (PACKAGE / "core").glob("*.py"):
        tops = {module.split(".")[0] for module in modules(path)}
        assert not tops & {"PySide6", "pyqtgraph", "sqlalchemy", "alembic", "knowngood"}, path


def test_its_plugin_file_loads_neither_qt_nor_numpy_nor_the_database() -> None:
    program = "import sys, knowngood_fleet.plugin; print(*sys.modules)"
    answer = subprocess.run(
        [sys.executable, "-c", program], cwd=PACKAGE.parent, capture_output=True, text=True, check=True
    )
    loaded = {name.split(".")[0] for name in answer.stdout.split()}
    assert "knowngood_fleet" in loaded
    assert not loaded & {"PySide6", "numpy", "scipy", "sqlalchemy", "alembic", "pyqtgraph"}


def test_no_file_of_it_is_longer_than_350_lines() -> None:
    assert all(path.read_text(encoding="utf-8").count("\n") <= 350 for path in PACKAGE.rglob("*.py"))
