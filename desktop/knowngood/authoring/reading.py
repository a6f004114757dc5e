"""What the files of a plugin tell without running."""

from __future__ import annotations

import ast
from typing import TYPE_CHECKING

from knowngood.api import API_VERSION
from knowngood.loader.gate import does_not_fit

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from knowngood.authoring.findings import Findings
    from knowngood.loader.candidate import Candidate

HEAVY = ("PySide6", "pyqtgraph", "numpy", "scipy", "polars", "sqlalchemy", "CoolProp")
"""What takes so long to import that a plugin's hooks must not do it at the start."""
PUBLIC = ("api", "formatting", "testing", "units", "widgets")
"""The modules of the program that stay as they are for plugins."""


def look_at_files(candidate: Candidate, found: Findings) -> None:
    """Note what a plugin's files say of it, what they lack, and what they import that they should not."""
    files = _files(candidate)
    about = candidate.about
    found.seen.append(f"plugin '{about.name}' {about.version}".rstrip())
    if about.api is None:
        found.better.append(f"state the API version: API_VERSION = {API_VERSION} in the module of its hooks")
    elif unfit := does_not_fit(about.api):
        found.is_wrong(unfit)
    if len(files) > 1:
        found.better += _missing(files)
    found.better += [
        f"{path} imports {heavy} at the start; import it inside the function that needs it"
        for path, heavy in heavy_imports(candidate)
    ]
    found.better += [
        f"{path} imports {module}, which may change without notice: use knowngood.api, .widgets, .units and "
        ".formatting"
        for path, module in _private_imports(files)
    ]


def heavy_imports(candidate: Candidate) -> Iterator[tuple[str, str]]:
    """The file of the hooks with each module that it imports at its top and that costs the start too much."""
    inner = candidate.module.partition(".")[2].replace(".", "/")
    name = f"{inner}.py" if inner else f"{candidate.module}.py"
    path = f"{candidate.below}/{name}".removeprefix("/")
    tree = _tree(_files(candidate).get(path, b""))
    for module in _imported(tree.body):
        if module.partition(".")[0] in HEAVY:
            yield path, module


def _missing(files: Mapping[str, bytes]) -> Iterator[str]:
    if not any(path.lower() == "readme.md" for path in files):
        yield "a README.md says to its users what it answers, from which sources, and its limits"
    if not any(path.rpartition("/")[2].startswith("test_") for path in files):
        yield "a test keeps it working: see the one that 'knowngood plugin new' makes"


def _private_imports(files: Mapping[str, bytes]) -> Iterator[tuple[str, str]]:
    for path, source in files.items():
        if not path.endswith(".py"):
            continue
        nodes = (node for node in ast.walk(_tree(source)) if isinstance(node, ast.stmt))
        for module in sorted(set(_imported(nodes))):
            parts = module.split(".")
            if parts[0] == "knowngood" and parts[1:2] and parts[1] not in PUBLIC:
                yield path, module


def _files(candidate: Candidate) -> Mapping[str, bytes]:
    return {} if candidate.contents is None else candidate.contents.files


def _tree(source: bytes) -> ast.Module:
    """The parsed source; an empty one when it cannot be read, which loading tells."""
    try:
        return ast.parse(source)
    except (SyntaxError, ValueError, RecursionError):
        return ast.Module([], [])


def _imported(body: Iterator[ast.stmt] | list[ast.stmt]) -> Iterator[str]:
    for node in body:
        if isinstance(node, ast.Import):
            yield from (one.name for one in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            alone = node.module == "knowngood"
            yield from (f"knowngood.{one.name}" for one in node.names) if alone else (node.module,)
