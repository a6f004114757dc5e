"""What the log reader makes of files: dialects, lines above the header, broken files."""

from __future__ import annotations

import time
from contextlib import suppress
from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from knowngood_sessions.core.reading.reader import LogUnreadable, read_log
from knowngood_sessions.core.reading.text import LARGEST_BYTES, decode

HEADER = "Time (s),P_low (psig),T suction (°C)"
ROWS = ("0,30.1,12.5", "1,30.2,12.4", "2,30.3,12.6", "3,30.2,12.5")


def log(*rows: str, header: str = HEADER, end: str = "\n") -> bytes:
    return (end.join((header, *rows)) + end).encode()


def refusal(data: bytes) -> str:
    with pytest.raises(LogUnreadable) as caught:
        read_log(data, "log.csv")
    return str(caught.value)


@dataclass(frozen=True)
class Dialect:
    delimiter: str
    decimal: str
    encoding: str
    line_end: str
    preamble: tuple[str, ...]
    unit_row: bool
    quoted: bool


NAMES = ("Time", "P low", "P high", "T suction")
UNITS = ("s", "psig", "psig", "°C")

dialects = st.builds(
    Dialect,
    delimiter=st.sampled_from([",", ";", "\t"]),
    decimal=st.sampled_from([".", ","]),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "cp1252"]),
    line_end=st.sampled_from(["\n", "\r\n", "\r"]),
    preamble=st.sampled_from([(), ("Logger 5",), ("Exported 14 Aug", "Serial,1234", ""), ("Bay;3", "\tx")]),
    unit_row=st.booleans(),
    quoted=st.booleans(),
).filter(lambda one: one.decimal != one.delimiter or one.quoted)

values = st.lists(
    st.lists(st.integers(-9_999_999, 99_999_999).map(lambda n: n / 10_000), min_size=3, max_size=3),
    min_size=3,
    max_size=12,
)


def written(table: list[list[float]], dialect: Dialect) -> bytes:
    def cell(text: str) -> str:
        return f'"{text}"' if dialect.quoted else text

    def number(value: float) -> str:
        return cell(f"{value:.4f}".replace(".", dialect.decimal))

    names = [f"{name} ({unit})" for name, unit in zip(NAMES, UNITS, strict=True)]
    lines = [*dialect.preamble]
    lines.append(dialect.delimiter.join(map(cell, NAMES if dialect.unit_row else names)))
    if dialect.unit_row:
        lines.append(dialect.delimiter.join(map(cell, UNITS)))
    lines += [
        dialect.delimiter.join(number(one) for one in (float(index), *row)) for index, row in enumerate(table)
    ]
    return (dialect.line_end.join(lines) + dialect.line_end).encode(dialect.encoding)


@settings(max_examples=120, deadline=None)
@given(table=values, dialect=dialects)
def test_a_table_written_in_any_dialect_is_read_back_equal(
    table: list[list[float]], dialect: Dialect
) -> None:
    read = read_log(written(table, dialect), "log.csv")
    assert [(one.name, one.unit) for one in read.columns] == list(zip(NAMES, UNITS, strict=True))
    numbers = np.column_stack([one.numbers for one in read.columns[1:]])
    np.testing.assert_array_equal(numbers, np.array(table))
    assert not any(one.missing or one.unreadable for one in read.columns)


@settings(max_examples=150, deadline=1_000, suppress_health_check=[HealthCheck.too_slow])
@given(
    data=st.one_of(
        st.binary(max_size=3_000),
        st.text(alphabet="0123456789,;.\t\n\r\"'abT° -:/%()[]\0", max_size=2_000).map(str.encode),
        st.tuples(st.integers(0, 90), st.binary(max_size=40)).map(
            lambda cut: log(*ROWS)[: cut[0]] + cut[1] + log(*ROWS)[cut[0] :]
        ),
    )
)
def test_malformed_bytes_raise_nothing_but_a_refusal_in_words(data: bytes) -> None:
    with suppress(LogUnreadable):
        table = read_log(data, "log.csv")
        assert len({len(one.numbers) for one in table.columns} | {len(table.lines)}) == 1


def test_a_megabyte_of_noise_is_refused_within_a_second() -> None:
    noise = np.random.default_rng(1).integers(0, 256, 1_000_000, dtype=np.uint8).tobytes()
    start = time.perf_counter()
    assert "binary" in refusal(noise)
    assert time.perf_counter() - start < 1.0


@pytest.mark.parametrize("data", [b"", b"\n\n", b"  \r\n\t", "\ufeff".encode()])
def test_an_empty_file_is_called_empty(data: bytes) -> None:
    assert "empty" in refusal(data) or "blanks" in refusal(data)


def test_a_workbook_is_told_from_a_log_and_the_way_out_is_named() -> None:
    assert "export the log as CSV" in refusal(b"PK\x03\x04" + b"\0" * 50)


def test_a_file_beyond_the_bound_is_refused_before_it_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("knowngood_sessions.core.reading.text.LARGEST_BYTES", 40)
    assert LARGEST_BYTES == 200_000_000
    assert "MB" in refusal(log(*ROWS))


def test_a_file_without_header_is_refused_because_columns_would_be_guessed() -> None:
    assert "no header" in refusal("\n".join(ROWS).encode())


def test_a_single_column_is_refused() -> None:
    assert "single column" in refusal(b"P_low (psig)\n30.1\n30.2\n30.1\n")


def test_prose_is_refused_as_no_table() -> None:
    assert "no table" in refusal(b"Dear shop,\nplease find the log attached.\nRegards\n")


def test_a_header_without_data_is_refused() -> None:
    assert refusal(f"{HEADER}\n".encode())


