"""The faults that the program survives: it runs, other plugins work, the library is whole."""

from __future__ import annotations

import inspect
import zipfile
from typing import TYPE_CHECKING, Any

from PySide6.QtWidgets import QPushButton

from knowngood import hookspecs
from knowngood.api import API_VERSION
from knowngood.loader import State
from knowngood.loader.rules import HOOKS
from knowngood_refdata.drafts import VehicleDraft
from knowngood_refdata.queries import vehicles

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from .conftest import Shop


AT_IMPORT = {
    "bad_sum": ("1 / 0", "ZeroDivisionError"),
    "bad_import": ("import no_such_library", "No module named 'no_such_library'"),
    "bad_syntax": ("def broken(:", "SyntaxError"),
    "bad_exit": ("import sys\nsys.exit(3)", "it wanted to end the program"),
    "bad_raise": ("raise SystemExit", "it wanted to end the program"),
    "bad_base": ("raise BaseException('odd')", "BaseException: odd"),
    "bad_text": (
        "class Odd(Exception):\n    def __str__(self):\n        1 / 0\nraise Odd",
        "what it says cannot be read",
    ),
    "bad_folder": ("import os\nos.chdir('no such folder')", "FileNotFoundError"),
    "bad_loop": ("while True: pass", "kept the window standing still"),
}


def test_errors_at_import(shop: Shop) -> None:
    for name, (body, _) in AT_IMPORT.items():
        shop.put(f"{name}.py", body)
    shop.start()
    listed = shop.listed()
    for name, (_, told) in AT_IMPORT.items():
        assert shop.status(name).state is State.FAILED
        assert told in shop.words(name)
        assert told in listed
    shop.goes_on()


def ask(shop: Shop, hook: str) -> None:
    """Ask the faulty plugins by a hook, with nothing in its arguments."""
    nothing: dict[str, Any] = dict.fromkeys(HOOKS[hook])
    others = [one.name for one in shop.plugins.status() if not one.name.startswith("bad")]
    for _ in shop.plugins._ask(hook, lambda _name, answer: answer, without=others, **nothing):
        pass


ERRORS = {
    "raise": ("RuntimeError('out of order')", "RuntimeError: out of order"),
    "exit": ("SystemExit(1)", "it wanted to end the program (SystemExit)"),
}


def test_an_exception_in_every_hook(shop: Shop) -> None:
    """One plugin for each hook and each error, so that every hook has failing ones and healthy ones."""
    for hook in HOOKS:
        for kind, (error, _) in ERRORS.items():
            shop.put(f"bad_{hook}_{kind}.py", f"@hookimpl\ndef {hook}():\n    raise {error}")
    shop.start()
    shop.use_everything()
    for hook in HOOKS:
        ask(shop, hook)
        for kind, (_, told) in ERRORS.items():
            (failure,) = shop.status(f"bad_{hook}_{kind}").failures
            assert (failure.during, failure.words) == (hook, told)
            assert f"bad_{hook}_{kind}.py" in failure.traceback
    shop.goes_on()


NONSENSE = ("None", "3", "'text'", "[None]", "[object()]", "{'a': 1}", "(x for x in '')")
SEQUENCES = (
    "pages",
    "commands",
    "spec_fields",
    "derived_channels",
    "log_readers",
    "report_sections",
    "session_checks",
    "explanations",
    "measurements",
    "settings",
)
"""The hooks that return a sequence."""
SINGLE = ("import_log", "tables")
"""The hooks that return one thing or None; what they refuse stands in the tests of each."""


def test_every_hook_is_given_nonsense_to_return_or_has_tests_of_its_own() -> None:
    assert sorted(SEQUENCES + SINGLE) == sorted(HOOKS)
    returned = {hook: inspect.signature(getattr(hookspecs, hook)).return_annotation for hook in HOOKS}
    assert {hook for hook, kind in returned.items() if kind.startswith("Sequence[")} == set(SEQUENCES)


