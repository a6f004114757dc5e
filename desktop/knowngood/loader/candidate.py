"""What a plugin is, found out from its files before anything of it runs."""

from __future__ import annotations

import ast
import tomllib
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from knowngood.loader.status import About, PluginMistake

if TYPE_CHECKING:
    from collections.abc import Mapping

    from knowngood.loader.contents import Contents

GROUP = "knowngood.plugins"
"""The entry point group in which a package names its plugin modules."""
API_KEY = "knowngood-api"
"""The key under ``[tool]`` of a ``pyproject.toml`` that names the version of the API."""
_UNREADABLE = (SyntaxError, ValueError, RecursionError, MemoryError)


@dataclass(frozen=True, slots=True)
class Candidate:
    """A plugin that was found and has not run.

    Attributes
    ----------
    module
        The module with the hooks.
    below
        The folder of the import package within ``contents``, ``""`` for the whole.
    contents
        The files that were hashed; None for a plugin of the program itself, which is not.
    """

    about: About
    module: str
    below: str = ""
    contents: Contents | None = None

    @property
    def package(self) -> str:
        """The top of the module's name."""
        return self.module.partition(".")[0]


def candidate_of(contents: Contents) -> Candidate:
    """The plugin that lies in a file, a folder, or the folder of a project.

    A folder is a plugin when it holds a ``plugin.py``; the folder of a project when its
    ``pyproject.toml`` announces one plugin module that lies in it.

    Raises
    ------
    PluginMistake
        When it is none, or what its files say of it cannot be used.
    """
    project = _project(contents)
    entry = _announced(project)
    if f"{contents.name}.py" in contents.files and len(contents.files) == 1:
        name, module, below = contents.name, contents.name, ""
    elif "plugin.py" in contents.files:
        name, module, below = contents.name, f"{contents.name}.plugin", ""
    elif entry is not None:
        name, module = entry
        below = _package_folder(contents, module)
    else:
        raise PluginMistake("the folder holds no plugin.py, the file in which a plugin's hooks stand")
    source = contents.files.get(_file_of(module, below, contents.name), b"")
    return Candidate(_about(name, contents, source, project), module, below, contents)


def constants(source: bytes) -> dict[str, object]:
    """The constants and the docstring (as ``__doc__``) of a module's source, which is not executed."""
    try:
        tree = ast.parse(source)
    except _UNREADABLE:
        return {}
    found: dict[str, object] = {"__doc__": ast.get_docstring(tree)}
    for node in tree.body:
        if isinstance(node, ast.Assign) and isinstance(node.value, ast.Constant):
            found |= {one.id: node.value.value for one in node.targets if isinstance(one, ast.Name)}
        elif (
            isinstance(node, ast.AnnAssign)
            and isinstance(node.target, ast.Name)
            and isinstance(node.value, ast.Constant)
        ):
            found[node.target.id] = node.value.value
    return found


def api_version(stated: object) -> int | None:
    """The version of the API that a plugin states, None when it states none.

    Raises
    ------
    PluginMistake
        When it is no whole number.
    """
    if stated is None or (isinstance(stated, int) and not isinstance(stated, bool)):
        return stated
    raise PluginMistake(f"the version of the API that it states, {stated!r}, is no whole number")


def _about(name: str, contents: Contents, source: bytes, project: Mapping[str, Any]) -> About:
    said = constants(source)
    head = _table(project, "project")
    authors = [one for one in head.get("authors", ()) if isinstance(one, dict)]
    people = ", ".join(str(one.get("name") or one.get("email") or "") for one in authors)
    summary = str(head.get("description") or said.get("__doc__") or "")
    return About(
        name=name,
        version=str(head.get("version") or said.get("__version__") or ""),
        author=people or str(said.get("__author__") or ""),
        summary=summary.strip().partition("\n")[0],
        api=api_version(said.get("API_VERSION", _table(project, "tool").get(API_KEY))),
        sha256=contents.sha256(),
        files=len(contents.files),
        size=contents.size,
    )


def _project(contents: Contents) -> Mapping[str, Any]:
    try:
        return tomllib.loads(contents.files.get("pyproject.toml", b"").decode())
    except ValueError as error:
        raise PluginMistake(f"its pyproject.toml cannot be read: {error}") from error


def _table(of: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    found = of.get(name)
    return found if isinstance(found, dict) else {}


def _announced(project: Mapping[str, Any]) -> tuple[str, str] | None:
    """Name and module of the one plugin that a project announces."""
    entries = _table(_table(_table(project, "project"), "entry-points"), GROUP)
    if len(entries) != 1:
        return None
    ((name, module),) = entries.items()
    return str(name), str(module).partition(":")[0].strip()


def _package_folder(contents: Contents, module: str) -> str:
    package = module.partition(".")[0]
    for below in (package, f"src/{package}"):
        if any(path.startswith(f"{below}/") for path in contents.files):
            return below
    raise PluginMistake(f"its pyproject.toml announces the module '{module}', which is not in its folder")


def _file_of(module: str, below: str, name: str) -> str:
    if module == name:
        return f"{name}.py"
    inner = module.partition(".")[2].replace(".", "/") or "__init__"
    return f"{below}/{inner}.py".removeprefix("/")
