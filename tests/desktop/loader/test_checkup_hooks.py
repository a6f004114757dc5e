"""Explanations and measurements of plugins: asked once, own first, a wrong one loses only itself."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from knowngood.loader import Plugins, find_sources

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from .conftest import Load, Put

HEAD = """
from knowngood.api import Explanation, Load, Measurement, Pattern, Signal, hookimpl

FULL = Pattern({Signal.HIGH: 4.0})

def explanation(name='heater open', prior=0.01, patterns=None, **more):
    return Explanation(name, prior, {Load.FULL_STROKE: FULL} if patterns is None else patterns, **more)

def measurement(name='listen', answers=('hiss', 'gurgle'), usual=(0.9, 0.1), under=None, **more):
    return Measurement(name, 'Listen at the valve.', answers, usual, under or {}, **more)
"""
GOOD = {"explanations": "explanation('sound')", "measurements": "measurement('sound')"}


def names(plugins: Plugins, hook: str) -> list[str]:
    return [
        one.name for one in (plugins.explanations() if hook == "explanations" else plugins.measurements())
    ]


def failures(plugins: Plugins) -> list[str]:
    return [failure.words for one in plugins.status() for failure in one.failures]


@pytest.mark.parametrize(
    ("hook", "wrong", "told"),
    [
        ("explanations", "explanation('')", "it needs a name"),
        ("explanations", "explanation('sound')", "the name is used by the plugin 'odd' already"),
        ("explanations", "explanation('healthy')", "the name is used by the program itself already"),
        ("explanations", "explanation(prior=0.0)", "the prior is 0, it must lie above 0"),
        ("explanations", "explanation(prior=0.9)", "not above 0.2"),
        ("explanations", "explanation(prior='often')", "the prior is 'often', not a finite number"),
        ("explanations", "explanation(patterns={})", "the pattern at full stroke is missing"),
        ("explanations", "explanation(patterns=[FULL])", "the patterns is a list, not a Mapping"),
        (
            "explanations",
            "explanation(patterns={Load.FULL_STROKE: 4})",
            "the pattern is a int, not a Pattern",
        ),
        (
            "explanations",
            "explanation(patterns={Load.FULL_STROKE: Pattern({'high': 4.0})})",
            "a name in at_idle is a str, not a Signal",
        ),
        (
            "explanations",
            "explanation(patterns={Load.FULL_STROKE: Pattern({Signal.HIGH: float('nan')})})",
            "condensing above ambient in at_idle is nan, not a finite number",
        ),
        (
            "explanations",
            "explanation(patterns={Load.FULL_STROKE: Pattern({Signal.HIGH: 400.0})})",
            "it must lie within -60 and 60",
        ),
        (
            "explanations",
            "explanation(patterns={Load.FULL_STROKE: Pattern({Signal.HIGH: 4.0}, tied=1.0)})",
            "tied is 1, it must lie within -0.99 and 0.99",
        ),
        ("explanations", "explanation(compressors=frozenset({'fixed'}))", "a compressor is a str"),
        ("measurements", "measurement('sound')", "the name is used by the plugin 'odd' already"),
        ("measurements", "measurement(answers=('hiss',), usual=(1.0,))", "it needs two answers or more"),
        ("measurements", "measurement(answers=('hiss', 'hiss'))", "it needs two answers or more"),
        ("measurements", "measurement(usual=(0.9,))", "a tuple of 2 numbers, one for each answer"),
        ("measurements", "measurement(usual=(0.9, 0.2))", "must add up to 1"),
        ("measurements", "measurement(usual=(1.0, 0.0))", "none be 0"),
        (
            "measurements",
            "measurement(under={'overcharge': (0.5, 0.6)})",
            "overcharge: how often each answer",
        ),
        ("measurements", "measurement(effort=0)", "the effort is 0, it must lie above 0"),
        ("measurements", "measurement(compressors=['fixed'])", "the compressors are a list, not a frozenset"),
    ],
)
def test_a_wrong_one_loses_only_itself(put: Put, load: Load, hook: str, wrong: str, told: str) -> None:
    put("odd.py", f"@hookimpl\ndef {hook}():\n    return [{GOOD[hook]}, {wrong}]", head=HEAD)
    plugins = load()
    assert names(plugins, hook) == ["sound"]
    (said,) = failures(plugins)
    assert told in said


@pytest.mark.parametrize("hook", GOOD)
@pytest.mark.parametrize("answer", ["1 / 0", "None", "[3]"])
def test_who_answers_nonsense_loses_its_own_alone(put: Put, load: Load, hook: str, answer: str) -> None:
    put("broken.py", f"@hookimpl\ndef {hook}():\n    return {answer}", head=HEAD)
    put("healthy.py", f"@hookimpl\ndef {hook}():\n    return [{GOOD[hook]}]", head=HEAD)
    plugins = load()
    assert names(plugins, hook) == ["sound"]
    assert names(plugins, hook) == ["sound"]
    assert len(failures(plugins)) == 1


@pytest.fixture
def beside_own(folder: Path) -> Iterator[Plugins]:
    """The program's own plugins, and a plugin that is asked before them by its name."""
    (folder / "aaa.py").write_text(
        HEAD
        + "@hookimpl\ndef explanations():\n"
        + "    return [explanation('overcharge'), explanation('heater open')]\n"
        + "@hookimpl\ndef measurements():\n    return [measurement('identifier'), measurement('listen')]\n",
        "utf-8",
    )
    plugins = Plugins(one for one in find_sources(folder) if one.built_in or one.name == "aaa")
    yield plugins
    plugins.close()


@pytest.mark.parametrize(
    ("hook", "own", "brought"),
    [("explanations", "overcharge", "heater open"), ("measurements", "identifier", "listen")],
)
def test_the_programs_own_keep_their_names_and_stand_first(
    beside_own: Plugins, hook: str, own: str, brought: str
) -> None:
    listed = names(beside_own, hook)
    assert listed.count(own) == 1
    assert listed[-1] == brought
    assert failures(beside_own) == [
        f"its {hook[:-1]} '{own}': the name is used by the plugin 'checkup' already"
    ]
