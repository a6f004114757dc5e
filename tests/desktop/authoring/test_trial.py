"""What ``knowngood plugin check`` finds by running a plugin beside the program's own, and by reading it."""

from __future__ import annotations

import subprocess
import sys
import zipfile
from typing import TYPE_CHECKING

from knowngood.authoring import asking
from knowngood.authoring.apart import check_apart
from knowngood.authoring.check import check
from knowngood.authoring.new import make
from knowngood.loader.rules import HOOKS

if TYPE_CHECKING:
    from pathlib import Path

HEAD = """
from knowngood.api import Command, Group, Page, hookimpl

API_VERSION = 1
"""
PAGE = """
def make(host):
    from PySide6.QtCore import QTimer
    from PySide6.QtWidgets import QLabel

    label = QLabel("x")
    {body}
    return label


@hookimpl
def pages():
    return [Page({key!r}, "One", Group.SHOP, 60, make)]
"""


def written(tmp_path: Path, text: str, name: str = "one.py") -> Path:
    file = tmp_path / name
    file.write_text(HEAD + text, encoding="utf-8")
    return file


def paged(tmp_path: Path, body: str, key: str = "one") -> Path:
    return written(tmp_path, PAGE.format(body=body, key=key))


def test_every_hook_is_asked() -> None:
    assert set(asking.HOOKS) == set(HOOKS)


def every(hooks: set[str], body: str) -> str:
    return "".join(f"@hookimpl\ndef {hook}():\n    {body}\n" for hook in sorted(hooks))


def test_what_any_hook_raises_is_told_with_its_name(tmp_path: Path) -> None:
    hooks = set(HOOKS) - {"tables"}
    found = check(written(tmp_path, every(hooks, "raise KeyError('no such thing')")))
    assert {one for one in found.wrong if "KeyError: 'no such thing'" in one} == set(found.wrong)
    assert {one.partition(":")[0] for one in found.wrong} == hooks


def test_a_plugin_whose_tables_cannot_be_made_is_told(tmp_path: Path) -> None:
    found = check(written(tmp_path, every({"tables", "pages"}, "raise KeyError('no such thing')")))
    assert any(one.startswith("tables: KeyError") for one in found.wrong), found.wrong


def test_nonsense_from_any_hook_is_told_in_words(tmp_path: Path) -> None:
    hooks = set(HOOKS) - {"import_log", "tables"}
    told = check(written(tmp_path, every(hooks, "return [17]"))).wrong
    for hook in hooks:
        assert any(f"its hook '{hook}' returned a int" in one for one in told), (hook, told)


def test_an_empty_answer_to_every_hook_is_no_fault(tmp_path: Path) -> None:
    none = {"import_log", "tables"}
    text = "".join(f"@hookimpl\ndef {hook}():\n    return {None if hook in none else []}\n" for hook in HOOKS)
    assert check(written(tmp_path, text)).wrong == []


def test_what_a_page_raises_when_the_units_change_is_told_with_the_moment(tmp_path: Path) -> None:
    found = check(paged(tmp_path, "host.units.changed.connect(lambda: 1 / 0)"))
    (one, *_) = found.wrong
    assert "showing the page 'One' in the other units" in one
    assert "ZeroDivisionError" in one


def test_what_a_page_raises_with_a_session_in_hand_alone_is_told(tmp_path: Path) -> None:
    found = check(paged(tmp_path, "host.bench.session and host.no_such_door()"))
    assert len(found.wrong) == 1
    assert "no_such_door" in found.wrong[0]


def test_a_page_that_keeps_the_window_standing_still_is_told_with_the_time(tmp_path: Path) -> None:
    found = check(paged(tmp_path, "import time; time.sleep(0.15)"))
    assert found.good
    assert any("stands still for 15" in one or "stands still for 16" in one for one in found.better)


def test_a_plugin_that_takes_a_name_of_the_programs_own_is_told(tmp_path: Path) -> None:
    found = check(paged(tmp_path, "pass", key="specs"))
    assert not found.good
    assert any("'specs'" in one and "used by" in one for one in found.wrong), found.wrong


def test_a_command_that_cannot_be_set_up_is_told(tmp_path: Path) -> None:
    text = """
@hookimpl
def commands():
    return [Command("one", "do one thing", lambda parser: parser.add_argument("a b", dest="c"), print)]
"""
    found = check(written(tmp_path, text))
    assert any("setting up the command 'one'" in one for one in found.wrong), found.wrong


