"""What is wrong with an exchange file is said with its place, and nothing of the file is stored."""

from __future__ import annotations

import base64
import json
from shutil import copy
from typing import TYPE_CHECKING, Any

import pytest
import zstandard
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import func, select

from knowngood_refdata.exchange import UnfitFile, import_library
from knowngood_refdata.models import Audit, SpecValueRow
from knowngood_refdata.queries import imports, sessions, vehicles
from knowngood_refdata.store import Store, StoreError

if TYPE_CHECKING:
    from pathlib import Path

MAKER = {"record": "maker", "id": 1, "name": "Tarn"}
VEHICLE = {
    "record": "vehicle", "id": 7, "maker": 1, "make": "Tarn", "model": "Skerry", "year_from": 2021,
}  # fmt: skip
VALUE = {
    "record": "spec value", "id": 3, "vehicle": 7, "field": "charge", "value": 0.47, "as_printed": "470 g",
    "source_kind": "under-hood label", "citation": "label",
}  # fmt: skip
HEAD = b'{"format": "knowngood library", "version": 1, "records": [\n'
DECISION = {
    "record": "decision", "id": 1, "vehicle": 7, "field": "charge", "spec value": 3, "why": "recall",
}  # fmt: skip
SMALL = (MAKER, VEHICLE, VALUE)


def written(path: Path, *records: dict[str, Any], **head: object) -> Path:
    start = {"format": "knowngood library", "version": 1, **head}
    lines = ",\n".join(json.dumps(one) for one in records)
    path.write_text(f'{json.dumps(start)[:-1]}, "records": [\n{lines}\n]}}\n', "utf-8")
    return path


def refused(store: Store, path: Path) -> str:
    """Import a file that must be refused; what was said."""
    with pytest.raises(UnfitFile) as caught:
        import_library(store, path)
    assert (vehicles.count(store), imports.imports(store)) == (0, ())
    assert "Nothing was imported" in str(caught.value)
    return str(caught.value)


def test_a_file_written_by_hand_needs_only_what_it_has_to_say(store: Store, tmp_path: Path) -> None:
    taken = import_library(store, written(tmp_path / "a.json", *SMALL))
    assert taken.added == {"maker": 1, "vehicle": 1, "spec value": 1}
    (found,) = vehicles.search(store, "skerry")
    value = found.specs["charge"][0]
    assert (value.value, value.as_printed, value.entered_by) == (0.47, "470 g", "Ada Fell")


def test_of_a_file_with_one_misfit_neither_database_keeps_anything(store: Store, tmp_path: Path) -> None:
    many = [{**VALUE, "id": number} for number in range(3, 2_500)]
    path = written(tmp_path / "a.json", MAKER, VEHICLE, *many, {**VALUE, "id": 2_500, "value": "much"})
    assert "Line 2501, spec value 2500, 'value'" in refused(store, path)
    with store.reading() as session:
        assert session.scalar(select(func.count()).select_from(SpecValueRow)) == 0
        assert session.scalar(select(func.count()).select_from(Audit)) == 0


