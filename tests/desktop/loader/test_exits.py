"""What ends a program, written in a plugin: it is the plugin's mistake, and fits what the plugin catches."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import pytest

from knowngood.loader import Plugins, find_sources
from knowngood.loader.exits import Exits
from knowngood.loader.status import PluginLeft
from knowngood.loader.watchdog import Watchdog

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path
    from types import ModuleType

    from .conftest import Load, Put

BODY = """
import argparse
import sys

class Closed(SystemExit):
    pass

def plain():
    raise SystemExit

def with_code():
    raise SystemExit(3)

def derived():
    raise Closed("for lunch")

def by_name():
    sys.exit(3)

def caught():
    try:
        argparse.ArgumentParser().parse_args(["--no-such-option"])
    except SystemExit as left:
        return left.code

@hookimpl
def pages():
    return []
"""


@pytest.fixture(params=["folder", "installed"])
def leaver(request: pytest.FixtureRequest, put: Put, install: Put, folder: Path) -> Iterator[ModuleType]:
    """The module of a plugin, in a program whose window is open."""
    in_folder = request.param == "folder"
    (put if in_folder else install)("leaver.py" if in_folder else "leaver", BODY)
    watchdog = Watchdog()
    exits = Exits(watchdog.owners)
    exits.install()
    plugins = Plugins([one for one in find_sources(folder) if one.name == "leaver"], watchdog=watchdog)
    (status,) = plugins.status()
    assert status.failures == ()
    yield sys.modules["leaver" if in_folder else "installed_leaver"]
    exits.remove()
    plugins.close()
    watchdog.close()


@pytest.mark.parametrize(
    ("function", "code", "how"),
    [
        ("plain", None, "SystemExit"),
        ("with_code", 3, "SystemExit"),
        ("derived", "for lunch", "SystemExit"),
        ("by_name", 3, "sys.exit"),
    ],
)
def test_what_a_plugin_raises_to_end_the_program_ends_nothing(
    leaver: ModuleType, function: str, code: object, how: str
) -> None:
    with pytest.raises(PluginLeft) as left:
        getattr(leaver, function)()
    assert not isinstance(left.value, SystemExit)
    assert (str(left.value), left.value.code) == (f"it wanted to end the program ({how})", code)


def test_a_plugin_catches_a_library_that_leaves(leaver: ModuleType) -> None:
    assert leaver.caught() == 2


def test_a_plugin_of_the_command_line_leaves_as_any_program_does(put: Put, load: Load) -> None:
    put("leaver.py", BODY)
    plugins = load()
    exits = Exits(plugins.owners)
    exits.install()
    exits.remove()
    with pytest.raises(SystemExit) as left:
        sys.modules["leaver"].with_code()
    assert left.value.code == 3


def test_closing_leaves_the_import_of_installed_packages_as_it_was(install: Put, load: Load) -> None:
    before = list(sys.meta_path)
    install("leaver", BODY)
    plugins = load()
    assert sys.meta_path != before
    plugins.close()
    assert sys.meta_path == before
