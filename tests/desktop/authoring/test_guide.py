"""The guide for writers of plugins, followed to the letter and compared with the hooks."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
import textwrap
import zipfile
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import pytest

from knowngood import cli
from knowngood.authoring.guide import SHIPPED_AS
from knowngood.authoring.trial import loaded
from knowngood.loader.rules import HOOKS, check_hooks

if TYPE_CHECKING:
    from collections.abc import Iterator
    from types import ModuleType

ROOT = Path(__file__).resolve().parents[3]
GUIDE = (ROOT / "plugins" / "README.md").read_text(encoding="utf-8")
WALK, _, REST = GUIDE.partition("## What keeps a plugin")
SCRIPTS = Path(sys.executable).parent


class Hook(NamedTuple):
    """What the guide says of a hook."""

    name: str
    arguments: tuple[str, ...]
    text: str
    example: str


def hooks() -> Iterator[Hook]:
    for part in re.split(r"^### ", REST, flags=re.MULTILINE)[1:]:
        head, _, text = part.partition("\n")
        found = re.fullmatch(r"`(\w+)\(([\w, ]*)\)`", head.strip())
        assert found is not None, head
        example = re.search(r"```python\n(.*?)```", text, re.DOTALL)
        assert example is not None, head
        arguments = tuple(one.strip() for one in found[2].split(",") if one.strip())
        yield Hook(found[1], arguments, text, example[1])


DESCRIBED = {one.name: one for one in hooks()}


def test_the_guide_describes_every_hook_with_its_arguments_and_no_other() -> None:
    assert {name: one.arguments for name, one in DESCRIBED.items()} == HOOKS


@pytest.mark.parametrize("name", sorted(HOOKS))
def test_the_guide_says_what_an_empty_answer_and_an_error_mean(name: str) -> None:
    text = " ".join(DESCRIBED[name].text.split())
    assert "empty answer" in text
    assert "raise" in text.lower()


def imported(file: Path) -> ModuleType:
    spec = spec_from_file_location(file.stem, file)
    assert spec is not None
    assert spec.loader is not None
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize("name", sorted(HOOKS))
def test_each_example_of_the_guide_is_a_plugin_that_loads_and_answers(name: str, tmp_path: Path) -> None:
    file = tmp_path / f"example_{name}.py"
    file.write_text(DESCRIBED[name].example, encoding="utf-8")
    plugins = loaded(file)
    try:
        plugins.pages()
        plugins.commands()
        plugins.spec_fields()
        plugins.log_readers()
        plugins.derived_channels("R-134a")
        plugins.explanations()
        plugins.measurements()
        (status,) = plugins.status()
        assert status.failures == ()
        assert check_hooks(imported(file)) == (name,)
    finally:
        plugins.close()


def steps() -> Iterator[tuple[str, str]]:
    """The commands of the walk and the files that it asks to write, in their order."""
    file = re.compile(r"`([\w/]+\.py)`")
    wanted, lines = "", iter(WALK.splitlines())
    for line in lines:
        named = file.search(line)
        if named is not None and "/" in named[1]:
            wanted = named[1]
        if re.match(r"\s+```python", line):
            block = []
            for inner in lines:
                if inner.strip() == "```":
                    break
                block.append(inner)
            yield wanted, textwrap.dedent("\n".join(block)) + "\n"
        elif re.match(r"\s{7}(knowngood|python) ", line):
            yield "", line.strip()


def test_whoever_follows_the_guide_has_a_page_in_the_window(tmp_path: Path) -> None:
    shelf, work = tmp_path / "plugins", tmp_path / "work"
    for folder in (shelf, work):
        folder.mkdir()
    environment = {
        **os.environ,
        "KNOWNGOOD_DATA": str(tmp_path / "data"),
        "QT_QPA_PLATFORM": "offscreen",
        "PATH": f"{SCRIPTS}{os.pathsep}{os.environ.get('PATH', '')}",
    }
    told = []
    for file, text in steps():
        if file:
            (work / file).write_text(text, encoding="utf-8")
            continue
        program, *arguments = shlex.split(text)
        command = [str(SCRIPTS / program), *arguments]
        if arguments[:1] == ["plugins"]:
            # The guide has the reader put the folder into the plugins folder before this.
            if not (shelf / "seasonal_checks").exists():
                (work / "seasonal_checks").rename(shelf / "seasonal_checks")
            command[1:1] = ["--plugins-folder", str(shelf)]
        done = subprocess.run(command, cwd=work, env=environment, capture_output=True, text=True, check=False)
        assert done.returncode == 0, (text, done.stdout, done.stderr)
        told.append(done.stdout)
    made, good, tested, waiting, running = told
    assert made.startswith("Made ")
    assert good.endswith("Nothing is wrong.\n")
    assert "2 passed" in tested
    assert "waiting for approval" in waiting
    assert "waiting for approval" not in running
    assert "page Seasonal checks" in running


def test_the_guide_is_printed_as_it_stands_in_the_project(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["plugin", "guide"]) == 0
    assert capsys.readouterr().out == GUIDE


def test_the_guide_comes_with_the_installed_program(tmp_path: Path) -> None:
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path)]
    subprocess.run(build, cwd=ROOT, capture_output=True, check=True)
    (wheel,) = tmp_path.glob("*.whl")
    with zipfile.ZipFile(wheel) as packed:
        packed.extractall(tmp_path / "installed")
    command = [sys.executable, "-m", "knowngood.cli", "plugin", "guide"]
    environment = {**os.environ, "PYTHONPATH": str(tmp_path / "installed"), "PYTHONIOENCODING": "utf-8"}
    done = subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, check=True)
    assert done.stdout.decode().splitlines() == GUIDE.splitlines()
    (tmp_path / "installed" / "knowngood" / "authoring" / SHIPPED_AS).write_text("this copy is read")
    done = subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, check=True)
    assert done.stdout == b"this copy is read"
