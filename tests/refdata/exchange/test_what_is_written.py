"""What goes into an exchange file: the whole or a selection, and nothing that was left out on purpose."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

import knowngood_refdata.exchange
from knowngood_refdata.exchange import EVERYTHING, What, export_library, import_library
from knowngood_refdata.exchange.kinds import KINDS, LEFT_OUT, STAMPS
from knowngood_refdata.models import Base
from knowngood_refdata.queries import readings, sessions, vehicles
from knowngood_refdata.store import Store, StoreError

if TYPE_CHECKING:
    from collections.abc import Callable

README = Path(knowngood_refdata.exchange.__file__).with_name("README.md")


def told(path: Path) -> dict[str, list[dict[str, Any]]]:
    """The records of a file by kind."""
    found: dict[str, list[dict[str, Any]]] = {}
    for one in json.loads(path.read_text("utf-8"))["records"]:
        found.setdefault(one["record"], []).append(one)
    return found


def test_no_column_of_the_library_is_left_out_by_accident() -> None:
    tables = {one.model.__tablename__ for one in KINDS}
    assert tables == set(Base.metadata.tables)
    for kind in KINDS:
        told_of = {one.column for one in kind.all_fields} | LEFT_OUT | {"id"}
        assert set(kind.model.__table__.c.keys()) <= told_of, kind.name


def test_the_description_names_every_kind_and_every_field() -> None:
    text = README.read_text("utf-8")
    described = dict(re.findall(r"^### (.+)\n((?:(?!^#).*\n)*)", text, re.MULTILINE))
    for kind in KINDS:
        assert kind.name in described, kind.name
        for field in kind.fields:
            assert f"`{field.name}`" in described[kind.name], f"{kind.name}: {field.name}"
    for field in STAMPS:
        assert f"`{field.name}`" in text


def test_what_was_removed_stays_at_home_unless_asked_for(full: Store, tmp_path: Path) -> None:
    session = sessions.info(full, 1)
    sessions.remove(full, 1, session.version, "another customer's")
    export_library(full, tmp_path / "a.json")
    found = told(tmp_path / "a.json")
    assert [one["shows"] for one in found["picture"]] == ["charge label"]
    assert [one["title"] for one in found["session"]] == ["whose?", "the end"]
    assert [one["name"] for one in found["log file"]] == ["b.csv"]
    assert {one["session"] for one in found["channel"]} == {2}
    assert [one.get("session") for one in found["reading"]] == [None] * 3
    assert "change" not in found
    export_library(full, tmp_path / "b.json", what=EVERYTHING)
    assert len(told(tmp_path / "b.json")["picture"]) == 2


def test_a_chosen_vehicle_goes_with_all_that_is_its_own_and_nothing_else(
    full: Store, empty: Store, tmp_path: Path
) -> None:
    export_library(full, tmp_path / "a.json", what=What(vehicle_ids=frozenset({1})))
    found = told(tmp_path / "a.json")
    assert [one["name"] for one in found["maker"]] == ["Tarn"]
    assert [one["model"] for one in found["vehicle"]] == ["Skerry"]
    assert {one["vehicle"] for one in found["spec value"]} == {1}
    assert [one["title"] for one in found["session"]] == ["Season check"]
    assert [one["name"] for one in found["log file"]] == ["log.csv"]
    assert [one.get("family") for one in found["performance table"]] == [1]
    assert len(found["reading"]) == 3
    assert "column meaning" not in found
    import_library(empty, tmp_path / "a.json")
    assert (vehicles.count(empty), len(readings.readings(empty, 1))) == (1, 3)


@pytest.mark.parametrize(
    ("what", "gone"),
    [
        (What(pictures=False), {"picture"}),
        (What(sessions=False), {"session", "log file", "channel", "samples", "steady window", "event"}),
        (What(readings=False), {"reading", "reading value"}),
    ],
)
def test_pictures_sessions_and_readings_can_stay_at_home(
    full: Store, empty: Store, tmp_path: Path, what: What, gone: set[str]
) -> None:
    counts = export_library(full, tmp_path / "a.json", what=what)
    assert not gone & counts.keys()
    assert gone <= export_library(full, tmp_path / "b.json").keys()
    import_library(empty, tmp_path / "a.json")
    assert vehicles.count(empty) == 2


class StoppedError(Exception):
    pass


def test_an_export_that_is_stopped_leaves_what_stood_at_its_place(full: Store, tmp_path: Path) -> None:
    path = tmp_path / "a.json"
    path.write_text("the export of yesterday", "utf-8")

    def stop(_: float) -> None:
        raise StoppedError

    with pytest.raises(StoppedError):
        export_library(full, path, progress=stop)
    assert path.read_text("utf-8") == "the export of yesterday"
    assert [one.name for one in tmp_path.iterdir() if "json" in one.name] == ["a.json"]


def test_a_place_that_cannot_be_written_is_told_in_words(full: Store, tmp_path: Path) -> None:
    with pytest.raises(StoreError, match=r"cannot be written.*still stands"):
        export_library(full, tmp_path / "none" / "a.json")


def test_progress_rises_to_one_both_ways(
    full: Store, empty: Store, tmp_path: Path, png: Callable[[int, int], bytes]
) -> None:
    out: list[float] = []
    back: list[float] = []
    export_library(full, tmp_path / "a.json", progress=out.append)
    import_library(empty, tmp_path / "a.json", progress=back.append)
    for fractions in (out, back):
        assert fractions == sorted(fractions)
        assert fractions[-1] == 1.0
    assert len(back) > 5
