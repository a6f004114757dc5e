"""``knowngood plugin new`` and ``check``: what is wrong is told in words, for the author."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from knowngood import cli
from knowngood.authoring.check import check
from knowngood.authoring.new import NameRefused, make

if TYPE_CHECKING:
    from pathlib import Path

PAGE = """
from knowngood.api import Group, Page, hookimpl

API_VERSION = 1

def _make(host):
    {body}

@hookimpl
def pages():
    return [Page("one", "One", Group.SHOP, 60, _make)]
"""


def written(tmp_path: Path, text: str, name: str = "one.py") -> Path:
    file = tmp_path / name
    file.write_text(text, encoding="utf-8")
    return file


def test_a_new_plugin_has_nothing_wrong_with_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["plugin", "new", "front_desk", "--folder", str(tmp_path)]) == 0
    assert cli.main(["plugin", "check", str(tmp_path / "front_desk")]) == 0
    told = capsys.readouterr().out
    assert "seen: page Front desk" in told
    assert "Nothing is wrong." in told
    assert "better:" not in told


@pytest.mark.parametrize("name", ["Front", "front desk", "2nd", "class", "über", "", "../x"])
def test_a_name_that_cannot_be_one_is_refused_and_nothing_is_made(tmp_path: Path, name: str) -> None:
    with pytest.raises(NameRefused, match="Nothing was made"):
        make(name, tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_there_is_not_touched(tmp_path: Path) -> None:
    (tmp_path / "front_desk").mkdir()
    with pytest.raises(NameRefused, match="is there already"):
        make("front_desk", tmp_path)
    assert list((tmp_path / "front_desk").iterdir()) == []


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("import no_such_part\n", "no_such_part"),
        ("x = 1\n", "implements no hook"),
        ("from knowngood.api import hookimpl\n@hookimpl\ndef page():\n    return []\n", "'page' is no hook"),
        (
            "from knowngood.api import hookimpl\n@hookimpl\ndef pages(window):\n    return []\n",
            "asks for 'window'",
        ),
        ("from knowngood.api import hookimpl\n@hookimpl\ndef pages():\n    return 3\n", "instead of a list"),
        (PAGE.format(body="raise OSError('no printer')"), "no printer"),
        (PAGE.format(body="return 7"), "instead of a QWidget"),
        (PAGE.format(body="import sys; sys.exit(3)"), "wanted to end the program"),
        ("API_VERSION = 99\n" + PAGE.format(body="pass").replace("API_VERSION = 1", ""), "version 99"),
        ("def (:\n", "syntax"),
    ],
)
def test_what_is_wrong_is_told_in_words(tmp_path: Path, text: str, words: str) -> None:
    report = check(written(tmp_path, text))
    assert not report.good
    assert words in "\n".join(report.wrong)


def test_what_is_slow_or_not_said_could_be_better(tmp_path: Path) -> None:
    body = "from PySide6.QtWidgets import QLabel; return QLabel('x')"
    report = check(
        written(tmp_path, "import numpy\n" + PAGE.format(body=body).replace("API_VERSION = 1", ""))
    )
    assert report.good
    told = "\n".join(report.better)
    assert "imports numpy at the start" in told
    assert "state the API version" in told


def test_a_folder_without_a_plugin_is_named(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    report = check(tmp_path / "empty")
    assert "holds no plugin.py" in report.wrong[0]
    assert cli.main(["plugin", "check", str(tmp_path / "empty")]) == 2


def test_what_the_work_of_a_page_raises_is_told(tmp_path: Path) -> None:
    body = (
        "from PySide6.QtWidgets import QLabel; "
        "host.tasks.run('x', lambda progress: 1 / 0, done=print); return QLabel('x')"
    )
    report = check(written(tmp_path, PAGE.format(body=body)))
    assert "division by zero" in "\n".join(report.wrong)