def test_decimal_commas_between_commas_are_refused_and_the_way_out_is_named() -> None:
    text = refusal(b"Time,P low,P high\n0,0,30,1,150,2\n1,0,30,2,150,1\n2,0,30,1,150,0\n")
    assert "semicolons" in text


def test_a_row_with_too_many_or_few_fields_is_left_out_by_name_and_shifts_nothing() -> None:
    rows = [f"{index},30.{index % 10},12.5" for index in range(50)]
    rows[20] = "20,30.0,12.5,77"
    rows[30] = "30,12.5"
    table = read_log(log(*rows), "log.csv")
    assert "Lines 22, 32" in table.notices[0].text
    assert len(table.lines) == 48
    assert 22 not in table.lines
    np.testing.assert_array_equal(table.columns[2].numbers, 12.5)
    assert table.columns[0].numbers[20] == 21.0


def test_a_file_with_many_ragged_rows_is_refused_with_lines_named() -> None:
    rows = [f"{index},30.1,12.5" + (",9" if index % 5 == 0 else "") for index in range(50)]
    text = refusal(log(*rows))
    assert "lines 2, 7" in text
    assert "Nothing was imported" in text


def test_a_last_line_cut_by_a_power_loss_is_left_out_and_told() -> None:
    table = read_log(log(*ROWS).rstrip(b"\n") + b"\n4,30", "log.csv")
    assert len(table.lines) == len(ROWS)
    assert "Line 6" in table.notices[0].text


def test_quotation_that_never_closes_costs_its_own_line_alone() -> None:
    rows = [f"{index},30.1,12.5" for index in range(400)]
    rows[200] = '"200,30.1,12.5'
    table = read_log(log(*rows), "log.csv")
    assert "Line 202 was left out" in table.notices[0].text
    assert table.columns[0].numbers.tolist() == [index for index in range(400) if index != 200]
    assert set(table.columns[2].numbers.tolist()) == {12.5}


def test_cells_that_are_no_numbers_are_counted_as_missing_and_told() -> None:
    table = read_log(log("0,30.1,12.5", "1,OL,x7", "2,,12.4", "3,30.2,12.4"), "log.csv")
    low, suction = table.columns[1:]
    assert (low.missing, low.unreadable, suction.missing, suction.unreadable) == (2, 0, 0, 1)
    assert np.isnan(low.numbers[1:3]).all()
    assert np.isnan(suction.numbers[1])
    assert "1 cell holds no number" in table.notices[0].text


def test_a_thousands_separator_is_not_read_as_a_decimal_comma() -> None:
    assert "one thousand" in refusal(b'Time (s),RPM\n0,"1,234"\n1,"1,250"\n2,"1,260"\n')


def test_a_point_among_decimal_commas_is_not_guessed_at() -> None:
    table = read_log(b"Time (s);RPM\n0,5;1.234\n1,5;1250,5\n2,5;1260,5\n", "log.csv")
    assert table.columns[1].unreadable == 1
    assert np.isnan(table.columns[1].numbers[0])


def test_lines_above_the_header_are_kept_apart_even_when_they_hold_numbers() -> None:
    data = b"Recorder,3\nInterval,1\nStarted,10:42:00\n\nTime,P low\ns,psig\n" + b"".join(
        b"%d,30.1\n" % index for index in range(6)
    )
    table = read_log(data, "log.csv")
    assert table.header == ("Time", "P low")
    assert table.unit_row == ("s", "psig")
    assert table.preamble == ("Recorder,3", "Interval,1", "Started,10:42:00")
    assert table.lines[0] == 7


def test_one_over_a_minute_is_a_unit_and_no_number() -> None:
    data = (
        "Time;Low side (gauge);Engine speed\nhh:mm:ss;bar;1/min\n" + "10:42:00;1,68;798\n10:42:01;1,70;799\n"
    )
    table = read_log(data.encode("utf-8-sig"), "log.csv")
    assert table.unit_row == ("hh:mm:ss", "bar", "1/min")
    assert [one.unit for one in table.columns] == ["hh:mm:ss", "bar", "1/min"]


def test_columns_of_one_name_are_numbered() -> None:
    table = read_log(b"Time (s),T (C),T (C)\n0,1,2\n1,1,2\n2,1,2\n", "log.csv")
    assert [one.name for one in table.columns] == ["Time", "T", "T (2)"]
    assert "numbered" in table.notices[0].text


def test_a_unit_behind_every_value_is_taken_as_the_unit_of_the_column() -> None:
    table = read_log(b"Time (s),P low\n0,30.1 psi\n1,30.2 psi\n2,30.4 psi\n", "log.csv")
    assert table.columns[1].unit == "psi"
    np.testing.assert_array_equal(table.columns[1].numbers, [30.1, 30.2, 30.4])


def test_an_empty_field_at_every_line_end_is_no_column() -> None:
    table = read_log(b"Time (s),P low (psig)\n0,30.1,\n1,30.2,\n2,30.4,\n", "log.csv")
    assert [one.name for one in table.columns] == ["Time", "P low"]


@pytest.mark.parametrize(
    ("data", "encoding"),
    [
        ("T °C".encode("cp1252"), "cp1252"),
        ("T °C".encode(), "utf-8"),
        ("T °C, some more".encode("utf-16-le"), "utf-16-le"),
        ("T °C, some more".encode("utf-16-be"), "utf-16-be"),
    ],
)
def test_the_encoding_is_found_without_a_mark(data: bytes, encoding: str) -> None:
    found = decode(data)
    assert found.encoding == encoding
    assert found.utf8.decode().startswith("T °C")
