"""Finding and loading: one failing plugin costs itself alone and is told why."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from pathlib import Path

    from .conftest import Load, Put

ONE_PAGE = """
@hookimpl
def pages():
    return [page("{0}", "{0} page")]
"""


def words(load: Load, name: str) -> str:
    failure = {one.name: one for one in load().status()}[name].failure
    assert failure is not None
    return failure.words


def test_a_file_in_the_folder_is_a_plugin(put: Put, load: Load) -> None:
    path = put("tallies.py", "__version__ = '0.3'" + ONE_PAGE.format("tallies"))
    plugins = load()
    assert [one.title for one in plugins.pages()] == ["tallies page"]
    (status,) = plugins.status()
    assert (status.name, status.origin, status.place) == ("tallies", "plugins folder", str(path))
    assert status.version == "0.3"
    assert status.contributions == ("page tallies page",)
    assert status.failure is None
    assert status.loaded_ms > 0.0


def test_a_folder_with_several_modules_is_a_plugin(put: Put, load: Load) -> None:
    put("shop_tallies/core/rates.py", "GRAMS_A_YEAR = 40", head="")
    put(
        "shop_tallies/plugin.py",
        """
        @hookimpl
        def pages():
            from shop_tallies.core.rates import GRAMS_A_YEAR
            return [page("tallies", f"{GRAMS_A_YEAR} g a year")]
        """,
    )
    assert [one.title for one in load().pages()] == ["40 g a year"]


def test_an_installed_package_is_a_plugin(install: Put, load: Load) -> None:
    install("tallies", ONE_PAGE.format("tallies"))
    plugins = load()
    assert [one.key for one in plugins.pages()] == ["tallies"]
    (status,) = plugins.status()
    assert (status.origin, status.place, status.version) == ("installed", "installed_tallies", "1.2")


def test_plugins_are_listed_by_name(put: Put, install: Put, load: Load) -> None:
    for name in ("zeta", "alpha"):
        put(f"{name}.py", ONE_PAGE.format(name))
    install("middle", ONE_PAGE.format("middle"))
    assert [one.name for one in load().status()] == ["alpha", "middle", "zeta"]


@pytest.mark.parametrize(
    ("body", "told"),
    [
        ("1/0", "ZeroDivisionError: division by zero"),
        ("raise SystemExit(0)", "it wanted to end the program (SystemExit)"),
        ("import no_such_library", "No module named 'no_such_library'"),
        ("def broken(:", "SyntaxError"),
        ("x = 1", "it implements no hook"),
        ("@hookimpl\ndef page():\n    return []", "'page' is no hook; did you mean 'pages'?"),
        ("@hookimpl\ndef zzz():\n    return []", "'zzz' is no hook; there are 'pages', 'commands'"),
        (
            "@hookimpl\ndef pages(host):\n    return []",
            "its hook 'pages' asks for 'host'; it is given nothing",
        ),
        (
            "@hookimpl\ndef import_log(store, path):\n    return None",
            "its hook 'import_log' asks for 'path'; it is given 'store' and 'request'",
        ),
        ("@hookimpl(wrapper=True)\ndef pages():\n    return (yield)", "is a wrapper"),
    ],
)
def test_a_plugin_that_cannot_load_is_told_why_and_the_next_one_keeps_its_page(
    put: Put, load: Load, body: str, told: str
) -> None:
    put("broken.py", body)
    put("healthy.py", ONE_PAGE.format("healthy"))
    plugins = load()
    assert [one.key for one in plugins.pages()] == ["healthy"]
    broken, healthy = plugins.status()
    assert broken.failure is not None
    assert broken.failure.during == "loading"
    assert told in broken.failure.words
    assert "Traceback" in broken.failure.traceback
    assert healthy.failure is None


def test_a_plugin_with_one_wrong_hook_brings_none_of_its_others(put: Put, load: Load) -> None:
    put("half.py", ONE_PAGE.format("half") + "\n@hookimpl\ndef comands():\n    return []")
    plugins = load()
    assert plugins.pages() == ()
    assert plugins.status()[0].contributions == ()


def test_the_users_ctrl_c_is_not_taken_for_a_plugins_failure(put: Put, load: Load) -> None:
    put("slow.py", "raise KeyboardInterrupt")
    with pytest.raises(KeyboardInterrupt):
        load()


def test_a_folder_without_plugin_file_is_told_so(folder: Path, load: Load) -> None:
    (folder / "notes").mkdir()
    assert "holds no plugin.py" in words(load, "notes")


@pytest.mark.parametrize("name", ["my-plugin.py", "2fast.py"])
def test_a_name_that_cannot_be_imported_is_told_so(put: Put, load: Load, name: str) -> None:
    put(name, ONE_PAGE.format("x"))
    assert "letters, digits and underscores" in words(load, name.removesuffix(".py"))


def test_a_file_cannot_stand_in_for_a_library(put: Put, load: Load) -> None:
    put("json.py", "raise RuntimeError('taken over')")
    assert "taken by an installed module" in words(load, "json")
    import json

    assert "taken" not in (json.__file__ or "")


def test_hidden_and_private_files_are_no_plugins(put: Put, folder: Path, load: Load) -> None:
    put("_draft.py", "1/0")
    put(".hidden.py", "1/0")
    (folder / "__pycache__").mkdir()
    (folder / "README.txt").write_text("notes", "utf-8")
    assert load().status() == ()


def test_a_folder_that_is_not_there_holds_no_plugins(folder: Path, load: Load) -> None:
    folder.rmdir()
    assert load().status() == ()


def test_of_two_plugins_of_one_name_the_second_is_listed_as_failed(
    put: Put, install: Put, load: Load
) -> None:
    install("tallies", ONE_PAGE.format("tallies"))
    path = put("tallies.py", ONE_PAGE.format("second"))
    plugins = load()
    assert [one.key for one in plugins.pages()] == ["tallies"]
    first, second = plugins.status()
    assert first.failure is None
    assert second.place == str(path)
    assert second.failure is not None
    assert "is there already: installed_tallies" in second.failure.words


def test_what_runs_is_what_was_read(put: Put, folder: Path, load: Load) -> None:
    put("shop_late/core.py", "TITLE = 'as read'", head="")
    put(
        "shop_late/plugin.py",
        """
        @hookimpl
        def pages():
            from shop_late.core import TITLE
            return [page("late", TITLE)]
        """,
    )
    plugins = load()
    put("shop_late/core.py", "TITLE = 'exchanged afterwards'", head="")
    assert [one.title for one in plugins.pages()] == ["as read"]
    assert list(folder.rglob("*.pyc")) == []


def test_closing_forgets_the_code_so_that_it_can_be_read_anew(put: Put, load: Load) -> None:
    put("tallies.py", ONE_PAGE.format("before"))
    first = load()
    assert "tallies" in sys.modules
    first.close()
    assert "tallies" not in sys.modules
    put("tallies.py", ONE_PAGE.format("after"))
    assert [one.key for one in load().pages()] == ["after"]


def test_a_folder_that_cannot_be_read_is_listed_and_does_not_stop_the_start(
    folder: Path, load: Load, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_folder: object) -> None:
        raise PermissionError(13, "Permission denied", str(folder))

    monkeypatch.setattr(type(folder), "iterdir", refuse)
    assert "Permission denied" in words(load, "plugins")
