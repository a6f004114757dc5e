"""Derived channels of plugins: asked once a refrigerant, checked, and what they work out looked at."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood.loader import PluginFailed

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .conftest import Load, Put

HEAD = """
import numpy as np
from knowngood.api import DerivedChannel, hookimpl
from knowngood_refdata.quantities import Kind

def double(given):
    return 2.0 * given["vent"]

def channel(compute=double, name="twice", needs=("vent",), kind=Kind.TEMPERATURE, title="Twice the vent"):
    return DerivedChannel(name, title, kind, needs, compute)
"""
VENT = {"vent": np.array([280.0, np.nan, 282.0])}


def test_a_plugins_channel_arrives_once_a_refrigerant_and_works_out_its_samples(put: Put, load: Load) -> None:
    put(
        "fleet.py",
        """
        asked = []

        @hookimpl
        def derived_channels(refrigerant):
            asked.append(refrigerant)
            return [channel(title=f"{refrigerant} {len(asked)}")]
        """,
        head=HEAD,
    )
    plugins = load()
    plugins.derived_channels("R-134a")
    assert [one.title for one in plugins.derived_channels("R-1234yf")] == ["R-1234yf 2"]
    (brought,) = plugins.derived_channels("R-134a")
    assert brought.title == "R-134a 1"
    assert brought.compute(VENT) == pytest.approx(np.array([560.0, np.nan, 564.0]), nan_ok=True)
    assert [one.contributions for one in plugins.status()] == [("derived channels",)]


def test_a_plugin_that_does_not_care_for_the_refrigerant_need_not_ask_for_it(put: Put, load: Load) -> None:
    put("plain.py", "@hookimpl\ndef derived_channels():\n    return [channel()]", head=HEAD)
    assert [one.name for one in load().derived_channels("R-134a")] == ["twice"]


@pytest.mark.parametrize(
    ("answer", "told"),
    [
        ("1/0", "ZeroDivisionError"),
        ("[3]", "returned a int in the place of a DerivedChannel"),
        ("[channel(name=' ')]", "it needs a name and a title"),
        ("[channel(name='high side')]", "the name is used by recorded channels already"),
        ("[channel(), channel()]", "the name is used by the plugin 'broken' already"),
        ("[channel(kind='temperature')]", "the kind is a str, not a Kind"),
        ("[channel(needs='vent')]", "what it needs is a str, not a tuple"),
        ("[channel(needs=(3,))]", "a name that it needs is a int, not a str"),
        ("[channel(needs=())]", "it names no channel that it needs"),
        ("[channel(needs=('twice',))]", "it needs itself"),
        ("[channel(compute=None)]", "compute is None, which cannot be called"),
    ],
)
def test_a_wrong_channel_is_the_plugins_failure_in_words(
    put: Put, load: Load, answer: str, told: str
) -> None:
    put("broken.py", f"@hookimpl\ndef derived_channels():\n    return {answer}", head=HEAD)
    put("healthy.py", "@hookimpl\ndef derived_channels():\n    return [channel()]", head=HEAD)
    plugins = load()
    assert [one.name for one in plugins.derived_channels("R-134a")] == ["twice"]
    noted = {one.name: [failure.words for failure in one.failures] for one in plugins.status()}
    assert noted["healthy"] == []
    assert told in noted["broken"][0]


@pytest.mark.parametrize(
    ("work", "told"),
    [
        ("given['ambient']", "KeyError"),
        ("exit()", "wanted to end the program"),
        ("[1.0, 2.0, 3.0]", "worked out a list, not an array of real numbers"),
        ("np.array([1, 2, 3])", "worked out an array of int64"),
        ("given['vent'][:2]", r"worked out the shape \(2,\) for samples of the shape \(3,\)"),
        ("np.full(3, np.inf)", "worked out infinite values"),
        ("given['vent'].sort() or given['vent']", "read-only"),
    ],
)
def test_nonsense_worked_out_is_the_plugins_failure_in_words(
    put: Put, load: Load, work: str, told: str
) -> None:
    hook = f"@hookimpl\ndef derived_channels():\n    return [channel(lambda given: {work})]"
    put("broken.py", hook, head=HEAD)
    plugins = load()
    (brought,) = plugins.derived_channels("R-134a")
    for _ in range(2):
        with pytest.raises(PluginFailed, match=told):
            brought.compute(VENT)
    (status,) = plugins.status()
    assert [one.during for one in status.failures] == ["working out 'Twice the vent'"]


def test_a_channel_is_given_what_it_names_and_nothing_else(put: Put, load: Load) -> None:
    work = "np.full(3, float(len(given)))"
    hook = f"@hookimpl\ndef derived_channels():\n    return [channel(lambda given: {work})]"
    put("curious.py", hook, head=HEAD)
    given: dict[str, NDArray[np.float64]] = {**VENT, "ambient": np.zeros(3)}
    (brought,) = load().derived_channels("R-134a")
    assert brought.compute(given).tolist() == [1.0, 1.0, 1.0]
