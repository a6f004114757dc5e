"""Logs in workbooks: the sheet that holds one, several sheets, dates, and workbooks beyond the bounds."""

from __future__ import annotations

import io
import zipfile
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

import pytest
import xlsxwriter
from hypothesis import given, settings
from hypothesis import strategies as st

from knowngood_refdata.logs import LogUnreadable, SeveralLogs
from knowngood_sessions.core.mapping.mapping import apply_with_notices, propose
from knowngood_sessions.core.reading.choosing import read_any
from knowngood_sessions.core.reading.workbook import BOUNDS, cell_text

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    Sheets = Mapping[str, Sequence[Sequence[object]]]

HEADER = ["Time (s)", "P low (psig)", "P high (psig)"]
ROWS: list[list[object]] = [[float(n), 30.1 + n % 3, 150] for n in range(40)]


DECIMALS = st.integers(-(10**9), 10**9).map(lambda count: count / 1_000)
"""The writer prints sixteen digits, which is not the last bit of every number."""


def book(sheets: Sheets) -> bytes:
    into = io.BytesIO()
    with xlsxwriter.Workbook(
        into, {"in_memory": True, "default_date_format": "yyyy-mm-dd hh:mm:ss.000"}
    ) as written:
        for name, rows in sheets.items():
            sheet = written.add_worksheet(name)
            for index, row in enumerate(rows):
                sheet.write_row(index, 0, row)
    return into.getvalue()


ODS_HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?><office:document-content '
    'xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
    'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
    'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0">'
    "<office:body><office:spreadsheet>"
)
ODS_MANIFEST = (
    '<?xml version="1.0"?><manifest:manifest '
    'xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"><manifest:file-entry '
    'manifest:full-path="/" manifest:media-type="application/vnd.oasis.opendocument.spreadsheet"/>'
    "</manifest:manifest>"
)


def ods(body: str) -> bytes:
    into = io.BytesIO()
    content = f'{ODS_HEAD}<table:table table:name="Run">{body}</table:table>'
    with zipfile.ZipFile(into, "w", zipfile.ZIP_DEFLATED) as archive:
        # The standard wants it first and not compressed (OpenDocument 1.2, part 3, 3.3).
        kind = "application/vnd.oasis.opendocument.spreadsheet"
        archive.writestr("mimetype", kind, compress_type=zipfile.ZIP_STORED)
        archive.writestr("META-INF/manifest.xml", ODS_MANIFEST)
        archive.writestr(
            "content.xml", content + "</office:spreadsheet></office:body></office:document-content>"
        )
    return into.getvalue()


def ods_row(cells: Sequence[object], repeated: str = "") -> str:
    def cell(value: object) -> str:
        if isinstance(value, float):
            return f'<table:table-cell office:value-type="float" office:value="{value!r}"/>'
        return f'<table:table-cell office:value-type="string"><text:p>{value}</text:p></table:table-cell>'

    return f"<table:table-row{repeated}>{''.join(map(cell, cells))}</table:table-row>"


def refusal(data: bytes, part: str = "") -> str:
    with pytest.raises(LogUnreadable) as caught:
        read_any(data, "run.xlsx", part=part)
    return str(caught.value)


def test_the_sheet_with_the_log_is_read_with_the_rows_of_the_sheet() -> None:
    notes = [["Recorded in bay 3"], ["wet day"]]
    table = read_any(book({"Notes": notes, "Run": [["Serial", "A1"], [], HEADER, *ROWS]}), "run.xlsx")
    assert table.dialect == "workbook, sheet 'Run'"
    assert table.column("P low").numbers.tolist() == [row[1] for row in ROWS]
    assert table.lines[0] == 4
    assert "Not read: sheet 'Notes'." in table.notices[0].text


def test_an_opendocument_sheet_is_read_alike() -> None:
    body = ods_row(HEADER) + "".join(ods_row([float(n), 30.1 + n % 3, 150.0]) for n in range(40))
    empty = (
        '<table:table-row table:number-rows-repeated="1048535"><table:table-cell '
        'table:number-columns-repeated="1024"/></table:table-row>'
    )
    table = read_any(ods(body + empty), "run.ods")
    assert table.column("P low").numbers.tolist() == [row[1] for row in ROWS]


def test_several_sheets_with_logs_are_named_and_one_of_them_is_read() -> None:
    data = book({"Before": [HEADER, *ROWS], "After": [HEADER, *[[*row[:2], 171] for row in ROWS]]})
    with pytest.raises(SeveralLogs, match="2 logs, on the sheets: 'Before', 'After'"):
        read_any(data, "run.xlsx")
    table = read_any(data, "run.xlsx", part="After")
    assert table.column("P high").numbers[0] == 171
    assert table.part == "After"


