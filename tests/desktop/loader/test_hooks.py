"""Calling hooks: typed answers, failures noted by name, the others unharmed."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import TYPE_CHECKING, cast

import pytest

from knowngood.api import Host, LogRefused, LogRequest
from knowngood.loader import PluginFailed, Plugins
from knowngood.scales import System
from knowngood_refdata.errors import StoreError
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Conditions, Instruments
from knowngood_refdata.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator

    from .conftest import Load, Put

REQUEST = LogRequest(Path("run 14.log"), None, "R-134a", Conditions(), Instruments(), {})
NOBODY = cast("Host", None)
"""No factory of these plugins looks at its host."""


@pytest.fixture
def store(library_file: Path) -> Iterator[Store]:
    store = Store.open(library_file)
    yield store
    store.close()


def failures(plugins: Plugins) -> dict[str, list[str]]:
    return {one.name: [failure.words for failure in one.failures] for one in plugins.status()}


def test_pages_come_in_the_order_of_the_rail(put: Put, load: Load) -> None:
    put("b.py", '@hookimpl\ndef pages():\n    return [page("late", order=9), page("early", order=1)]')
    put(
        "a.py",
        '@hookimpl\ndef pages():\n    return [page("mid", order=5), Page("x", "X", Group.BENCH, 99, make)]',
    )
    assert [one.key for one in load().pages()] == ["x", "early", "mid", "late"]


@pytest.mark.parametrize(
    ("answer", "told"),
    [
        ("1/0", "ZeroDivisionError"),
        ("exit()", "wanted to end the program"),
        ("None", "returned None instead of a list of Page"),
        ("page('x')", "returned a Page instead of a list of Page"),
        ("'pages'", "returned a str instead of a list"),
        ("[page('x'), 3]", "returned a int in the place of a Page"),
        ("[page(3)]", "the key is a int, not a str"),
        ("[page('x', None)]", "the title is None, not a str"),
        ("[page('x', 'X', 1, 'make')]", "the factory is a str, which cannot be called"),
        ("[Page('x', 'X', 'Shop', 1, make)]", "the group is a str, not a Group"),
        ("[page('x'), page('x')]", "the key is used by the plugin 'broken' already"),
    ],
)
def test_a_wrong_answer_is_the_plugins_failure_in_words(put: Put, load: Load, answer: str, told: str) -> None:
    put("broken.py", f"@hookimpl\ndef pages():\n    return {answer}")
    put("healthy.py", '@hookimpl\ndef pages():\n    return [page("x")]')
    plugins = load()
    assert [one.key for one in plugins.pages()] == ["x"]
    noted = failures(plugins)
    assert noted["healthy"] == []
    assert told in noted["broken"][0]


def test_a_failing_hook_leaves_the_plugins_other_hooks(put: Put, load: Load) -> None:
    put(
        "half.py",
        """
        @hookimpl
        def pages():
            raise OSError("no such table")

        @hookimpl
        def commands():
            return [Command("rates", "leak rates", configure, run)]
        """,
    )
    plugins = load()
    assert plugins.pages() == ()
    assert [one.name for one in plugins.commands()] == ["rates"]
    (status,) = plugins.status()
    assert status.failure is not None
    assert "half.py" in status.failure.traceback
    assert status.contributions == ("command rates",)


def test_a_page_key_belongs_to_the_first_plugin_that_uses_it(put: Put, load: Load) -> None:
    for name in ("a", "b"):
        put(f"{name}.py", f'@hookimpl\ndef pages():\n    return [page("fleet", "{name}")]')
    plugins = load()
    assert [one.title for one in plugins.pages()] == ["a"]
    assert "used by the plugin 'a' already" in failures(plugins)["b"][0]


def test_a_failing_page_factory_names_its_plugin_and_is_noted_once(put: Put, load: Load) -> None:
    put(
        "broken.py",
        """
        def fail(host):
            raise SystemExit("no licence")

        @hookimpl
        def pages():
            return [page("x", "Rates", factory=fail)]
        """,
    )
    plugins = load()
    (page,) = plugins.pages()
    for _ in range(2):
        with pytest.raises(PluginFailed, match="The plugin 'broken' failed"):
            page.factory(NOBODY)
    (status,) = plugins.status()
    assert [one.during for one in status.failures] == ["making the page 'Rates'"]


def test_the_time_of_a_plugin_is_counted_under_its_name(put: Put, load: Load) -> None:
    put("slow.py", 'import time\n@hookimpl\ndef pages():\n    time.sleep(0.05)\n    return [page("s")]')
    put("quick.py", '@hookimpl\ndef pages():\n    return [page("q")]')
    plugins = load()
    plugins.pages()
    quick, slow = plugins.status()
    assert slow.called_ms >= 50.0 > quick.called_ms


@pytest.mark.parametrize("name", ["plugins", "report"])
def test_the_programs_own_commands_cannot_be_taken(put: Put, load: Load, name: str) -> None:
    put("taker.py", f'@hookimpl\ndef commands():\n    return [Command("{name}", "", configure, run)]')
    plugins = load()
    assert plugins.commands() == ()
    assert "used by the program itself" in failures(plugins)["taker"][0]


def test_a_command_whose_set_up_fails_names_its_plugin(put: Put, load: Load) -> None:
    put("broken.py", '@hookimpl\ndef commands():\n    return [Command("x", "", lambda parser: 1 / 0, run)]')
    (command,) = load().commands()
    with pytest.raises(PluginFailed, match="setting up the command 'x'"):
        command.configure(ArgumentParser())


def test_the_first_plugin_that_reads_a_log_imports_it(put: Put, load: Load, store: Store) -> None:
    put("a.py", "@hookimpl\ndef import_log(store, request):\n    return None")
    put("b.py", "@hookimpl\ndef import_log(request):\n    return 7")
    put("c.py", "@hookimpl\ndef import_log(store):\n    raise RuntimeError('not to be asked')")
    plugins = load()
    assert plugins.import_log(store, REQUEST) == 7
    assert failures(plugins) == {"a": [], "b": [], "c": []}


def test_a_plugin_that_fails_on_a_log_leaves_it_to_the_next(put: Put, load: Load, store: Store) -> None:
    put("a.py", "@hookimpl\ndef import_log():\n    raise RuntimeError('a bug')")
    put("b.py", "@hookimpl\ndef import_log():\n    return 7")
    plugins = load()
    assert plugins.import_log(store, REQUEST) == 7
    assert failures(plugins)["a"] == ["RuntimeError: a bug"]


def test_a_refusal_is_an_answer_and_ends_the_search(put: Put, load: Load, store: Store) -> None:
    put("a.py", "@hookimpl\ndef import_log():\n    raise LogRefused('the time runs backwards')")
    put("b.py", "@hookimpl\ndef import_log():\n    return 7")
    plugins = load()
    with pytest.raises(LogRefused, match="backwards"):
        plugins.import_log(store, REQUEST)
    assert failures(plugins) == {"a": [], "b": []}


def test_a_trouble_of_the_library_is_not_taken_for_the_plugins(put: Put, load: Load, store: Store) -> None:
    put(
        "a.py",
        """
        from knowngood_refdata.errors import LibraryLocked

        @hookimpl
        def import_log():
            raise LibraryLocked("in use")
        """,
    )
    with pytest.raises(StoreError, match="in use"):
        load().import_log(store, REQUEST)


def test_a_log_that_nobody_reads_is_refused_with_the_failures_named(
    put: Put, load: Load, store: Store
) -> None:
    put("a.py", "@hookimpl\ndef import_log():\n    return None")
    put("b.py", "@hookimpl\ndef import_log():\n    return True")
    with pytest.raises(LogRefused) as refused:
        load().import_log(store, REQUEST)
    assert "No plugin reads run 14.log" in str(refused.value)
    assert "'b' failed" in str(refused.value)
    assert "Nothing was stored" in str(refused.value)


def sections(plugins: Plugins, store: Store) -> list[tuple[str, str]]:
    return [(one.title, one.html) for one in plugins.report_sections(store, 1, System.US)]


def test_sections_of_all_plugins_come_in_their_order(put: Put, load: Load, store: Store) -> None:
    put("a.py", '@hookimpl\ndef report_sections(session_id):\n    return [ReportSection("B", 2, "b")]')
    put("b.py", '@hookimpl\ndef report_sections(system):\n    return [ReportSection("A", 1, system)]')
    assert sections(load(), store) == [("A", "us"), ("B", "b")]


@pytest.mark.parametrize("answer", ["1 / 0", "[3]", '[ReportSection("A", 1, None)]'])
def test_a_part_that_a_plugin_fails_to_give_is_said_to_be_missing(
    put: Put, load: Load, store: Store, answer: str
) -> None:
    put("a.py", f"@hookimpl\ndef report_sections():\n    return {answer}")
    put("b.py", '@hookimpl\ndef report_sections():\n    return [ReportSection("B", 2, "b")]')
    first, last = sections(load(), store)
    assert first == ("B", "b")
    assert "The plugin &#x27;a&#x27; failed" in last[1]


def test_what_a_failing_plugin_says_cannot_break_the_report(put: Put, load: Load, store: Store) -> None:
    put("a.py", "@hookimpl\ndef report_sections():\n    raise ValueError('<script>alert(1)</script>')")
    ((_, content),) = sections(load(), store)
    assert "<script>" not in content
    assert "&lt;script&gt;" in content


def test_a_known_failure_is_listed_once(put: Put, load: Load, store: Store) -> None:
    put("a.py", "@hookimpl\ndef report_sections():\n    raise ValueError('again')")
    plugins = load()
    for _ in range(3):
        sections(plugins, store)
    assert failures(plugins) == {"a": ["ValueError: again"]}


FIELD_HEAD = "from knowngood.api import SpecField, hookimpl\nfrom knowngood_refdata.quantities import Kind\n"


def test_a_plugins_spec_fields_arrive_and_are_asked_for_once(put: Put, load: Load) -> None:
    put(
        "fleet.py",
        """
        asked = []

        @hookimpl
        def spec_fields():
            asked.append(1)
            return [SpecField(f"bay {len(asked)}", "Bay", Kind.LENGTH, section="Fleet")]
        """,
        head=FIELD_HEAD,
    )
    plugins = load()
    plugins.spec_fields()
    assert [(one.name, one.title, one.kind) for one in plugins.spec_fields()] == [
        ("bay 1", "Bay", Kind.LENGTH)
    ]
    assert [one.contributions for one in plugins.status()] == [("spec fields",)]


@pytest.mark.parametrize(
    ("answer", "told"),
    [
        ("1/0", "ZeroDivisionError"),
        ("[3]", "returned a int in the place of a SpecField"),
        ("[SpecField('', 'Bay')]", "it needs a name and a title"),
        ("[SpecField('bay', ' ')]", "it needs a name and a title"),
        ("[SpecField('bay', 'Bay', 'length')]", "the kind is a str, not a Kind"),
        ("[SpecField('bay', 'Bay', choices='ab')]", "the choices is a str, not a tuple"),
        ("[SpecField('bay', 'Bay'), SpecField('bay', 'Bay')]", "the name is used by the plugin 'broken'"),
    ],
)
def test_a_wrong_spec_field_is_the_plugins_failure_in_words(
    put: Put, load: Load, answer: str, told: str
) -> None:
    put("broken.py", f"@hookimpl\ndef spec_fields():\n    return {answer}", head=FIELD_HEAD)
    put("healthy.py", "@hookimpl\ndef spec_fields():\n    return [SpecField('bay', 'Bay')]", head=FIELD_HEAD)
    plugins = load()
    assert [one.name for one in plugins.spec_fields()] == ["bay"]
    noted = failures(plugins)
    assert noted["healthy"] == []
    assert told in noted["broken"][0]
