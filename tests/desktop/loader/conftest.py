"""Plugins written into a folder, and packages announced as installed."""

from __future__ import annotations

import sys
import textwrap
import zipfile
from typing import TYPE_CHECKING, Protocol

import pytest

from knowngood.loader import Gate, Plugins, find_sources
from knowngood.loader.decisions import Decisions

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

HEAD = """
from knowngood.api import Command, Group, LogRefused, Page, ReportSection, hookimpl

def make(host):
    return None

def page(key, title="A page", order=1, factory=make):
    return Page(key, title, Group.SHOP, order, factory)

def configure(parser):
    pass

def run(desk, arguments):
    return 0
"""


class Put(Protocol):
    """Writes a plugin file into the plugins folder."""

    def __call__(self, name: str, body: str, *, head: str = HEAD) -> Path: ...


class Load(Protocol):
    """Loads whatever plugins there are."""

    def __call__(self) -> Plugins: ...


class Guarded(Protocol):
    """Loads the plugins of the folder through a gate."""

    def __call__(self, through: Gate | None = None) -> Plugins: ...


class Pack(Protocol):
    """Writes a zip file into the plugins folder."""

    def __call__(self, name: str, members: dict[str, str]) -> Path: ...


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    path = tmp_path / "plugins"
    path.mkdir()
    return path


@pytest.fixture
def put(folder: Path) -> Put:
    def put(name: str, body: str, *, head: str = HEAD) -> Path:
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(head + textwrap.dedent(body), "utf-8")
        return path

    return put


@pytest.fixture
def install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Put]:
    """Installs a one-module package, version 1.2, that announces a plugin."""
    site = tmp_path / "site"
    monkeypatch.syspath_prepend(site)
    before = set(sys.modules)

    def install(name: str, body: str, *, head: str = HEAD) -> Path:
        module = f"installed_{name}"
        info = site / f"{module}-1.2.dist-info"
        info.mkdir(parents=True)
        (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {module}\nVersion: 1.2\n", "utf-8")
        (info / "entry_points.txt").write_text(f"[knowngood.plugins]\n{name} = {module}\n", "utf-8")
        path = site / f"{module}.py"
        path.write_text(head + textwrap.dedent(body), "utf-8")
        return path

    yield install
    for name in set(sys.modules) - before:
        if name.startswith("installed_"):
            del sys.modules[name]


@pytest.fixture
def load(folder: Path, install: Put) -> Iterator[Load]:
    """Loads the plugins of the folder and those installed by the test, and no others."""
    made: list[Plugins] = []

    def load() -> Plugins:
        sources = [
            one
            for one in find_sources(folder)
            if one.origin == "plugins folder" or one.place.startswith("installed_")
        ]
        made.append(Plugins(sources))
        return made[-1]

    yield load
    for one in made:
        one.close()


@pytest.fixture
def gate(tmp_path: Path) -> Gate:
    """The gate of Ida Quill, who has decided nothing yet."""
    return Gate(decisions=Decisions(tmp_path / "decisions.json"), user=lambda: "Ida Quill")


@pytest.fixture
def guarded(folder: Path, tmp_path: Path, gate: Gate) -> Iterator[Guarded]:
    """Loads the plugins of the folder through the gate, at each call as at a new start of the program."""
    made: list[Plugins] = []

    def load(through: Gate | None = None) -> Plugins:
        for one in made:
            one.close()
        sources = [one for one in find_sources(folder, tmp_path / "unpacked") if not one.built_in]
        made.append(Plugins(sources, through or gate))
        return made[-1]

    yield load
    for one in made:
        one.close()


@pytest.fixture
def pack(folder: Path) -> Pack:
    """Puts a zip file with these members into the plugins folder."""

    def pack(name: str, members: dict[str, str]) -> Path:
        path = folder / name
        with zipfile.ZipFile(path, "w") as archive:
            for member, text in members.items():
                archive.writestr(member, text)
        return path

    return pack