def test_dates_of_a_workbook_become_the_time() -> None:
    first = datetime.fromisoformat("2024-08-14T10:42:00")
    rows = [[first + timedelta(milliseconds=500 * n), 30.1, 150] for n in range(40)]
    table = read_any(book({"Run": [["Time", *HEADER[1:]], *rows]}), "run.xlsx")
    recording, started, _ = apply_with_notices(table, propose(table).mapping)
    assert recording.time_s.tolist() == [0.5 * n for n in range(40)]
    assert started is not None
    assert started.replace(tzinfo=None) == first


def test_decimal_commas_typed_as_text_are_numbers() -> None:
    rows = [[n, f"2,{n % 10}5", 11.5] for n in range(40)]
    table = read_any(book({"Run": [HEADER, *rows]}), "run.xlsx")
    assert table.column("P low").numbers[:2].tolist() == [2.05, 2.15]


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.lists(DECIMALS | st.none(), min_size=2, max_size=2),
        min_size=4,
        max_size=15,
    ).filter(lambda rows: sum(None not in row for row in rows) >= 3)
)
def test_numbers_of_a_workbook_come_back_to_the_last_bit(rows: list[list[float | None]]) -> None:
    table = read_any(book({"Run": [HEADER, *[[float(n), *row] for n, row in enumerate(rows)]]}), "run.xlsx")
    for place, name in enumerate(("P low", "P high")):
        if all(row[place] is None for row in rows):
            continue
        column = table.column(name)
        if column.codes:
            continue
        expected = [row[place] for row in rows]
        found = [None if one != one else one for one in column.numbers.tolist()]
        assert found[: len(expected)] == expected[: len(found)]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (book({"Run": [["only words"]]}), "No sheet of the workbook holds a log"),
        (book({"Empty": []}), "No sheet of the workbook holds a log"),
        (book({"Run": [HEADER, *ROWS]})[:-500], "cannot be read as a workbook"),
        (b"\xd0\xcf\x11\xe0" + b"\0" * 3_000, "cannot be read as a workbook"),
    ],
)
def test_a_workbook_without_a_log_is_refused_in_words(data: bytes, words: str) -> None:
    text = refusal(data)
    assert words in text
    assert "Nothing was imported" in text


def test_a_sheet_that_is_not_there_is_refused() -> None:
    assert "no sheet 'Third'" in refusal(book({"Run": [HEADER, *ROWS]}), "Third")


@pytest.mark.parametrize(
    "body",
    [
        ods_row(HEADER) + ods_row([1.0, 2.0, 3.0], ' table:number-rows-repeated="40000000"'),
        ods_row(HEADER) + '<table:table-row><table:table-cell table:number-columns-repeated="16000" '
        'office:value-type="float" office:value="1"/></table:table-row>',
        ods_row(HEADER) + ods_row([1.0] * 60, ' table:number-rows-repeated="900000"'),
    ],
)
def test_values_that_repeat_themselves_beyond_the_bounds_are_refused(body: str) -> None:
    assert f"more than {BOUNDS.rows:,} rows" in refusal(ods(body))


def test_a_workbook_that_unpacks_to_far_too_much_is_refused() -> None:
    into = io.BytesIO(book({"Run": [HEADER, *ROWS]}))
    with zipfile.ZipFile(into, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/media/image1.png", b"\0" * (BOUNDS.unpacked + 1))
    assert "unpacks to more than 200 MB" in refusal(into.getvalue())


@pytest.mark.parametrize(
    ("row", "column"), [(1_048_575, 16_383), (0, 16_383), (1_000_000, 900), (60_000, 300)]
)
def test_a_cell_far_out_is_refused_before_the_sheet_is_laid_out(row: int, column: int) -> None:
    into = io.BytesIO()
    with xlsxwriter.Workbook(into, {"in_memory": True}) as written:
        sheet = written.add_worksheet("Run")
        for index, cells in enumerate([HEADER, *ROWS]):
            sheet.write_row(index, 0, cells)
        sheet.write_number(row, column, 1.0)
    assert "columns" in refusal(into.getvalue())


def test_a_time_longer_than_a_day_is_elapsed() -> None:
    assert cell_text(timedelta(hours=26, seconds=1.25)) == "26:00:01.25"
