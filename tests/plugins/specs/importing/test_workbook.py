"""Workbooks: sheets, merged cells, formulas, dates, and files that only look like one."""

from __future__ import annotations

import io
import zipfile
from datetime import date
from typing import TYPE_CHECKING

import pytest
from xlsxwriter import Workbook

from knowngood_specs.core.importing import table
from knowngood_specs.core.importing.reader import TableUnreadable, read_rows

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from xlsxwriter.worksheet import Worksheet

HEADER = ("Make", "Model", "Year", "Charge (g)")
ROWS = (("Tarn", "Skerry", 2021, 470), ("Fen", "Harrier", 2017, 680.5))


def workbook(**sheets: Callable[[Worksheet], object] | Sequence[Sequence[object]]) -> bytes:
    into = io.BytesIO()
    book = Workbook(into, {"in_memory": True})
    for name, content in sheets.items():
        sheet = book.add_worksheet(name)
        if callable(content):
            content(sheet)
        else:
            for index, row in enumerate(content):
                sheet.write_row(index, 0, row)
    book.close()
    return into.getvalue()


def refusal(data: bytes) -> str:
    with pytest.raises(TableUnreadable) as caught:
        read_rows(data, "list.xlsx")
    return str(caught.value)


def test_numbers_come_as_a_person_would_write_them_and_rows_keep_their_number() -> None:
    read = read_rows(workbook(Cars=(("Our cars",), (), HEADER, *ROWS)), "list.xlsx")
    assert read.header == HEADER
    assert [(row.number, row.cells) for row in read.rows] == [
        (4, ("Tarn", "Skerry", "2021", "470")),
        (5, ("Fen", "Harrier", "2017", "680.5")),
    ]


def test_the_sheet_that_names_most_columns_is_read_and_the_others_are_named() -> None:
    read = read_rows(
        workbook(Prices=(("Part", "Price"), ("belt", 9)), Cars=(HEADER, *ROWS), Empty=()), "list.xlsx"
    )
    assert (read.sheet, read.other_sheets) == ("Cars", ("Prices", "Empty"))
    assert any("'Prices'" in notice and "'Empty'" in notice for notice in read.notices)


def test_another_sheet_is_read_when_it_is_named() -> None:
    book = workbook(Prices=(("Part", "Price"), ("belt", 9)), Cars=(HEADER, *ROWS))
    read = read_rows(book, "list.xlsx", sheet="Prices")
    assert (read.sheet, read.header, read.other_sheets) == ("Prices", ("Part", "Price"), ("Cars",))


def test_a_merged_cell_counts_for_every_row_that_it_spans() -> None:
    def fill(sheet: Worksheet) -> None:
        sheet.write_row(0, 0, HEADER)
        sheet.merge_range(1, 0, 3, 0, "Tarn")
        for index in range(3):
            sheet.write_row(index + 1, 1, (f"Skerry {index}", 2021, 470))

    read = read_rows(workbook(Cars=fill), "list.xlsx")
    assert [row.cells[0] for row in read.rows] == ["Tarn", "Tarn", "Tarn"]
    assert "1 merged cell counts" in read.notices[0]


def test_a_header_of_two_rows_under_merged_cells_is_put_together() -> None:
    def fill(sheet: Worksheet) -> None:
        for column, name in enumerate(("Make", "Model", "Year")):
            sheet.merge_range(0, column, 1, column, name)
        sheet.merge_range(0, 3, 0, 4, "Charge")
        sheet.write_row(1, 3, ("number in g", "tolerance in g"))
        sheet.write_row(2, 0, ("Tarn", "Skerry", 2021, 470, 15))

    read = read_rows(workbook(Cars=fill), "list.xlsx")
    assert read.header == ("Make", "Model", "Year", "Charge: number in g", "Charge: tolerance in g")
    assert [row.number for row in read.rows] == [3]


def test_a_formula_counts_as_the_value_stored_with_it_and_without_one_as_nought() -> None:
    def fill(sheet: Worksheet) -> None:
        sheet.write_row(0, 0, HEADER)
        sheet.write_row(1, 0, ("Tarn", "Skerry", 2021))
        sheet.write_formula(1, 3, "=400+70", value=470)
        sheet.write_row(2, 0, ("Fen", "Harrier", 2017))
        sheet.write_formula(2, 3, "=600+80")

    read = read_rows(workbook(Cars=fill), "list.xlsx")
    assert [row.cells[3] for row in read.rows] == ["470", "0"]


