"""Which files can be followed: text tables; what is read as a whole is refused with a reason."""

from __future__ import annotations

import gzip
import io
import zipfile
from dataclasses import dataclass

import pytest

from knowngood_refdata.logs import LogTable, LogUnreadable
from knowngood_sessions.core.following import followable
from knowngood_sessions.core.following.followable import why_not_followed

TEXT = b"Time (s),P_low (psig)\n0,30.1\n"


def zipped(name: str) -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as packed:
        packed.writestr(name, TEXT)
    return file.getvalue()


@dataclass(frozen=True)
class FleetReader:
    name: str = "Fleet telematics"
    general: bool = False
    read_part: None = None

    def claims(self, head: bytes, _name: str) -> bool:
        return head.startswith(b"FLEET")

    def read(self, _data: bytes, _name: str, _proceed: object) -> LogTable:
        raise LogUnreadable("not asked here")


def test_a_text_table_can_be_followed_from_its_first_byte_on() -> None:
    for begun in (b"", TEXT[:3], TEXT, TEXT.decode().encode("utf-16")):
        assert why_not_followed(begun, "bay 3.csv", (FleetReader(),)) == ""


@pytest.mark.parametrize(
    ("data", "name", "told"),
    [
        (gzip.compress(TEXT), "bay 3.csv.gz", "is packed"),
        (zipped("bay 3.csv"), "bay 3.zip", "is packed"),
        (zipped("xl/workbook.xml"), "bay 3.xlsx", "of the format 'Workbook'"),
        (b"FLEET 2\n" + TEXT, "bay 3.csv", "of the format 'Fleet telematics'"),
    ],
)
def test_a_file_that_is_read_as_a_whole_is_refused_with_what_to_do(data: bytes, name: str, told: str) -> None:
    words = why_not_followed(data, name, (FleetReader(),) if data.startswith(b"FLEET") else ())
    assert told in words
    assert words.endswith("Import it once the logger has finished it.")


def test_a_log_that_would_take_too_much_memory_is_not_followed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(followable, "LARGEST_BYTES", 20)
    assert "logs up to 0 MB are followed" in why_not_followed(TEXT, "bay 3.csv")
