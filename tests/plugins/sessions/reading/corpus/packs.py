"""Packed files and workbooks that are not as they should be: damaged, too large, with several logs."""

from __future__ import annotations

import bz2
import gzip
import io
import tarfile
import zipfile
from typing import TYPE_CHECKING

import xlsxwriter
from tests.plugins.sessions.reading.corpus.made import COUNT, HEADER, Case, cells, joined, lines

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

GOOD = joined(lines())


def zipped(files: Mapping[str, bytes]) -> bytes:
    """A zip file."""
    into = io.BytesIO()
    with zipfile.ZipFile(into, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return into.getvalue()


def tarred() -> bytes:
    """A tar file that is packed with gzip."""
    into = io.BytesIO()
    with tarfile.open(fileobj=into, mode="w:gz") as archive:
        member = tarfile.TarInfo("log.csv")
        member.size = len(GOOD)
        archive.addfile(member, io.BytesIO(GOOD))
    return into.getvalue()


def book(sheets: Mapping[str, Sequence[Sequence[object]]]) -> bytes:
    """A workbook."""
    into = io.BytesIO()
    with xlsxwriter.Workbook(into, {"in_memory": True}) as written:
        for name, rows in sheets.items():
            sheet = written.add_worksheet(name)
            for index, row in enumerate(rows):
                sheet.write_row(index, 0, row)
    return into.getvalue()


def rows() -> list[list[object]]:
    """The rows of a good log as numbers."""
    numbers: list[list[object]] = [[float(cell) for cell in cells(row)] for row in range(COUNT)]
    return [list(HEADER), *numbers]


ODS_HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?><office:document-content '
    'xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
    'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
    'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"><office:body><office:spreadsheet>'
    '<table:table table:name="Run">'
)
ODS_END = "</table:table></office:spreadsheet></office:body></office:document-content>"
ODS_MANIFEST = (
    '<?xml version="1.0"?><manifest:manifest '
    'xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"><manifest:file-entry '
    'manifest:full-path="/" manifest:media-type="application/vnd.oasis.opendocument.spreadsheet"/>'
    "</manifest:manifest>"
)


def ods(body: str, end: str = ODS_END, head: str = ODS_HEAD) -> bytes:
    """An OpenDocument sheet with some rows."""
    into = io.BytesIO()
    with zipfile.ZipFile(into, "w", zipfile.ZIP_DEFLATED) as archive:
        kind = "application/vnd.oasis.opendocument.spreadsheet"
        archive.writestr("mimetype", kind, compress_type=zipfile.ZIP_STORED)
        archive.writestr("META-INF/manifest.xml", ODS_MANIFEST)
        archive.writestr("content.xml", head + body + end)
    return into.getvalue()


def ods_row(row: Sequence[object]) -> str:
    """A row of an OpenDocument sheet."""
    written = (
        f'<table:table-cell office:value-type="float" office:value="{cell!r}"/>'
        if isinstance(cell, float)
        else f'<table:table-cell office:value-type="string"><text:p>{cell}</text:p></table:table-cell>'
        for cell in row
    )
    return f"<table:table-row>{''.join(written)}</table:table-row>"


def packs() -> Iterator[Case]:
    """All of them."""
    yield from zips()
    yield from books()
    yield from open_documents()


def zips() -> Iterator[Case]:
    packed = gzip.compress(GOOD)
    yield Case("packed with gzip", packed)
    yield Case("packed with gzip in two parts", gzip.compress(GOOD[:999]) + gzip.compress(GOOD[999:]))
    for kept in (2, 9, 10, 40, len(packed) - 4):
        yield Case(f"the first {kept} bytes of a gzip file", packed[:kept], "Nothing was imported")
    yield Case("a gzip file with something behind it", packed + b"\0" * 64)
    yield Case("a gzip file with a wrong sum", packed[:-8] + b"\0\0\0\0" + packed[-4:], "damaged")
    yield Case("a gzip file packed twice", gzip.compress(packed), "packed once more")
    yield Case("a gzip file of 150,000 parts", gzip.compress(b"") * 150_000, "more than 100,000 parts")
    yield Case(
        "a gzip file that grows without end", gzip.compress(GOOD + b"\n" * 25_000_000), "200 times its size"
    )
    yield Case("packed with zip", zipped({"log.csv": GOOD}))
    yield Case("two logs in a zip file", zipped({"a.csv": GOOD, "b.csv": GOOD}), "2 logs: 'a.csv', 'b.csv'")
    yield Case(
        "a log beside a picture in a zip file",
        zipped({"a.png": b"\x89PNG" * 99, "b.csv": GOOD}),
        told="not read: a.png",
    )
    yield Case("a zip file without a file", zipped({}), "holds no file")
    yield Case("a zip file with empty files", zipped({"a.csv": b"", "b.csv": b""}), "holds no file")
    yield Case("a zip file in a zip file", zipped({"a.zip": zipped({"log.csv": GOOD})}), "packed once more")
    yield Case("names that lead out of the folder", zipped({"../../log.csv": GOOD}))
    yield Case(
        "1,500 files in a zip file", zipped({f"{at}.csv": b"x" for at in range(1_500)}), "at most 1,000"
    )
    yield Case("a workbook in a zip file", zipped({"run.xlsx": book({"Run": rows()})}))
    for kept in (4, 30, 400, -30):
        yield Case(f"a zip file cut at {kept}", zipped({"log.csv": GOOD})[:kept], "Nothing was imported")
    yield Case("packed with bzip2", bz2.compress(GOOD), "binary")
    yield Case("a tar file packed with gzip", tarred(), "Nothing was imported")