def test_dates_are_written_as_iso_8601() -> None:
    into = io.BytesIO()
    book = Workbook(into, {"in_memory": True})
    sheet = book.add_worksheet()
    sheet.write_row(0, 0, ("Make", "Model", "Build from"))
    sheet.write_row(1, 0, ("Tarn", "Skerry"))
    sheet.write_datetime(1, 2, date(2021, 3, 1), book.add_format({"num_format": "mm/yyyy"}))
    book.close()
    assert read_rows(into.getvalue(), "list.xlsx").rows[0].cells[2] == "2021-03-01"


def test_a_text_that_begins_with_an_equals_sign_stays_a_text() -> None:
    def fill(sheet: Worksheet) -> None:
        sheet.write_row(0, 0, ("Make", "Model", "Notes"))
        for column, text in enumerate(("Tarn", "Skerry", "=HYPERLINK(1)")):
            sheet.write_string(1, column, text)

    assert read_rows(workbook(Cars=fill), "list.xlsx").rows[0].cells[2] == "=HYPERLINK(1)"


def test_a_packed_file_that_is_no_workbook_is_refused_in_words() -> None:
    into = io.BytesIO()
    with zipfile.ZipFile(into, "w") as packed:
        packed.writestr("readme.txt", "no sheets here")
    whole = workbook(Cars=(HEADER, *ROWS))
    for data in (
        into.getvalue(),
        b"PK\x03\x04rubbish",
        whole[: len(whole) // 2],
        b"\xd0\xcf\x11\xe0" + bytes(600),
    ):
        assert "Nothing was imported" in refusal(data)


def test_a_workbook_without_rows_is_refused() -> None:
    assert "no table" in refusal(workbook(Cars=()))
    assert "no table" in refusal(workbook(Cars=(("only one column",), ("x",))))


def test_a_single_cell_far_out_is_refused_before_anything_is_laid_out() -> None:
    def far(sheet: Worksheet) -> None:
        sheet.write_row(0, 0, HEADER)
        sheet.write_string(1_048_575, 16_383, "here")

    assert "rows" in refusal(workbook(Cars=far))


def test_a_workbook_that_unpacks_without_measure_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("knowngood_specs.core.importing.workbook._LARGEST_UNPACKED", 1_000)
    assert "unpacks to more than" in refusal(workbook(Cars=(HEADER, *ROWS)))


def test_a_workbook_with_too_many_rows_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(table, "MOST_ROWS", 100)
    assert "rows" in refusal(workbook(Cars=(HEADER, *ROWS * 100)))


OPEN_DOCUMENT = """<?xml version="1.0" encoding="UTF-8"?>
<office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"
 xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0"
 xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" office:version="1.2">
 <office:body><office:spreadsheet><table:table table:name="Cars">{rows}</table:table>
 </office:spreadsheet></office:body></office:document-content>"""


def test_an_open_document_sheet_is_read_like_any_other() -> None:
    # Element names of OASIS OpenDocument 1.2, part 1, chapters 9 and 19 (from memory).
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    rows = "".join(
        "<table:table-row>"
        + "".join(
            f'<table:table-cell office:value-type="float" office:value="{cell}"/>'
            if isinstance(cell, (int, float))
            else f'<table:table-cell office:value-type="string"><text:p>{cell}</text:p></table:table-cell>'
            for cell in row
        )
        + "</table:table-row>"
        for row in (HEADER, *ROWS)
    )
    manifest = (
        '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
        f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{kind}"/></manifest:manifest>'
    )
    into = io.BytesIO()
    with zipfile.ZipFile(into, "w") as packed:
        packed.writestr("mimetype", kind)
        packed.writestr("content.xml", OPEN_DOCUMENT.format(rows=rows))
        packed.writestr("META-INF/manifest.xml", manifest)
    read = read_rows(into.getvalue(), "list.ods")
    assert read.header == HEADER
    assert [row.cells for row in read.rows] == [
        ("Tarn", "Skerry", "2021", "470"),
        ("Fen", "Harrier", "2017", "680.5"),
    ]