def test_nonsense_out_of_hooks(shop: Shop) -> None:
    for number, nonsense in enumerate(NONSENSE):
        hooks = "\n".join(f"@hookimpl\ndef {hook}():\n    return {nonsense}" for hook in SEQUENCES)
        shop.put(f"bad_{number}.py", hooks)
    shop.start()
    shop.use_everything()
    for number, _ in enumerate(NONSENSE):
        during = [one.during for one in shop.status(f"bad_{number}").failures]
        assert sorted(during) == sorted(SEQUENCES)
        assert all(f"its hook '{hook}' returned" in shop.words(f"bad_{number}") for hook in SEQUENCES)
    shop.goes_on()


PAGES = {
    "bad_loop": ("while True: pass", "kept the window standing still"),
    "bad_sleep": ("import time; time.sleep(600)", "kept the window standing still"),
    "bad_raise": ("raise RuntimeError('no such gauge')", "no such gauge"),
    "bad_exit": ("import sys; sys.exit(1)", "wanted to end the program"),
    "bad_leave": ("raise SystemExit", "wanted to end the program"),
    "bad_none": ("return None", "its page 'Rates' is None instead of a QWidget"),
    "bad_text": ("return 'rates'", "its page 'Rates' is a str instead of a QWidget"),
    "bad_class": ("from PySide6.QtWidgets import QWidget; return QWidget", "instead of a QWidget"),
}


def test_pages_that_cannot_be_made(shop: Shop) -> None:
    for name, (work, _) in PAGES.items():
        hook = f"@hookimpl\ndef pages():\n    return [page('{name}', make)]"
        shop.put(f"{name}.py", f"def make(host):\n    {work}\n{hook}")
    shop.start()
    for name, (_, told) in PAGES.items():
        assert told in shop.shown(name)
        assert told in shop.words(name)
    listed = shop.listed()
    assert all(told in listed for _, told in PAGES.values())
    shop.goes_on()


BUTTON = """
def act():
    {0}

def make(host):
    from PySide6.QtWidgets import QPushButton
    button = QPushButton("Go")
    button.clicked.connect(act)
    return button

@hookimpl
def pages():
    return [page("{1}", make)]
"""
BUTTONS = {
    "bad_raise": ("raise RuntimeError('no such gauge')", "RuntimeError: no such gauge"),
    "bad_exit": ("import sys; sys.exit(1)", "it wanted to end the program (sys.exit)"),
    "bad_leave": ("exit()", "it wanted to end the program (sys.exit)"),
    "bad_written": ("raise SystemExit", "it wanted to end the program (SystemExit)"),
    "bad_loop": ("while True: pass", "it kept the window standing still for too long and was stopped"),
}


def test_buttons_of_pages(shop: Shop, qtbot: QtBot) -> None:
    for name, (work, _) in BUTTONS.items():
        shop.put(f"{name}.py", BUTTON.format(work, name))
    shop.start()
    # The window must have beaten once before it can be told that it stands still.
    qtbot.wait(100)
    for name, (_, told) in BUTTONS.items():
        shop.window.show_page(name)
        button = shop.window.page_in_front()[1]
        assert isinstance(button, QPushButton)
        button.click()
        assert shop.words(name).strip() == told
        assert shop.said[-1] == f"The plugin '{name}' failed: {told}. The Plugins page tells more."
    assert len(shop.said) == len(BUTTONS)
    shop.goes_on()


def test_what_a_page_leaves_behind_when_it_is_taken_out_is_not_told(shop: Shop, qtbot: QtBot) -> None:
    shop.put(
        "bad.py",
        """
        def make(host):
            from PySide6.QtWidgets import QLabel
            label = QLabel("in hand")
            host.bench.vehicle_changed.connect(lambda: label.setText("another in hand"))
            host.drafts.keep("bad", lambda: {"typed": label.text()}, lambda kept: None)
            return label

        @hookimpl
        def pages():
            return [page("bad", make)]
        """,
    )
    shop.start()
    assert shop.shown("bad") == "in hand"
    shop.plugins.disable("bad")
    assert "bad" not in shop.window.page_keys
    qtbot.wait(10)
    host = shop.window.host
    assert host is not None
    host.bench.vehicle_changed.emit()
    assert host.drafts.save()
    assert host.drafts.messages == []
    assert shop.said == []
    shop.goes_on()
    shop.plugins.enable("bad")
    assert shop.shown("bad") == "in hand"


