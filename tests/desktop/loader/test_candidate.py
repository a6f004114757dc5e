"""What a plugin is, found out from its files alone."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

import pytest

from knowngood.loader import contents
from knowngood.loader.candidate import candidate_of, constants
from knowngood.loader.contents import Contents
from knowngood.loader.status import PluginMistake

if TYPE_CHECKING:
    from pathlib import Path

    from .conftest import Guarded, Put

PROJECT = """
[project]
name = "shop-depots"
version = "0.4"
description = "Buses of a depot."
authors = [{ name = "Ida Quill" }, { email = "depot@fjordside.example" }]

[project.entry-points."knowngood.plugins"]
fleet = "shop_depots.plugin"

[tool]
knowngood-api = 1
"""


def of(name: str, **files: str) -> Contents:
    from pathlib import Path

    named = {path.replace("__", "/").replace("DOT", "."): text.encode() for path, text in files.items()}
    return Contents(name, Path(name), named)


def test_a_file_says_who_it_is_by_its_constants_and_docstring() -> None:
    said = (
        '"""Leak rates.\n\nMore of it."""\n__version__ = "2"\n__author__ = "Ida Quill"\n'
        "API_VERSION = 1\n1 / 0\n"
    )
    about = candidate_of(of("rates", ratesDOTpy=said)).about
    assert (about.name, about.version, about.author, about.summary, about.api) == (
        "rates",
        "2",
        "Ida Quill",
        "Leak rates.",
        1,
    )


def test_the_folder_of_a_project_is_a_plugin_under_the_name_that_it_announces() -> None:
    files = {"pyproject.toml": PROJECT, "shop_depots/plugin.py": "", "tests/test_it.py": ""}
    from pathlib import Path

    found = candidate_of(
        Contents("fleet_plugin", Path("x"), {name: text.encode() for name, text in files.items()})
    )
    about = found.about
    assert (found.module, found.package, found.below) == (
        "shop_depots.plugin",
        "shop_depots",
        "shop_depots",
    )
    assert (about.name, about.version, about.api) == ("fleet", "0.4", 1)
    assert about.author == "Ida Quill, depot@fjordside.example"
    assert about.summary == "Buses of a depot."


@pytest.mark.parametrize("inside", ["", "src/"])
def test_a_project_that_is_dropped_in_whole_runs(put: Put, guarded: Guarded, inside: str) -> None:
    put("fleet plugin 0.4/pyproject.toml", PROJECT, head="")
    put(f"fleet plugin 0.4/{inside}shop_depots/depots.py", "NAMES = ['North']", head="")
    put(
        f"fleet plugin 0.4/{inside}shop_depots/plugin.py",
        """
        @hookimpl
        def pages():
            from shop_depots.depots import NAMES
            return [page("fleet", NAMES[0])]
        """,
    )
    put("fleet plugin 0.4/tests/test_fleet.py", "raise RuntimeError('no part of the plugin')", head="")
    plugins = guarded()
    (status,) = plugins.status()
    assert status.about is not None
    plugins.approve("fleet", status.about.sha256)
    assert [one.title for one in plugins.pages()] == ["North"]
    plugins.disable("fleet")
    plugins.enable("fleet")
    assert [one.title for one in plugins.pages()] == ["North"]


@pytest.mark.parametrize(
    ("project", "told"),
    [
        ("[project", "its pyproject.toml cannot be read"),
        ("", "holds no plugin.py"),
        (PROJECT, "announces the module 'shop_depots.plugin', which is not in its folder"),
    ],
)
def test_a_folder_that_is_no_plugin_is_told_why(project: str, told: str) -> None:
    with pytest.raises(PluginMistake, match=told):
        candidate_of(of("x", pyprojectDOTtoml=project, notesDOTtxt="x"))


@pytest.mark.parametrize(
    "source", ["def broken(:", "\0", "(" * 500 + ")" * 500, "x = " + "-" * 100_000 + "1"]
)
def test_a_source_that_cannot_be_understood_says_nothing_and_harms_nothing(source: str) -> None:
    assert constants(source.encode()) == {}


def test_what_is_worked_out_is_no_constant() -> None:
    assert constants(b"API_VERSION = 1 + 1\n__version__: str = '3'\n") == {
        "__doc__": None,
        "__version__": "3",
    }


def test_a_folder_too_large_to_be_a_plugin_is_not_read(put: Put, guarded: Guarded, folder: Path) -> None:
    put("tallies/plugin.py", "@hookimpl\ndef pages():\n    return []\n")
    with (folder / "tallies" / "film.bin").open("wb") as file:
        file.truncate(80_000_000)
    (status,) = guarded().status()
    assert status.failure is not None
    assert "its files are 80 MB together, more than 50 MB" in status.failure.words


def test_a_pipe_in_a_folder_does_not_stop_the_start(put: Put, guarded: Guarded, folder: Path) -> None:
    put("tallies/plugin.py", "@hookimpl\ndef pages():\n    return []\n")
    os.mkfifo(folder / "tallies" / "pipe")
    (status,) = guarded().status()
    assert status.failure is not None
    assert "'pipe' is neither a file nor a folder" in status.failure.words


def test_links_to_folders_are_not_followed(put: Put, folder: Path, tmp_path: Path) -> None:
    put("tallies/plugin.py", "", head="")
    (folder / "tallies" / "round").symlink_to(folder / "tallies")
    (folder / "tallies" / "gone.py").symlink_to(tmp_path / "gone.py")
    assert list(contents.read_folder(folder / "tallies").files) == ["plugin.py"]


def test_what_python_and_version_control_keep_for_themselves_does_not_count(put: Put, folder: Path) -> None:
    put("tallies/plugin.py", "", head="")
    before = contents.read_folder(folder / "tallies").sha256()
    put("tallies/__pycache__/plugin.pyc", "1", head="")
    put("tallies/.git/HEAD", "1", head="")
    assert contents.read_folder(folder / "tallies").sha256() == before
