"""The fleet's telematics files: what is read, and what is refused in words."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_fleet.core.telematics import claims, read, read_head
from knowngood_refdata.logs import LogUnreadable, fault_of

HEAD = (
    "FLEET TELEMATICS;2\nunit;HL-901\nstarted;2026-06-03T07:14:00Z\n"
    "engine hours;8123,4\nodometer km;214880\nDATA\n"
)
ROWS = "t;PL;PH;TV;N\ns;kPa abs;kPa abs;degC;1/min\n0,0;301;1212;9,8;802\n0,5;*;1215;-9999;803\n"


def file(rows: str = ROWS, head: str = HEAD) -> bytes:
    return (head + rows).encode()


def test_a_file_is_known_by_its_first_line_with_or_without_a_byte_order_mark() -> None:
    assert claims(file(), "anything.csv")
    assert claims(b"\xef\xbb\xbf" + file(), "anything.csv")
    assert not claims(b"time;PL;PH\n", "fleet telematics.csv")


def test_the_head_names_the_unit_and_its_counters() -> None:
    head = read_head(file(), "run.csv")
    assert (head.unit, head.hours, head.odometer_km) == ("HL-901", 8123.4, 214_880.0)
    assert head.started == datetime(2026, 6, 3, 7, 14, tzinfo=UTC)


def test_columns_get_the_names_and_units_that_the_import_knows() -> None:
    table = read(file(), "run.csv")
    assert fault_of(table) == ""
    assert [(one.name, one.unit) for one in table.columns[1:3]] == [
        ("Low side pressure", "kPa abs"),
        ("High side pressure", "kPa abs"),
    ]
    assert table.column("Vent temperature").unit == "°C"
    assert list(table.column("Engine speed").numbers) == [802.0, 803.0]
    assert list(table.lines) == [9, 10]
    assert table.column("Time").examples[1] == "2026-06-03T07:14:00.500+00:00"
    assert table.column("Time").holds_moments


def test_a_star_and_minus_9999_are_no_values() -> None:
    table = read(file(), "run.csv")
    assert np.isnan(table.column("Low side pressure").numbers[1])
    assert np.isnan(table.column("Vent temperature").numbers[1])
    assert table.column("High side pressure").missing == 0


def test_a_last_row_that_was_cut_off_is_left_out_and_told() -> None:
    table = read(file(ROWS + "1,0;30"), "run.csv")
    assert len(table.lines) == 2
    assert "line 11 is cut off" in table.notices[0].text


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (file(head="something else;2\n"), "does not begin with"),
        (file(head=HEAD.replace(";2", ";7", 1)), "version '7'"),
        (file(rows="", head=HEAD.replace("DATA\n", "")), "no line 'DATA'"),
        (file("t;PL\ns;kPa abs\n"), "no values"),
        (file(ROWS + "1,0;301\n1,5;301;1;2;3\n"), "line 11 of run.csv has 2 values, there are 5 columns"),
        (file(ROWS + "1,0;high;1;2;3\n"), "line 11, PL: 'high' is no number"),
        (file(ROWS + "1,0;inf;1;2;3\n"), "'inf' is no number"),
        (file("t;PL;PL\ns;kPa abs;kPa abs\n0;1;2\n"), "'Low side pressure' stands there twice"),
        (file("PL;PH\nkPa abs;kPa abs\n1;2\n"), "the first is to be 't'"),
        (file("t;PL\ns\n0;2\n"), "each needs a unit"),
        (file(head=HEAD.replace("8123,4", "eight")), "engine hours: 'eight'"),
        (file(head=HEAD.replace("2026-06-03", "2026-13-03")), "is no date"),
        (file().replace(b"HL", b"\xff\xfe"), "no text in UTF-8"),
    ],
)
def test_a_file_that_cannot_be_trusted_is_refused_in_words(data: bytes, words: str) -> None:
    with pytest.raises(LogUnreadable) as refused:
        read(data, "run.csv")
    assert words in str(refused.value)
    assert "Nothing was imported" in str(refused.value)


@given(st.binary(max_size=300), st.booleans())
def test_whatever_the_bytes_they_are_read_or_refused_in_words(data: bytes, begun: bool) -> None:
    try:
        table = read(HEAD.encode() + data if begun else data, "run.csv")
    except LogUnreadable:
        return
    assert fault_of(table) == ""


@given(st.lists(st.floats(-1e4, 1e4).map(lambda x: round(x, 2)).filter(lambda x: x != -9999.0), min_size=1))
def test_numbers_come_back_as_they_were_written(values: list[float]) -> None:
    rows = "".join(f"{place};{value:.2f}\n".replace(".", ",") for place, value in enumerate(values))
    table = read(file(f"t;TV\ns;degC\n{rows}"), "run.csv")
    assert list(table.column("Vent temperature").numbers) == pytest.approx(values)