def books() -> Iterator[Case]:
    good = book({"Run": rows()})
    yield Case("a workbook", good, file_name="log.xlsx")
    yield Case("a workbook called a text", good)
    yield Case("two logs in a workbook", book({"A": rows(), "B": rows()}), "2 logs, on the sheets")
    yield Case("a workbook without a log", book({"Notes": [["Recorded in bay 3"]]}), "No sheet")
    yield Case("an empty workbook", book({"Run": []}), "No sheet")
    wide = [[*row, 9] for row in rows()[1:]]
    yield Case(
        "a cell more than the header in every row of a workbook",
        book({"Run": [rows()[0], *wide]}),
        "names 5 columns but the rows have 6",
    )
    odd = [[*row, 9] if at == 60 else row for at, row in enumerate(rows())]
    yield Case(
        "a cell more than the header in one row of a workbook", book({"Run": odd}), "Nothing was imported"
    )
    lacking = [row[:3] if at == 60 else row for at, row in enumerate(rows())]
    yield Case("cells missing at the end of a row of a workbook", book({"Run": lacking}))
    words = [[*row[:2], "lost", *row[3:]] if at == 60 else row for at, row in enumerate(rows())]
    yield Case("a word among the numbers of a workbook", book({"Run": words}), told="no number")
    yield Case(
        "numbers as text in a workbook",
        book({"Run": [rows()[0], *([str(one) for one in row] for row in rows()[1:])]}),
    )
    again = rows()
    yield Case(
        "the header once more in a workbook",
        book({"Run": [*again[:61], again[0], *again[61:]]}),
        told="once more",
    )
    turned = [[row[0], *reversed(row[1:])] for row in rows()]
    yield Case(
        "another header in a workbook", book({"Run": [*again[:61], turned[0], *turned[61:]]}), "second header"
    )
    for kept in (64, 3_000, -200):
        yield Case(f"a workbook cut at {kept}", good[:kept], "Nothing was imported")
    for place in range(800, len(good) - 800, (len(good) - 1_600) // 8):
        flipped = bytearray(good)
        flipped[place] ^= 0xFF
        yield Case(
            f"a workbook with a byte flipped at {place * 100 // len(good)} %", bytes(flipped), either=True
        )
    text = "x" * 30_000
    long_text = [[float(at), 30.5, text] for at in range(20_000)]
    yield Case(
        "one long text in 20,000 cells",
        book({"Run": [["Time (s)", "P low (psig)", "Note"], *long_text]}),
        "more than 200 MB",
    )
    yield Case("250 sheets", book({f"S{at}": [["x"]] for at in range(250)}), "at most 200")
    yield Case(
        "an old workbook without anything",
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 4_000,
        "Nothing was imported",
    )


def open_documents() -> Iterator[Case]:
    body = "".join(map(ods_row, rows()))
    yield Case("an OpenDocument sheet", ods(body))
    yield Case("an OpenDocument sheet broken off", ods(body[: len(body) // 2], ""), "Nothing was imported")
    yield Case("an OpenDocument sheet of nothing", ods(""), "No sheet")
    unclosed = '<table:table-row table:number-rows-repeated="12">' * 200_000
    yield Case("200,000 rows that are never closed", ods(unclosed), "Nothing was imported")
    for count in ("9000000", "90000"):
        cell = '<table:table-cell office:value-type="string">'
        content = f"<text:p>{'x' * 30_000}</text:p></table:table-cell></table:table-row>"
        repeated = f'<table:table-row table:number-rows-repeated="{count}">{cell}{content}'
        yield Case(f"a row repeated {count} times", ods(ods_row(HEADER) + repeated), "more than")
    entities = '<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]>'
    head = ODS_HEAD.replace("?><", f"?>{entities}<", 1)
    expanding = ods(ods_row(["&b;" * 100, *HEADER[1:]]) + body, head=head)
    yield Case("entities that stand for each other", expanding, either=True)
