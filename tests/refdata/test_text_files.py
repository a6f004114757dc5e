"""From the bytes of a file to its text."""

from __future__ import annotations

import pytest

from knowngood_refdata.text_files import MIXED, FileText, TextFault, TextUnreadable, decode


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "cp1252"]
)
def test_a_text_is_the_same_in_every_encoding(encoding: str) -> None:
    text = "Fahrzeug;Füllmenge\nTarn Skerry;470\n"
    assert decode(text.encode(encoding), 1_000).utf8.decode() == text


def test_line_ends_of_every_kind_become_plain() -> None:
    assert decode(b"a\r\nb\rc\n", 100).utf8 == b"a\nb\nc\n"


def test_lines_of_two_encodings_are_told_apart_only_when_asked() -> None:
    data = "Tärn\n".encode() + "Fén\n".encode("cp1252")
    assert decode(data, 100, line_by_line=True) == FileText("Tärn\nFén\n".encode(), MIXED)
    assert decode(data, 100).utf8.decode() == "TÃ¤rn\nFén\n"


def test_a_file_of_one_encoding_is_not_called_mixed() -> None:
    assert decode("Fén\nTarn\n".encode("cp1252"), 100, line_by_line=True).encoding == "cp1252"


@pytest.mark.parametrize(
    ("data", "fault"),
    [
        (b"", TextFault.EMPTY),
        (b"\xff\xfe \0\n\0", TextFault.BLANK),
        (b"x" * 101, TextFault.TOO_LARGE),
        (b"PK\x03\x04...", TextFault.OTHER_FILE),
        (b"\xff\xfea\0\x00\xd8", TextFault.DAMAGED),
        (bytes(range(1, 32)) * 3, TextFault.BINARY),
    ],
)
def test_what_is_no_text_says_which_fault_it_is(data: bytes, fault: TextFault) -> None:
    with pytest.raises(TextUnreadable) as caught:
        decode(data, 100)
    assert caught.value.fault is fault
    assert str(caught.value).endswith(".")