def test_a_derived_channel_of_the_wrong_length_is_told(tmp_path: Path) -> None:
    text = """
@hookimpl
def derived_channels():
    from knowngood.api import DerivedChannel

    return [DerivedChannel("half", "Half", None, ("low side",), lambda given: given["low side"][::2])]
"""
    found = check(written(tmp_path, text))
    assert any("worked out the shape (150,) for samples of the shape (300,)" in one for one in found.wrong)


def test_a_private_part_of_the_program_could_be_left_alone(tmp_path: Path) -> None:
    found = check(paged(tmp_path, "from knowngood.window import MainWindow; from knowngood import units"))
    told = [one for one in found.better if "may change without notice" in one]
    assert len(told) == 1
    assert "knowngood.window" in told[0]


def test_a_folder_without_readme_and_tests_could_be_better(tmp_path: Path) -> None:
    (tmp_path / "bare").mkdir()
    written(tmp_path / "bare", "@hookimpl\ndef pages():\n    return []\n", "plugin.py")
    (tmp_path / "bare" / "core.py").write_text('"""Nothing."""\n', "utf-8")
    told = "\n".join(check(tmp_path / "bare").better)
    assert "README.md" in told
    assert "a test keeps it working" in told


def test_a_packed_plugin_is_checked_as_the_program_would_unpack_it(tmp_path: Path) -> None:
    place = make("front_desk", tmp_path)
    packed = tmp_path / "front_desk.zip"
    with zipfile.ZipFile(packed, "w") as archive:
        for file in place.rglob("*"):
            archive.write(file, file.relative_to(tmp_path))
    found = check(packed)
    assert found.good
    assert "page Front desk" in found.seen


def test_a_missing_folder_is_named_in_words(tmp_path: Path) -> None:
    (told,) = check(tmp_path / "nowhere").wrong
    assert told == f"{tmp_path / 'nowhere'}: No such file or directory"


def test_a_page_that_never_comes_back_is_told_with_the_line_where_it_stands(tmp_path: Path) -> None:
    place = paged(tmp_path, "\n    while True:\n        pass")
    (told,) = check_apart(place, longest_s=4.0).wrong
    line = next(
        number for number, text in enumerate(place.read_text("utf-8").splitlines(), 1) if "pass" in text
    )
    assert told.startswith("opening the page 'One' with an empty library: it had not come back after 4 s")
    assert f"{place}, line {line}" in told or f"{place}, line {line - 1}" in told


def test_a_plugin_that_ends_the_process_is_told_with_the_moment(tmp_path: Path) -> None:
    (told,) = check_apart(paged(tmp_path, "import os; os._exit(7)")).wrong
    assert told.startswith("opening the page 'One' with an empty library")
    assert "ended the whole process (exit code 7)" in told


def test_heavy_modules_that_the_hooks_bring_in_by_a_detour_are_named(tmp_path: Path) -> None:
    place = make("front_desk", tmp_path)
    core = place / "knowngood_front_desk" / "core.py"
    core.write_text(core.read_text("utf-8").replace("from collections", "import scipy\nfrom collections", 1))
    hooks = place / "knowngood_front_desk" / "plugin.py"
    hooks.write_text(hooks.read_text("utf-8") + "\nimport knowngood_front_desk.core\n", "utf-8")
    found = check_apart(place)
    assert found.good
    assert any("importing its hooks loads scipy" in one for one in found.better), found.better


def test_a_new_plugin_is_clean_by_the_linter_and_its_tests_leave_no_trace(tmp_path: Path) -> None:
    place = make("front_desk", tmp_path)
    before = {path.relative_to(place) for path in place.rglob("*") if path.is_file()}
    lint = [sys.executable, "-m", "ruff", "check", "--isolated", "--no-cache", "--line-length", "110"]
    rules = ["--select", "E,F,I,B,UP,ANN"]
    assert subprocess.run([*lint, *rules], cwd=place, check=False).returncode == 0
    tests = [sys.executable, "-m", "pytest", "-q"]
    told = subprocess.run(tests, cwd=place, capture_output=True, text=True, check=False).stdout
    assert "3 passed" in told, told
    after = {path.relative_to(place) for path in place.rglob("*") if path.is_file()}
    assert {path for path in after if "__pycache__" not in path.parts} == before
