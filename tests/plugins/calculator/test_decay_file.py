"""A vacuum record from a file: its letters in any usual coding, and words where there is none."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from knowngood_calculator.core.decay_file import MOST_BYTES, record_text
from knowngood_calculator.core.decay_text import DecayUnreadable

if TYPE_CHECKING:
    from pathlib import Path

TEXT = "Zeit (min); Prüfdruck (mbar)\r\n0; 0,50\r\n1; 0,62\r\n"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_a_text_in_any_usual_coding_comes_out_the_same(tmp_path: Path, encoding: str) -> None:
    path = tmp_path / "hold.txt"
    path.write_bytes(TEXT.encode(encoding))
    assert record_text(path) == TEXT


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"\x89PNG\r\n\x1a\n\x00\x00", "holds no text"),
        (b"", "is empty"),
        (b"\xff\xfe1", "breaks off"),
        (b"1; 300\n" * (MOST_BYTES // 7 + 1), "kB"),
    ],
)
def test_what_is_no_text_is_told_in_words(tmp_path: Path, content: bytes, words: str) -> None:
    path = tmp_path / "hold.txt"
    path.write_bytes(content)
    with pytest.raises(DecayUnreadable, match=words):
        record_text(path)


@pytest.mark.parametrize("name", ["missing.csv", "."])
def test_what_cannot_be_opened_is_told_in_words(tmp_path: Path, name: str) -> None:
    with pytest.raises(DecayUnreadable, match="cannot be read"):
        record_text(tmp_path / name)


@given(content=st.binary(max_size=200))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_bytes_give_a_text_or_words(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "any.bin"
    path.write_bytes(content)
    try:
        told = record_text(path)
    except DecayUnreadable as error:
        told = str(error)
    assert told.strip()
