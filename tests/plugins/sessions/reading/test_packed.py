"""Packed files: one log inside, several, none, locked, damaged, and those that unpack to far too much."""

from __future__ import annotations

import gzip
import io
import zipfile
from typing import TYPE_CHECKING

import pytest

from knowngood_refdata.logs import LogUnreadable, SeveralLogs
from knowngood_sessions.core.reading import text
from knowngood_sessions.core.reading.choosing import read_any

if TYPE_CHECKING:
    from collections.abc import Callable

LOG = "Time (s),P low (psig),P high (psig)\n" + "".join(f"{n},{30 + n % 3},150\n" for n in range(60))
OTHER = LOG.replace("150", "170")


def zipped(**files: str | bytes) -> bytes:
    into = io.BytesIO()
    with zipfile.ZipFile(into, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name.replace("__", "/").replace("_", "."), content)
    return into.getvalue()


def refusal(data: bytes, part: str = "") -> str:
    with pytest.raises(LogUnreadable) as caught:
        read_any(data, "log.zip", part=part)
    return str(caught.value)


@pytest.mark.parametrize(
    ("data", "name"),
    [
        (gzip.compress(LOG.encode()), "run.csv.gz"),
        (gzip.compress(LOG[:400].encode()) + gzip.compress(LOG[400:].encode()), "run.csv.gz"),
        (zipped(run_csv=LOG), "run.zip"),
        (zipped(folder__run_csv=LOG), "run.zip"),
        (zipped(run_csv=LOG.encode("utf-16")), "run.zip"),
    ],
)
def test_the_log_in_a_packed_file_is_read_under_the_name_of_the_file(data: bytes, name: str) -> None:
    table = read_any(data, name)
    assert table.source_name == name
    assert table.column("P low").numbers[:4].tolist() == [30, 31, 32, 30]


def test_a_text_beside_the_log_is_left_and_told() -> None:
    table = read_any(zipped(readme_txt="Recorded on a wet day.\n", run_csv=LOG), "run.zip")
    assert table.notices[0].text == "Read was run.csv; not read: readme.txt."


def test_what_an_operating_system_adds_is_no_file_of_the_log() -> None:
    into = io.BytesIO(zipped(run_csv=LOG))
    with zipfile.ZipFile(into, "a") as archive:
        archive.writestr("__MACOSX/._run.csv", b"\0\1\2")
        archive.writestr(".hidden", b"x")
    assert read_any(into.getvalue(), "run.zip").notices == ()


def test_several_logs_are_named_and_one_of_them_is_read() -> None:
    data = zipped(a_csv=LOG, b_csv=OTHER)
    with pytest.raises(SeveralLogs, match=r"2 logs: 'a\.csv', 'b\.csv'\..* choose one") as caught:
        read_any(data, "run.zip")
    table = read_any(data, "run.zip", part=caught.value.parts[1])
    assert table.column("P high").numbers[0] == 170
    assert table.part == "b.csv"


def test_a_part_that_is_not_there_is_refused() -> None:
    assert "no file called 'c.csv'" in refusal(zipped(a_csv=LOG, b_csv=OTHER), "c.csv")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (zipped(a_txt="some words\n", b_txt="more\n"), "None of the 2 files"),
        (zipped(), "holds no file"),
        (zipped(a_zip=zipped(run_csv=LOG)), "packed once more"),
        (gzip.compress(gzip.compress(LOG.encode())), "packed once more"),
        (gzip.compress(LOG.encode())[:-20], "broken off"),
        (gzip.compress(LOG.encode())[:30] + b"\xff" * 90, "damaged"),
        (zipped(run_csv=LOG)[:-40], "damaged"),
        (zipped(run_csv=LOG).replace(b"\x08\x00", b"\x63\x00"), "damaged"),
    ],
)
def test_a_packed_file_without_a_log_is_refused_in_words(data: bytes, words: str) -> None:
    text = refusal(data)
    assert words in text
    assert "Nothing was imported" in text


def test_a_file_packed_with_a_password_is_refused() -> None:
    data = bytearray(zipped(run_csv=LOG))
    for start in (data.index(b"PK\x03\x04") + 6, data.index(b"PK\x01\x02") + 8):
        data[start] |= 1
    assert "password" in refusal(bytes(data))


def zipped_log(content: bytes) -> bytes:
    return zipped(run_csv=content)


@pytest.mark.parametrize("pack", [gzip.compress, zipped_log])
def test_a_file_that_unpacks_to_hundreds_of_times_its_size_is_refused(pack: Callable[[bytes], bytes]) -> None:
    data = pack(LOG.encode() + b"60,30,150\n" * 6_000_000)
    assert len(data) < 1_000_000
    assert "200 times its size" in refusal(data)


def test_a_file_that_unpacks_beyond_the_bound_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(text, "LARGEST_BYTES", 600)
    assert "unpacks to more than" in refusal(gzip.compress(LOG.encode()))


def test_a_damaged_sum_is_noticed() -> None:
    data = bytearray(gzip.compress(LOG.encode()))
    data[-8] ^= 0xFF
    assert "damaged" in refusal(bytes(data))