def test_a_hundred_megabytes_of_output(shop: Shop) -> None:
    work = "for _ in range(100): print('x' * 1_000_000)"
    shop.put(
        "bad.py", f"def make(host):\n    {work}\n@hookimpl\ndef pages():\n    return [page('bad', make)]"
    )
    shop.start()
    shop.window.show_page("bad")
    assert shop.status("bad").printed_size == 100_000_100
    assert "It printed 100,000,100 characters; the first 65,536 are kept." in shop.listed()
    shop.goes_on()


def test_two_plugins_of_one_name(shop: Shop) -> None:
    for name in ("bad.py", "bad/plugin.py"):
        shop.put(name, f"@hookimpl\ndef pages():\n    return [page('bad', lambda host: None, '{name}')]")
    shop.start()
    first, second = (one for one in shop.plugins.status() if one.name.startswith("bad"))
    assert (first.state, second.state) == (State.RUNNING, State.FAILED)
    assert f"a plugin named 'bad' is there already: {first.place}" in second.failures[0].words
    assert second.place in shop.listed()
    shop.goes_on()


def test_files_that_change_between_approval_and_load(shop: Shop) -> None:
    shop.put("bad.py", "@hookimpl\ndef pages():\n    return []")
    shop.start()
    shop.close()
    shop.put("bad.py", "raise RuntimeError('this must not run')")
    shop.start(approved=False)
    assert shop.status("bad").state is State.WAITING
    assert "Its contents changed since" in shop.listed()
    assert shop.status("bad").failures == ()
    shop.goes_on()


def test_zip_files_that_reach_out_of_their_folder(shop: Shop) -> None:
    members = {"bad_up": "../evil.py", "bad_in": "bad/../../evil.py", "bad_top": "/evil.py"}
    for name, member in members.items():
        with zipfile.ZipFile(shop.folder / f"{name}.zip", "w") as packed:
            packed.writestr("bad/plugin.py", "1/0")
            packed.writestr(member, "1/0")
    shop.start()
    listed = shop.listed()
    for name, member in members.items():
        assert shop.status(name).state is State.FAILED
        assert f"the zip file holds the path '{member}', which could lead out of its folder" in listed
    assert list(shop.folder.parent.rglob("evil.py")) == []
    shop.goes_on()


def test_a_plugin_that_is_removed_while_its_data_stay(shop: Shop) -> None:
    path = shop.put(
        "bad.py",
        """
        from knowngood.api import SpecField

        @hookimpl
        def spec_fields():
            return [SpecField("bay", "Bay", section="Fleet")]
        """,
    )
    shop.start()
    assert [one.name for one in shop.plugins.spec_fields() if one.name == "bay"] == ["bay"]
    draft = VehicleDraft("Fen", "Marsh", "", 2020, specs=(bay(),))
    number = vehicles.add_vehicle(shop.store, draft)
    shop.close()
    path.unlink()
    shop.start()
    assert [one.name for one in shop.plugins.spec_fields() if one.name == "bay"] == []
    (kept,) = vehicles.vehicle(shop.store, number).specs["bay"]
    assert kept.as_printed == "4"
    shop.goes_on()


def bay() -> Any:
    from knowngood_refdata.drafts import SpecDraft
    from knowngood_refdata.records import SourceKind

    return SpecDraft("bay", None, "4", SourceKind.MEASURED, "the wall")


def test_a_plugin_for_a_newer_api(shop: Shop) -> None:
    shop.put("bad.py", f"API_VERSION = {API_VERSION + 1}\nraise RuntimeError('this must not run')")
    shop.start()
    assert shop.status("bad").state is State.DOES_NOT_FIT
    assert f"for version {API_VERSION + 1} of the plugin API" in shop.listed()
    assert shop.status("bad").failures == ()
    shop.goes_on()


def test_an_error_of_the_programs_own_is_not_blamed_on_a_plugin(shop: Shop, qtbot: QtBot) -> None:
    shop.start()
    button = QPushButton()
    qtbot.addWidget(button)
    button.clicked.connect(lambda: 1 / 0)
    button.click()
    assert [one.what for one in shop.crashes] == ["ZeroDivisionError: division by zero"]
    assert shop.said == []
