"""Files that a spreadsheet opens without executing anything in them."""

from __future__ import annotations

import csv
import io
import zipfile

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_refdata.formula_cells import guarded, restored
from knowngood_refdata.records import SourceKind, SpecValue, Vehicle
from knowngood_specs.core.exporting.sheet import Sheet, value_lines, vehicle_lines
from knowngood_specs.core.exporting.writers import NotWritten, write_csv, write_xlsx

CHARGE = SpecValue(
    1,
    "charge",
    0.470,
    0.015,
    "470 ± 15 g",
    SourceKind.UNDER_HOOD_LABEL,
    "photo",
    page="3",
    reviewed_by="Ada Fell",
)
SKERRY = Vehicle(7, "Tarn", "Skerry", "1.6 petrol", 2021, None, notes="x", specs={"charge": (CHARGE,)})
HARMFUL = (
    "=1+1",
    "+1",
    "-1",
    "@SUM(A1)",
    "\tx",
    "\rx",
    "=cmd|' /C calc'!A0",
    " =1",
    "'=1",
    "\N{FULLWIDTH EQUALS SIGN}1",
    "\N{FULLWIDTH PLUS SIGN}1",
    "\N{FULLWIDTH HYPHEN-MINUS}1",
    "\N{FULLWIDTH COMMERCIAL AT}x",
)


def as_csv(sheet: Sheet, **options: object) -> str:
    into = io.BytesIO()
    write_csv(sheet, into, **options)  # type: ignore[arg-type]
    return into.getvalue().decode("utf-8")


@pytest.mark.parametrize("text", HARMFUL)
def test_a_text_that_begins_like_a_formula_is_written_with_an_apostrophe(text: str) -> None:
    # The beginnings that spreadsheets act on: OWASP, "CSV Injection" (from memory).
    lines = list(
        csv.reader(io.StringIO(as_csv(Sheet(("a", "b"), iter([(text, "x")])), mark=False), newline=""))
    )
    assert lines[1] == [f"'{text}", "x"]


@given(st.one_of(st.text(max_size=20), st.text("'=+-@ \t\rx", max_size=8)))
def test_what_was_guarded_is_restored_and_nothing_else_is_touched(text: str) -> None:
    assert restored(guarded(text)) == text
    assert not guarded(text).startswith(("=", "+", "-", "@", "\t", "\r"))


def test_a_workbook_holds_texts_as_texts_and_numbers_as_numbers() -> None:
    into = io.BytesIO()
    write_xlsx(Sheet(("a", "b", "c"), iter([("=1+1", -5.5, "http://x.invalid"), ("<b>", 3, None)])), into)
    with zipfile.ZipFile(into) as packed:
        page = packed.read("xl/worksheets/sheet1.xml").decode()
        names = packed.namelist()
    assert "<f>" not in page
    assert "<v>-5.5</v>" in page
    assert "&lt;b&gt;" in page
    assert not any("rels" in name and "sheet1" in name for name in names), "a text became a link"


def test_a_csv_begins_with_the_mark_of_utf8_unless_it_is_unwanted() -> None:
    assert as_csv(value_lines([SKERRY])).startswith("\N{BYTE ORDER MARK}")
    assert as_csv(value_lines([SKERRY]), mark=False).startswith('"Make"')


def test_a_line_a_value_shows_the_number_with_its_unit_beside_the_printed_text() -> None:
    lines = list(
        csv.DictReader(io.StringIO(as_csv(value_lines([SKERRY]), mark=False, delimiter=";")), delimiter=";")
    )
    (line,) = lines
    shown = ("As printed", "Number", "Tolerance", "Unit of measure", "Page")
    assert {name: line[name] for name in shown} == {
        "As printed": "470 ± 15 g",
        "Number": "470.0",
        "Tolerance": "15.0",
        "Unit of measure": "g",
        "Page": "3",
    }
    assert (line["Year from"], line["Year to"], line["Notes"]) == ("2021", "", "x")


def test_a_line_a_vehicle_has_a_column_for_each_field_that_is_held_with_its_unit_in_the_header() -> None:
    sheet = vehicle_lines([SKERRY, Vehicle(8, "Fen", "Harrier", "", 2017, 2019)])
    assert "charge: number in g" in sheet.header
    assert not any(name.startswith("oil") for name in sheet.header)
    first, second = (dict(zip(sheet.header, line, strict=True)) for line in sheet.lines)
    assert first["charge: number in g"] == 470.0
    assert first["charge: reviewed by"] == "Ada Fell"
    assert second["charge: number in g"] is None


def test_a_text_too_long_for_a_workbook_is_refused_and_not_cut() -> None:
    with pytest.raises(NotWritten, match="32,768"):
        write_xlsx(Sheet(("a",), iter([("x" * 32_768,)])), io.BytesIO())


def test_what_the_progress_raises_to_stop_passes_through() -> None:
    def stop(count: int) -> None:
        raise InterruptedError

    many = [SKERRY] * 600
    with pytest.raises(InterruptedError):
        write_csv(value_lines(many), io.BytesIO(), progress=stop)
    with pytest.raises(InterruptedError):
        write_xlsx(value_lines(many), io.BytesIO(), stop)


def test_the_file_that_was_written_stays_open_for_its_owner() -> None:
    into = io.BytesIO()
    assert write_csv(value_lines([SKERRY]), into) == 1
    assert not into.closed
