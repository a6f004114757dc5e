"""The directions between the parts of the project, held by reading the tree."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import tomllib
import zipfile
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from knowngood.authoring.guide import SHIPPED_AS

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from pytestqt.qtbot import QtBot

ROOT = Path(__file__).resolve().parent.parent
PACKAGES = {
    path.name: path
    for parent in ("desktop", "refdata", "plugins", "demo")
    for path in (ROOT / parent).iterdir()
    if (path / "__init__.py").is_file()
}
PLUGINS = {name: path for name, path in PACKAGES.items() if path.parent.name == "plugins"}
QT = {"PySide6", "shiboken6", "pyqtgraph"}
DATABASE = {"sqlalchemy", "alembic", "psycopg"}
PUBLIC = ("knowngood.api", "knowngood.widgets", "knowngood.units", "knowngood.formatting")
STORED = tuple(f"knowngood_refdata.{name}" for name in ("store", "queries", "models", "migrations"))
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", "desktop", "plugins", "refdata", "tests", "demo"}


@dataclass(frozen=True, slots=True)
class Import:
    """One imported module: where, and whether at import of the file rather than later or for types."""

    path: Path
    line: int
    module: str
    at_start: bool

    def __str__(self) -> str:
        return f"{self.path.relative_to(ROOT)}:{self.line} imports {self.module}"


def files(folder: Path) -> Iterator[Path]:
    """Every Python file below a folder."""
    return folder.rglob("*.py")


def imports(path: Path) -> list[Import]:
    """Every import of a file; ``from a import b`` counts as ``a.b``, as b may be a module."""
    found: list[Import] = []

    def visit(node: ast.AST, *, at_start: bool) -> None:
        if isinstance(node, ast.Import):
            found.extend(Import(path, node.lineno, name.name, at_start) for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            origin = [*package_of(path, node.level), *filter(None, [node.module])]
            names = [".".join([*origin, name.name]) for name in node.names]
            found.extend(Import(path, node.lineno, name, at_start) for name in names)
        later = isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)) or (
            isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"
        )
        for child in ast.iter_child_nodes(node):
            visit(child, at_start=at_start and not later)

    visit(ast.parse(path.read_text(encoding="utf-8")), at_start=True)
    return found


def package_of(path: Path, level: int) -> tuple[str, ...]:
    """The package from which a file's relative import starts; nothing for an absolute one."""
    if level == 0:
        return ()
    folder = next(folder for folder in PACKAGES.values() if path.is_relative_to(folder))
    parts = path.relative_to(folder.parent).parts
    return parts[: len(parts) - level]


def within(module: str, places: Iterable[str]) -> bool:
    """Whether a module is one of the places or lies below one."""
    return any(module == place or module.startswith(f"{place}.") for place in places)


def ours(module: str) -> bool:
    """Whether a module is the project's own."""
    return module.split(".")[0] in PACKAGES


def foreign(module: str) -> bool:
    """Whether a module is neither the project's own nor of the standard library."""
    return not ours(module) and module.split(".")[0] not in sys.stdlib_module_names


def complain(wrong: Iterable[Import]) -> None:
    """Fail naming each import that goes the wrong way."""
    lines = sorted(map(str, wrong))
    assert not lines, "\n".join(lines)


def plugin_imports(*, core: bool | None = None) -> Iterator[tuple[str, Import]]:
    """The imports of the plugins' files with the plugin's name: of the cores, of the rest, or of all."""
    for name, folder in PLUGINS.items():
        for path in files(folder):
            in_core = path.relative_to(folder).parts[0] in {"core", "core.py"}
            if core is None or core == in_core:
                yield from ((name, one) for one in imports(path))


def test_a_plugin_has_its_five_parts() -> None:
    assert len(PLUGINS) >= 4
    for folder in PLUGINS.values():
        have = {path.name.removesuffix(".py") for path in folder.iterdir()}
        assert {"__init__", "plugin", "core", "README.md"} <= have, folder.name
        assert have & {"panel", "panels"}, folder.name
        body = ast.parse((folder / "__init__.py").read_text(encoding="utf-8")).body
        assert len(body) == 1, f"{folder.name}/__init__.py holds more than its docstring"
        assert isinstance(body[0], ast.Expr), folder.name


def test_every_plugin_folder_is_announced_as_an_entry_point() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    announced = project["entry-points"]["knowngood.plugins"]
    assert announced == {name.removeprefix("knowngood_"): f"{name}.plugin" for name in PLUGINS}


def test_a_plugin_file_needs_the_api_alone_at_start() -> None:
    complain(
        one
        for name, one in plugin_imports()
        if one.path == PLUGINS[name] / "plugin.py"
        and one.at_start
        and (foreign(one.module) or (ours(one.module) and not within(one.module, ["knowngood.api"])))
    )


def test_plugins_never_import_one_another() -> None:
    complain(one for name, one in plugin_imports() if within(one.module, PLUGINS.keys() - {name}))


def test_plugins_use_only_the_public_part_of_the_program() -> None:
    complain(
        one
        for _, one in plugin_imports()
        if within(one.module, ["knowngood"]) and not within(one.module, PUBLIC)
    )


