"""Switching plugins on and off while the program runs, and what is left of one that was taken out."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import pytest

from knowngood.loader import Gate, State

if TYPE_CHECKING:
    from knowngood.loader import Plugins

    from .conftest import Guarded, Load, Put

BODY = """
asked = []

@hookimpl
def pages():
    asked.append(1)
    return [page("{0}", f"{0} {{len(asked)}}")]
"""


@pytest.fixture
def trusting(guarded: Guarded, gate: Gate) -> Gate:
    """Asks nobody, and remembers what is switched off."""
    return Gate(gate.decisions, trusting=True)


def titles(plugins: Plugins) -> list[str]:
    return [one.title for one in plugins.pages()]


def test_what_is_switched_off_leaves_and_stays_away_until_it_is_switched_on(
    put: Put, guarded: Guarded, trusting: Gate
) -> None:
    for name in ("buses", "vans"):
        put(f"{name}.py", BODY.format(name))
    plugins = guarded(trusting)
    assert titles(plugins) == ["buses 1", "vans 1"]
    plugins.disable("buses")
    assert titles(plugins) == ["vans 1"]
    assert "buses" not in sys.modules
    again = guarded(trusting)
    assert titles(again) == ["vans 1"]
    buses = again.status()[0]
    assert (buses.state, buses.reason) == (State.OFF, "It is switched off and does not run.")
    assert buses.contributions == ()
    again.enable("buses")
    assert titles(again) == ["buses 1", "vans 1"]
    assert titles(guarded(trusting)) == ["buses 1", "vans 1"]


def test_the_others_are_not_asked_again_when_one_comes_or_goes(put: Put, load: Load) -> None:
    for name in ("buses", "vans"):
        put(f"{name}.py", BODY.format(name))
    plugins = load()
    before = {one.key: one for one in plugins.pages()}
    plugins.disable("buses")
    plugins.enable("buses")
    after = {one.key: one for one in plugins.pages()}
    assert after["vans"] is before["vans"]
    assert after["buses"] is not before["buses"]


def test_everything_that_a_plugin_brings_goes_with_it(put: Put, load: Load) -> None:
    put(
        "fleet.py",
        """
        from knowngood.api import DerivedChannel, LogReader, SpecField

        @hookimpl
        def commands():
            return [Command("fleet", "", configure, run)]

        @hookimpl
        def spec_fields():
            return [SpecField("bay", "Bay")]

        @hookimpl
        def derived_channels():
            return [DerivedChannel("twice", "Twice", None, ("vent",), dict.copy)]

        @hookimpl
        def log_readers():
            return [LogReader("Fleet", (), bool, bool)]
        """,
    )
    plugins = load()

    def brought() -> list[int]:
        channels = plugins.derived_channels("R-134a")
        return [
            len(one) for one in (plugins.commands(), plugins.spec_fields(), channels, plugins.log_readers())
        ]

    assert brought() == [1, 1, 1, 1]
    plugins.disable("fleet")
    assert brought() == [0, 0, 0, 0]
    plugins.enable("fleet")
    assert brought() == [1, 1, 1, 1]


def test_a_name_that_was_taken_is_free_when_its_plugin_has_gone(put: Put, load: Load) -> None:
    for name in ("a", "b"):
        put(f"{name}.py", f'@hookimpl\ndef pages():\n    return [page("fleet", "{name}")]')
    plugins = load()
    assert titles(plugins) == ["a"]
    plugins.disable("a")
    plugins.enable("b")
    assert titles(plugins) == ["b"]


def test_who_listens_is_told_of_every_change(put: Put, load: Load) -> None:
    put("buses.py", BODY.format("buses"))
    plugins = load()
    heard: list[int] = []
    plugins.on_change(lambda: heard.append(len(plugins.pages())))
    plugins.disable("buses")
    plugins.enable("buses")
    assert heard == [0, 1]


def test_a_mended_plugin_is_loaded_again_without_its_old_failures(put: Put, load: Load) -> None:
    put("buses.py", "1/0")
    plugins = load()
    assert plugins.status()[0].state is State.FAILED
    put("buses.py", BODY.format("buses"))
    plugins.enable("buses")
    assert titles(plugins) == ["buses 1"]
    assert plugins.status()[0].failures == ()


def test_one_that_fails_anew_tells_its_new_failure(put: Put, load: Load) -> None:
    put("buses.py", "1/0")
    plugins = load()
    put("buses.py", "import no_such_library")
    plugins.enable("buses")
    (status,) = plugins.status()
    assert [one.words for one in status.failures] == [
        "ModuleNotFoundError: No module named 'no_such_library'"
    ]


def test_the_second_of_two_plugins_of_one_name_cannot_be_switched_on(
    put: Put, install: Put, load: Load
) -> None:
    install("buses", BODY.format("buses"))
    path = put("buses.py", BODY.format("other"))
    plugins = load()
    plugins.enable(f"buses ({path})")
    assert titles(plugins) == ["buses 1"]
    plugins.disable(f"buses ({path})")
    assert titles(plugins) == ["buses 1"]
    assert plugins.status()[1].state is State.FAILED


def test_one_of_the_programs_own_can_be_switched_off_and_on(gate: Gate) -> None:
    from knowngood.loader import Plugins, find_sources

    plugins = Plugins(find_sources(None), gate)
    assert "calculator" in [one.key for one in plugins.pages()]
    plugins.disable("calculator")
    assert "calculator" not in [one.key for one in plugins.pages()]
    plugins.enable("calculator")
    assert "calculator" in [one.key for one in plugins.pages()]
    plugins.close()


def test_the_time_of_each_hook_is_counted_and_a_slow_plugin_is_named(put: Put, load: Load) -> None:
    put(
        "slow.py",
        "import time\ntime.sleep(0.03)\n@hookimpl\ndef pages():\n    time.sleep(0.02)\n    return []",
    )
    put("quick.py", "@hookimpl\ndef pages():\n    return []\n@hookimpl\ndef spec_fields():\n    return []")
    plugins = load()
    plugins.pages()
    plugins.started()
    plugins.spec_fields()
    quick, slow = plugins.status()
    assert (quick.slow, slow.slow) == (False, True)
    assert slow.start_ms >= 50.0
    assert [(one.what, one.calls) for one in slow.costs] == [
        ("loading", 1),
        ("pages", 1),
        ("reading its files", 1),
    ]
    assert slow.costs[0].total_ms >= 30.0
    assert {one.what for one in quick.costs} == {"reading its files", "loading", "pages", "spec_fields"}
    assert quick.start_ms < quick.loaded_ms + quick.called_ms