@pytest.mark.parametrize(
    ("record", "words"),
    [
        ({**VALUE, "value": "much"}, "Line 5, spec value 3, 'value': a number was expected, and 'much'"),
        ({**VALUE, "value": True}, "'value': a number was expected"),
        ({**VALUE, "value": 10**400}, "'value': a finite number was expected"),
        ({**VALUE, "citation": 5}, "'citation': a text was expected"),
        ({**VALUE, "citation": "a\0b"}, "'citation': the text holds a NUL"),
        ({**VALUE, "citation": "\ud800"}, "'citation': the text holds half a character"),
        ({**VALUE, "source_kind": "hearsay"}, "'source_kind': 'hearsay' is not known; known are bulletin"),
        ({**VALUE, "vehicle": 8}, "'vehicle': no vehicle 8 stands before it"),
        ({**VALUE, "colour": "red"}, "'colour' is not known here"),
        ({**VALUE, "entered_at": "yesterday"}, "'entered_at': a time, as 2025"),
        ({**VALUE, "entered_at": "2025-06-02T09:00:00"}, "'entered_at': a time with its zone"),
        ({**VALUE, "entered_at": "0001-01-01T00:00:00+14:00"}, "'entered_at': a time, as 2025"),
        ({**VALUE, "id": "3"}, "'id': a whole number"),
        ({**VEHICLE, "id": 8, "year_from": 3021}, "Line 5, vehicle 8: the years 3021"),
        ({**VEHICLE, "id": 8, "year_from": 2021.0}, "'year_from': a whole number up to 2147483647"),
        ({**VEHICLE, "id": 8, "year_from": 10**12}, "'year_from': a whole number up to 2147483647"),
        ({**VEHICLE, "id": 8, "model": " "}, "a vehicle needs a make and a model"),
        (VEHICLE, "Line 5, vehicle 7: the id 7 stands there a second time"),
        ({"record": "spaceship"}, "Line 5: there is no record of the kind 'spaceship'"),
        ({"record": ["maker"]}, "there is no record of the kind"),
        ({key: value for key, value in VALUE.items() if key != "vehicle"}, "'vehicle' is missing"),
        ({**DECISION, "field": "oil"}, "Decision 1: it is for a value of another vehicle or another field"),
        ({**DECISION, "spec value": 4}, "'spec value': no spec value 4 stands before it"),
    ],
)  # fmt: skip
def test_a_record_that_does_not_fit_is_named_by_its_line_and_field(
    empty: Store, tmp_path: Path, record: dict[str, Any], words: str
) -> None:
    assert words in refused(empty, written(tmp_path / "a.json", *SMALL, record))


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "The file: it is no JSON"),
        (b"\x89PNG\r\n", "it is no exchange file"),
        (b"year,make\n2021,Tarn\n", "it is no exchange file"),
        (b'{"format": "recipes"}', "it does not say that it is a 'knowngood library'"),
        (b'{"format": "knowngood library"}', "in which version"),
        (b'{"format": "knowngood library", "version": 3, "records": []}', "version 3 of the form"),
        (b'{"format": "knowngood library", "version": 1}', "'records' is to be a list"),
        (HEAD + b'{"record": "maker"', "Line 2: it is no JSON"),
        (HEAD, "ends in the middle"),
        (HEAD + b']}\n{}', "follows after the end"),
        (HEAD + b'{"a": NaN}\n]}', "NaN is not a finite"),
        (HEAD + b'{"a": "\xff"}\n]}', "no UTF-8"),
        (HEAD + b'5\n]}', "named entries were expected"),
        (
            HEAD + b"[" * 99_999,
            "too deep",
        ),
        (
            HEAD + b'{"a": ' + b"9" * 9_999 + b"}\n]}",
            "a number cannot be read",
        ),
        (
            HEAD + b'], "counts": {"maker": 2}}',
            "it counts 2 of 'maker' and holds 0",
        ),
    ],
)  # fmt: skip
def test_a_file_that_is_no_whole_exchange_file_is_refused(
    empty: Store, tmp_path: Path, content: bytes, words: str
) -> None:
    (tmp_path / "a.json").write_bytes(content)
    assert words in refused(empty, tmp_path / "a.json")


def changed(path: Path, kind: str, /, **entries: object) -> None:
    """Change the first record of a kind in a file."""
    whole = json.loads(path.read_text("utf-8"))
    record = next(one for one in whole["records"] if one["record"] == kind)
    record.update(entries)
    path.write_text(json.dumps(whole), "utf-8")


@pytest.mark.parametrize(
    ("kind", "entries", "words"),
    [
        ("picture", {"content": base64.b64encode(b"MZ").decode()}, "it is neither PNG nor JPEG nor WebP"),
        ("picture", {"width": 9}, "of another kind or size than the record says"),
        ("picture", {"sha256": "0" * 64}, "is not what 'sha256' says"),
        ("picture", {"thumbnail": "%%"}, "'thumbnail': bytes in base64"),
        ("log file", {"sha256": "0" * 64}, "is not what 'sha256' says"),
        ("log file", {"content": "AAAA"}, "is no log file of 8 bytes"),
        ("performance table", {"content": {"version": 1, "parts": []}}, "the table is empty"),
        ("performance table", {"content": {"version": 2}}, "version 2"),
        ("performance table", {"vehicle": None}, "to one of them"),
        ("samples", {"content": "AAAA"}, "is no chunk of samples"),
        ("samples", {"number": 1}, "'number' 0 of the channel was expected"),
        ("session", {"sample_count": 4}, "has 4 samples, and its channel 1 has 3"),
        ("session", {"instruments": {"low": 1}}, "the instruments low, high, line and air"),
        ("channel", {"role": "low side"}, "the time axis, and it alone, is at position 0"),
        ("channel", {"decimals": 99}, "'decimals' lies from -1 to 6"),
        ("reading value", {"standard_uncertainty": -1}, "'standard_uncertainty' is negative"),
        ("reading", {"standing": "excellent"}, "'excellent' is not known; known are candidate, imported"),
        ("column meaning", {"mapping": {"P1": ["a\0"]}}, "NUL"),
        ("shop field", {"choices": 5}, "named entries was expected"),
        ("session", {"from_s": 1.0}, "'cut of', 'from_s' and 'until_s', all of them"),
        ("session", {"cut of": 3, "from_s": 1.0, "until_s": 2.0}, "no session 3 stands before it"),
        ("note", {"kind": "fan stage up"}, "'fan stage up' is not noted by hand"),
        ("window set by hand", {"end_s": -1.0}, "the window ends before it begins"),
        ("steady window", {"by_hand": False}, "'by_hand' where it names its 'window set by hand'"),
        ("steady window", {"behaviour": {"low side": 4}}, "the behaviour by quantity was expected"),
        ("event", {"evidence": {"from_s": 1.0}}, "a stretch of time and its channels was expected"),
        ("finding", {"found": {"fan": [1]}}, "what was found of a session as a whole was expected"),
    ],
)  # fmt: skip
def test_what_does_not_agree_with_itself_is_refused(
    empty: Store, tmp_path: Path, exported: bytes, kind: str, entries: dict[str, Any], words: str
) -> None:
    path = tmp_path / "a.json"
    path.write_bytes(exported)
    changed(path, kind, **entries)
    assert words in refused(empty, path)