def test_a_core_computes_without_the_screen_the_database_and_the_program() -> None:
    complain(
        one
        for name, one in plugin_imports(core=True)
        if one.module.split(".")[0] in QT | DATABASE
        or within(one.module, STORED)
        or (ours(one.module) and not within(one.module, [f"{name}.core", "knowngood_refdata"]))
    )


def test_plugins_reach_the_database_through_the_library_alone() -> None:
    complain(
        one
        for _, one in plugin_imports()
        if one.module.split(".")[0] in DATABASE or within(one.module, ["knowngood_refdata.models"])
    )


def test_the_program_never_imports_a_plugin() -> None:
    complain(
        one
        for path in files(PACKAGES["knowngood"])
        for one in imports(path)
        if ours(one.module) and not within(one.module, ["knowngood", "knowngood_refdata"])
    )


def test_the_reference_database_imports_nothing_else_of_ours_and_no_screen() -> None:
    complain(
        one
        for path in files(PACKAGES["knowngood_refdata"])
        for one in imports(path)
        if one.module.split(".")[0] in QT
        or (ours(one.module) and not within(one.module, ["knowngood_refdata"]))
    )


def test_migrations_import_nothing_of_ours() -> None:
    steps = list((PACKAGES["knowngood_refdata"] / "migrations").rglob("*.py"))
    assert steps
    complain(one for path in steps for one in imports(path) if ours(one.module))


def test_the_api_and_the_plugin_files_load_neither_qt_nor_numpy_nor_the_database() -> None:
    modules = ["knowngood.api", *(f"{name}.plugin" for name in PLUGINS)]
    program = f"import sys, {', '.join(modules)}; print(*sys.modules)"
    answer = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    loaded = {name.split(".")[0] for name in answer.stdout.split()}
    assert "knowngood" in loaded
    assert loaded & (QT | DATABASE | {"numpy", "scipy", "polars", "CoolProp"}) == set()


def test_no_file_is_longer_than_600_lines() -> None:
    long = {
        str(path.relative_to(ROOT)): lines
        for path in text_files()
        if path.suffix == ".py" and (lines := path.read_text(encoding="utf-8").count("\n")) > 600
    }
    assert long == {}


def test_no_file_is_named_for_holding_whatever_is_left() -> None:
    assert [
        path for path in text_files() if path.stem in {"utils", "util", "helpers", "misc", "common"}
    ] == []


def test_the_top_level_holds_only_what_is_agreed() -> None:
    visible = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    # What is ignored by version control lies about without being part of the tree.
    ignored = {"dist", "build", "uv.lock"}
    assert visible - ignored == TOP_LEVEL


def test_no_file_names_a_package_index_or_a_place_on_one_machine() -> None:
    hosts = "|".join(rf"{name}\.(org|io|com)" for name in ("pypi", "pythonhosted", "debian", "anaconda"))
    places = "|".join(("work", "tmp", "root", "home", "opt"))
    pattern = re.compile(rf"{hosts}|(?<![\w./}}>-])/({places})/\w")
    found = [
        f"{path.relative_to(ROOT)}:{number}: {line.strip()[:80]}"
        for path in text_files()
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if pattern.search(line)
    ]
    assert not found, "\n".join(found)


def test_no_test_is_left_out_or_expected_to_fail() -> None:
    leaving_out = {"skip", "skipif", "xfail", "importorskip"}
    found = [
        f"{path.relative_to(ROOT)}:{node.lineno} {node.attr}"
        for path in files(ROOT / "tests")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute) and node.attr in leaving_out
    ]
    assert not found, "\n".join(found)


def test_the_wheel_holds_the_program_the_database_and_the_plugins_alone(tmp_path: Path) -> None:
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path)]
    subprocess.run(build, cwd=ROOT, capture_output=True, check=True)
    (path,) = tmp_path.glob("*.whl")
    with zipfile.ZipFile(path) as wheel:
        held = {name for name in wheel.namelist() if ".dist-info/" not in name}
    wanted = {
        file.relative_to(folder.parent).as_posix()
        for folder in PACKAGES.values()
        if folder.parent.name != "demo"
        for file in folder.rglob("*")
        if file.is_file() and "__pycache__" not in file.parts
    }
    # The guide for writers of plugins is read from plugins/README.md by whoever has the tree.
    assert held == wanted | {f"knowngood/authoring/{SHIPPED_AS}"}


@pytest.mark.parametrize("calls", [200])
def test_qt_calls_lose_no_reference_to_none(qtbot: QtBot, calls: int) -> None:
    # PySide6 6.12 on Python 3.10 and 3.11 loses one a call (upstream PYSIDE-3474) and the process dies
    # after some thousands. Python 3.12 and newer count no references to None.
    from PySide6.QtWidgets import QWidget

    widget = QWidget()
    qtbot.addWidget(widget)
    before = sys.getrefcount(None)
    for _ in range(calls):
        widget.update()
    assert abs(sys.getrefcount(None) - before) < calls / 4


def text_files() -> Iterator[Path]:
    """The files that people wrote: of every kind but pictures and other binary ones, none generated."""
    for top in sorted(TOP_LEVEL | {".ci"}):
        for path in [ROOT / top, *(ROOT / top).rglob("*")]:
            made = {"__pycache__", "output"} & set(path.relative_to(ROOT).parts)
            if path.is_file() and not made and b"\0" not in path.read_bytes():
                yield path
