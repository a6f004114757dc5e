"""Text files of any layout: delimiters, encodings, lines above the header, lines that do not fit."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_specs.core.importing import reader, table
from knowngood_specs.core.importing.reader import TableUnreadable, read_rows

PLAIN = "Make,Model,Year,Charge (g)\nTarn,Skerry,2021,470\nFen,Harrier,2017,680\n"


def refusal(data: bytes) -> str:
    with pytest.raises(TableUnreadable) as caught:
        read_rows(data, "list.csv")
    return str(caught.value)


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
def test_a_list_is_read_in_every_encoding_and_with_every_delimiter(delimiter: str, encoding: str) -> None:
    text = "Marke,Modell,Füllmenge (g)\nTärn,Skérry,470\n".replace(",", delimiter)
    read = read_rows(text.encode(encoding), "list.csv")
    assert read.header == ("Marke", "Modell", "Füllmenge (g)")
    assert [(row.number, row.cells) for row in read.rows] == [(2, ("Tärn", "Skérry", "470"))]


def test_lines_above_the_header_are_kept_apart_and_rows_keep_their_number_in_the_file() -> None:
    read = read_rows(f"Our cars\nas of 3 May, bay 2\n\n{PLAIN}".encode(), "list.csv")
    assert read.header_row == 4
    assert read.preamble == ("Our cars", "as of 3 May, bay 2")
    assert [row.number for row in read.rows] == [5, 6]


def test_lines_of_two_encodings_are_each_read_in_their_own() -> None:
    data = "Make,Model\nTärn,Skerry\n".encode() + "Fén,Harrier\n".encode("cp1252")
    read = read_rows(data, "list.csv")
    assert [row.cells[0] for row in read.rows] == ["Tärn", "Fén"]
    assert "do not share one encoding" in read.notices[0]


def test_a_cell_with_line_ends_makes_one_row_and_the_next_keeps_its_number() -> None:
    read = read_rows(b'Make,Model,Notes\nTarn,Skerry,"first\nsecond"\nFen,Harrier,\n', "list.csv")
    assert [(row.number, row.last_number, row.cells[2]) for row in read.rows] == [
        (2, 3, "first\nsecond"),
        (4, 4, ""),
    ]


def test_a_quotation_mark_that_is_never_closed_costs_its_own_line_alone() -> None:
    read = read_rows(b'Make,Model,Year\n"Tarn,Skerry,2021\nFen,Harrier,2017\nMoor,Combe,2015\n', "list.csv")
    assert [bool(row.fault) for row in read.rows] == [True, False, False]
    assert "never closed" in read.rows[0].fault


def test_a_quotation_that_closes_in_a_later_row_swallows_none_when_the_cells_do_not_fit() -> None:
    read = read_rows(b'Make,Model,Year,Charge\n"Tarn,Skerry,2021,470\nFen,Harrier,2017,680"\n', "list.csv")
    broken, kept = read.rows
    assert (broken.number, broken.last_number, bool(broken.fault)) == (2, 2, True)
    assert (kept.number, kept.cells) == (3, ("Fen", "Harrier", "2017", '680"'))


def test_an_inch_mark_inside_a_cell_is_no_quotation() -> None:
    read = read_rows(b'Make,Model,Belt\nTarn,Skerry,5/8" wide\nFen,Harrier,6/8"\n', "list.csv")
    assert [row.cells[2] for row in read.rows] == ['5/8" wide', '6/8"']
    assert not any(row.fault for row in read.rows)


def test_a_line_with_too_many_cells_is_at_fault_and_one_with_too_few_is_odd() -> None:
    read = read_rows(f"{PLAIN}Moor,Combe,2015,500,extra,more\nMoor,Bracken\n".encode(), "list.csv")
    long, short = read.rows[-2:]
    assert "6 cells where the table has 4" in long.fault
    assert short.cells == ("Moor", "Bracken", "", "")
    assert short.doubt == "It ends after 2 of 4 cells."


def test_empty_cells_that_a_program_left_out_throughout_are_nothing_odd() -> None:
    read = read_rows(b"Make,Model,Year,Notes\nTarn,Skerry,2021\nFen,Harrier,2017\n", "list.csv")
    assert [row.doubt for row in read.rows] == ["", ""]


def test_a_header_that_is_repeated_further_down_is_no_vehicle() -> None:
    read = read_rows(f"{PLAIN}Make,Model,Year,Charge (g)\n".encode(), "list.csv")
    assert read.rows[-1].fault == "It repeats the header."


def test_a_list_without_a_header_loses_no_row() -> None:
    read = read_rows(b"Tarn,Skerry,2021,470\nFen,Harrier,2017,680\n", "list.csv")
    assert read.header_row == 0
    assert read.header[0] == "column 1"
    assert len(read.rows) == 2


def test_columns_of_one_name_are_numbered() -> None:
    read = read_rows(b"Make,Model,Notes,Notes,\nTarn,Skerry,a,b,c\n", "list.csv")
    assert read.header == ("Make", "Model", "Notes", "Notes (2)", "column 5")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b" \n \n", "empty"),
        (b"just one column\nof words\n", "no table"),
        (b"%PDF-1.7 and so on", "PDF document"),
        (b"\x89PNG\r\n\x1a\n", "picture"),
        (bytes(range(256)) * 20, "binary"),
    ],
)
def test_what_is_no_table_is_refused_saying_what_it_is(data: bytes, words: str) -> None:
    text = refusal(data)
    assert words in text
    assert "Nothing was imported" in text


def test_too_many_rows_columns_or_bytes_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(table, "MOST_ROWS", 2)
    assert "3 rows" in refusal(f"{PLAIN}Moor,Combe,2015,500\n".encode())
    wide = ",".join(["Make", "Model", *(f"c{i}" for i in range(300))])
    assert "302 columns" in refusal(f"{wide}\n{wide}\n".encode())
    monkeypatch.setattr(reader, "LARGEST_BYTES", 20)
    assert "MB can be read" in refusal(PLAIN.encode())


def test_what_the_progress_raises_to_stop_passes_through() -> None:
    def stop(done: float) -> None:
        raise InterruptedError

    with pytest.raises(InterruptedError):
        read_rows(PLAIN.encode(), "list.csv", stop)


@given(st.text(max_size=400))
def test_any_text_is_a_table_that_accounts_for_every_line_or_refused_in_words(text: str) -> None:
    data = text.encode("utf-8", "surrogatepass")
    refused = ""
    try:
        read = read_rows(data, "list.csv")
    except TableUnreadable as error:
        refused = str(error)
    if refused:
        assert "Nothing was imported" in refused
        return
    covered = [line for row in read.rows for line in range(row.number, row.last_number + 1)]
    assert covered == sorted(set(covered)), "a line belongs to two rows"
    assert all(len(row.cells) == len(read.header) for row in read.rows if not row.fault)
    assert all(row.fault or any(row.cells) for row in read.rows)
    lines = text.replace("\r\n", "\n").replace("\r", "\n").lstrip("\N{BYTE ORDER MARK}").split("\n")
    left_out = [
        line
        for number, line in enumerate(lines, 1)
        if number > read.header_row and number not in covered and line.strip(",;|\t \"'")
    ]
    assert all(not "".join(line.split()).strip(",;|\"'") for line in left_out), left_out
