"""What the guide for writers of plugins names is there under that name."""

from __future__ import annotations

import importlib
import re
from dataclasses import fields
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import knowngood.testing
from knowngood.api import Host
from knowngood.authoring.reading import PUBLIC
from knowngood.host import WindowHost

if TYPE_CHECKING:
    from collections.abc import Iterator

GUIDE = (Path(__file__).resolve().parents[3] / "plugins" / "README.md").read_text(encoding="utf-8")
TEXT = re.sub(r"```.*?```", "", GUIDE, flags=re.DOTALL)


def named(pattern: str) -> list[str]:
    return sorted(set(re.findall(pattern, TEXT)))


def steps(place: str) -> Iterator[object]:
    """The object that a dotted name stands for, after each of its parts."""
    top, *parts = place.split(".")
    found: object = importlib.import_module(top)
    name = top
    for part in parts:
        name = f"{name}.{part}"
        found = getattr(found, part) if hasattr(found, part) else importlib.import_module(name)
        yield found


@pytest.mark.parametrize("place", named(r"`(knowngood(?:_refdata)?(?:\.\w+)+)`"))
def test_a_module_or_record_that_the_guide_names_can_be_imported(place: str) -> None:
    assert all(one is not None for one in steps(place))
    top, first, *_ = place.split(".")
    assert top != "knowngood" or first in PUBLIC


def test_a_door_of_the_host_that_the_guide_names_is_open() -> None:
    doors = named(r"`host\.(\w+)")
    assert {"store", "bench", "units", "tasks", "drafts"} <= set(doors)
    promised = set(Host.__annotations__) | set(dir(Host))
    kept = {one.name for one in fields(WindowHost)} | set(dir(WindowHost))
    assert set(doors) - promised == set()
    assert set(doors) - kept == set()


def test_a_fixture_that_the_guide_names_is_one() -> None:
    (sentence,) = re.findall(r"The fixtures (.*?) come from `knowngood\.testing`", TEXT)
    names = set(re.findall(r"`(\w+)`", sentence))
    assert names == {"host", "store", "bench", "settle", "load"}
    assert all(callable(getattr(knowngood.testing, name)) for name in names)