def test_samples_that_would_unfold_to_gigabytes_are_refused_unfolded(
    empty: Store, tmp_path: Path, exported: bytes
) -> None:
    bomb = zstandard.compress(b"\0" * 50_000_000)
    assert len(bomb) < 10_000
    path = tmp_path / "a.json"
    path.write_bytes(exported)
    changed(path, "samples", content=base64.b64encode(bomb).decode())
    assert "no chunk of samples" in refused(empty, path)


def test_a_session_without_its_time_axis_is_refused(empty: Store, tmp_path: Path, exported: bytes) -> None:
    path = tmp_path / "a.json"
    path.write_bytes(exported)
    whole = json.loads(path.read_text("utf-8"))
    whole["records"] = [
        one
        for one in whole["records"]
        if one["record"] not in {"channel", "samples"} or one.get("session") == 2
    ]
    del whole["counts"]
    path.write_text(json.dumps(whole), "utf-8")
    assert "the session 1 has no time axis" in refused(empty, path)


def test_a_cut_without_its_original_or_of_a_cut_is_refused(
    empty: Store, tmp_path: Path, exported: bytes
) -> None:
    cut = {"id": 4, "cut of": 3, "from_s": 0.0, "until_s": 1.0}
    path = tmp_path / "a.json"
    path.write_bytes(exported)
    whole = json.loads(path.read_text("utf-8"))
    place, session = next(
        (place, one) for place, one in enumerate(whole["records"]) if one.get("id") == 3 and "cut of" in one
    )
    whole["records"].insert(place + 1, {**session, **cut})
    del whole["counts"]
    path.write_text(json.dumps(whole), "utf-8")
    assert "the session 3 is a cut itself" in refused(empty, path)
    del whole["records"][place]
    path.write_text(json.dumps(whole), "utf-8")
    assert "no session 3 stands before it" in refused(empty, path)


def test_the_same_file_is_taken_in_once_unless_it_was_taken_back(store: Store, tmp_path: Path) -> None:
    path = written(tmp_path / "a.json", *SMALL)
    taken = import_library(store, path)
    with pytest.raises(UnfitFile, match=r"was imported on .* by Ada Fell"):
        import_library(store, path)
    assert vehicles.count(store) == 1
    imports.undo_import(store, taken.batch_id, "once too early")
    import_library(store, path)
    assert vehicles.count(store) == 1


def test_makers_and_families_of_the_library_are_met_by_name(full: Store, tmp_path: Path) -> None:
    family = {"record": "family", "id": 5, "maker": 1, "name": "Tarn small"}
    path = written(
        tmp_path / "a.json", MAKER, {**MAKER, "id": 2}, family, {**VEHICLE, "maker": 2, "family": 5}
    )
    taken = import_library(full, path)
    assert (taken.met, taken.added) == ({"maker": 2, "family": 1}, {"vehicle": 1})
    first, new = vehicles.search(full, "skerry")
    assert new.family_id == first.family_id


def test_a_file_that_is_not_there_is_told_in_words(store: Store, tmp_path: Path) -> None:
    with pytest.raises(StoreError, match=r"cannot be read.*Nothing was imported"):
        import_library(store, tmp_path / "none.json")


class StoppedError(Exception):
    pass


def stop(fraction: float) -> None:
    if fraction > 0:
        raise StoppedError


def test_an_import_stopped_in_the_middle_stores_nothing(
    empty: Store, tmp_path: Path, exported: bytes
) -> None:
    (tmp_path / "a.json").write_bytes(exported)
    with pytest.raises(StoppedError):
        import_library(empty, tmp_path / "a.json", progress=stop)
    assert (vehicles.count(empty), sessions.list_sessions(empty)) == (0, ())


@given(damage=st.data())
@settings(max_examples=30, deadline=None)
def test_a_file_damaged_anywhere_is_refused_in_words_or_read(
    damage: st.DataObject, exported: bytes, made_file: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    at = damage.draw(st.integers(0, len(exported) - 1))
    cut = damage.draw(st.integers(0, 40))
    put = damage.draw(st.binary(max_size=8))
    path = tmp_path_factory.mktemp("damaged") / "a.json"
    path.write_bytes(exported[:at] + put + exported[at + cut :])
    store = Store.open(copy(made_file, path.with_name("library.sqlite")), user="Bo Tarn")
    said = ""
    try:
        import_library(store, path)
    except UnfitFile as error:
        said = str(error)
    held = vehicles.count(store), len(imports.imports(store))
    store.close()
    assert ("Nothing was imported" in said) == (held == (0, 0))
