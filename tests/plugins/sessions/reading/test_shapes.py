"""Shapes of logs: one field more than the header, long form, several rates, date and clock apart."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_refdata.logs import LogTable, LogUnreadable
from knowngood_refdata.records import Role
from knowngood_sessions.core.mapping.importing import prepare, to_recording
from knowngood_sessions.core.mapping.mapping import apply, propose
from knowngood_sessions.core.reading.reader import read_log

if TYPE_CHECKING:
    from knowngood_sessions.core.mapping.assignment import Assignment

HEADER = "Time (s),P low (psig),P high (psig)"


def read(*lines: str) -> LogTable:
    return read_log("\n".join((*lines, "")).encode(), "log.csv")


def refusal(*lines: str) -> str:
    with pytest.raises(LogUnreadable) as caught:
        read(*lines)
    return str(caught.value)


def column(table: LogTable, name: str) -> list[float]:
    return [float(one) for one in table.column(name).numbers]


def prepare_mapping(table: LogTable) -> dict[str, Assignment]:
    return propose(table).mapping


def test_a_first_field_without_a_name_that_counts_the_lines_shifts_nothing() -> None:
    table = read(HEADER, *(f"{index},{0.5 * index},{30 + index},{150 + index}" for index in range(40)))
    assert column(table, "Time") == [0.5 * index for index in range(40)]
    assert column(table, "P low") == [30 + index for index in range(40)]
    assert column(table, "P high") == [150 + index for index in range(40)]
    assert "one field more" in table.notices[0].text
    recording = apply(table, prepare_mapping(table))
    assert recording.channels[0].values[0] == 30


def test_a_count_before_clock_times_shifts_nothing() -> None:
    rows = (f"{index + 1},10:42:{index:02d},{30 + index},{150 + index}" for index in range(40))
    table = read("Time,P low (psig),P high (psig)", *rows)
    assert column(table, "P low") == [30 + index for index in range(40)]


@pytest.mark.parametrize(
    "row",
    [
        "{i},{low},{high},1.5",  # a column at the end has no name
        "{i},1.5,{low},{high}",  # one in the middle
        "{i}.5,0,{low},{high}",
        "{i},30,1,150",  # a decimal comma
        "{high},{i},{low},9",
    ],
)
def test_one_field_more_in_every_row_is_refused_where_any_name_may_be_missing(row: str) -> None:
    rows = (row.format(i=index, low=30 + index % 3, high=150 + index % 5) for index in range(40))
    text = refusal(HEADER, *rows)
    assert "3 columns but the rows have 4 fields" in text
    assert "Nothing was imported" in text


def test_one_field_more_below_names_and_units_shifts_neither() -> None:
    table = read("Time,P low", "s,psig", *(f"{index},{0.1 * index:.1f},{30 + index}" for index in range(20)))
    assert [(one.name, one.unit) for one in table.columns[1:]] == [("Time", "s"), ("P low", "psig")]
    assert column(table, "P low")[:3] == [30, 31, 32]


def test_a_delimiter_at_the_end_of_every_line_is_no_column() -> None:
    table = read(HEADER + ",", *(f"{index},30,150," for index in range(9)))
    assert [one.name for one in table.columns] == ["Time", "P low", "P high"]


LONG = "Timestamp,Channel,Value,Unit"


def long_rows(*, own_times: bool = False) -> list[str]:
    rows = []
    for index in range(60):
        for place, (name, value, unit) in enumerate(
            (("P low", 30 + index % 3, "psig"), ("P high", 150 + index % 5, "psig"), ("T suction", 9.5, "°C"))
        ):
            rows.append(f"{index + (0.1 * place if own_times else 0):.1f},{name},{value},{unit}")
    return rows


def test_one_row_a_channel_and_time_becomes_a_column_a_channel() -> None:
    table = read(LONG, *long_rows())
    assert [(one.name, one.unit) for one in table.columns] == [
        ("Timestamp", ""),
        ("P low", "psig"),
        ("P high", "psig"),
        ("T suction", "°C"),
    ]
    assert column(table, "P low") == [30 + index % 3 for index in range(60)]
    assert column(table, "P high") == [150 + index % 5 for index in range(60)]
    assert table.lines.tolist() == [2 + 3 * index for index in range(60)]
    assert "3 channels became columns" in table.notices[0].text


def test_channels_with_times_of_their_own_keep_them() -> None:
    table = read(LONG, *long_rows(own_times=True))
    assert len(table.lines) == 180
    low = table.column("P low").numbers
    time = table.column("Timestamp").numbers
    np.testing.assert_allclose(time[np.isfinite(low)], np.arange(60.0))
    assert low[np.isfinite(low)].tolist() == [30 + index % 3 for index in range(60)]


def test_a_long_form_written_channel_after_channel_is_put_in_the_order_of_time() -> None:
    rows = sorted(long_rows(own_times=True), key=lambda row: row.split(",")[1])
    table = read(LONG, *rows)
    assert (np.diff(table.column("Timestamp").numbers) > 0).all()
    low = table.column("P low").numbers
    assert low[np.isfinite(low)].tolist() == [30 + index % 3 for index in range(60)]


def test_several_samples_of_a_channel_under_one_coarse_stamp_are_all_kept() -> None:
    rows = [f"10:42:{second:02d};A (bar);{second}.{part}" for second in range(30) for part in (1, 2, 3)]
    rows += [f"10:42:{second:02d};B (bar);9.{second}" for second in range(30)]
    table = read("Time;Signal;Value", *sorted(rows, key=lambda row: row[:8]))
    first = table.column("A").numbers
    assert first[np.isfinite(first)].tolist() == [
        float(f"{second}.{part}") for second in range(30) for part in (1, 2, 3)
    ]


def test_a_channel_that_changes_its_unit_in_long_form_is_refused() -> None:
    rows = long_rows()
    rows[30] = rows[30].replace("psig", "bar")
    assert "'P low' is written in psig and in bar" in refusal(LONG, *rows)


def test_a_state_written_in_words_beside_one_channel_is_no_long_form() -> None:
    rows = (f"{index},{30 + index % 3},{'on' if index % 7 else 'off'}" for index in range(60))
    table = read("Time (s),P low (psig),Compressor", *rows)
    assert [one.name for one in table.columns] == ["Time", "P low", "Compressor"]


def test_a_date_and_a_clock_time_in_two_columns_are_one_time() -> None:
    rows = [f"14.08.2024;23:59:{50 + index};2,{index}" for index in range(10)]
    rows += [f"15.08.2024;00:00:{index:02d};2,{index}" for index in range(10)]
    table = read("Datum;Zeit;P low (bar g)", *rows)
    assert [one.name for one in table.columns] == ["Datum Zeit", "P low"]
    recording = apply(table, prepare_mapping(table))
    assert recording.time_s.tolist() == list(range(20))


def test_channels_of_several_rates_keep_their_samples_and_the_rate_is_told() -> None:
    rows = (f"{index / 10:.1f},{30 + index % 3},{9.5 if index % 10 == 0 else ''}" for index in range(1_200))
    prepared = prepare("\n".join(("Time (s),P low (psig),T suction (°C)", *rows, "")).encode(), "log.csv")
    imported = to_recording(prepared.table, prepared.mapping)
    suction = next(one for one in imported.recording.channels if one.role is Role.SUCTION_LINE)
    assert np.isfinite(suction.values).sum() == 120
    told = " ".join(one.text for one in imported.notices)
    assert "T suction: recorded in one row of 10" in told
    assert "missing" not in told


def test_pressures_in_alternate_rows_are_told_apart_by_their_values() -> None:
    rows = (f"{index},{'' if index % 2 else 151},{30 if index % 2 else ''}" for index in range(100))
    mapping = prepare_mapping(read("Time (s),P1 (psig),P2 (psig)", *rows))
    assert (mapping["P1"].use, mapping["P2"].use) == (Role.HIGH_SIDE, Role.LOW_SIDE)


@pytest.mark.parametrize("code", ["-999", "-9999", "32767", "6553.5", "-3276.8", "99999", "65535"])
def test_a_code_for_no_value_counts_as_missing_and_is_told(code: str) -> None:
    rows = (f"{index},{code if 20 <= index < 30 else 30 + index % 3},150" for index in range(60))
    table = read(HEADER, *rows)
    low = table.column("P low")
    assert low.missing == 10
    assert np.isnan(low.numbers[20:30]).all()
    assert low.numbers[19] == 31
    assert any("stands for no value" in one.text for one in table.notices)


def test_a_number_like_a_code_among_its_like_is_a_value() -> None:
    rows = (f"{index},{990 + index},150" for index in range(10))
    assert read("Time (s),Engine speed (rpm),P high (psig)", *rows).column("Engine speed").missing == 0


def test_a_code_does_not_make_a_pressure_gauge() -> None:
    rows = (f"{index},{-999 if index == 7 else 2.1}" for index in range(60))
    assert prepare_mapping(read("Time (s),P low (bar)", *rows))["P low"].gauge is None
