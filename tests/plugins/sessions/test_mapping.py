"""What columns are taken for, what is asked before an import, and how times become seconds."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_refdata.records import Role
from knowngood_sessions.core.mapping.assignment import (
    Assignment,
    MappingUnreadable,
    Special,
    as_plain,
    assignment_from_words,
    from_plain,
)
from knowngood_sessions.core.mapping.mapping import apply, apply_with_notices, propose, signature
from knowngood_sessions.core.mapping.questions import answered, open_questions
from knowngood_sessions.core.reading.reader import LogTable, LogUnreadable, read_log

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence


def table(header: str, *rows: str) -> LogTable:
    return read_log("\n".join((header, *rows, "")).encode(), "log.csv")


def session(header: str, row: str, count: int = 120) -> LogTable:
    """A log of one sample a second in which every row reads the same."""
    return table(f"Time (s),{header}", *(f"{index},{row}" for index in range(count)))


def proposed(header: str, row: str) -> Assignment:
    return propose(session(header, row)).columns[1].assignment


def answers(log: LogTable, column: str) -> list[str]:
    """The labels of the answers to the question about a column, none when nothing is asked."""
    for question in propose(log).questions:
        if question.column == column:
            return [choice.label for choice in question.choices]
    return []


@pytest.mark.parametrize(
    ("header", "value", "role", "unit", "gauge"),
    [
        ("P_low (psig)", "30.1", Role.LOW_SIDE, "psi", True),
        ("High side pressure [bar abs]", "11.2", Role.HIGH_SIDE, "bar", False),
        ("Suction press (kPag)", "210", Role.LOW_SIDE, "kPa", True),
        ("Discharge pressure barg", "10.3", Role.HIGH_SIDE, "bar", True),
        ("Suction line (degF)", "45", Role.SUCTION_LINE, "°F", None),
        ("T_liquid [°C]", "33", Role.LIQUID_LINE, "°C", None),
        ("Discharge temp (°C)", "70", Role.DISCHARGE_LINE, "°C", None),
        ("Center vent °F", "48", Role.VENT, "°F", None),
        ("OAT (°C)", "31", Role.AMBIENT, "°C", None),
        ("Cabin intake (°C)", "28", Role.INTAKE, "°C", None),
        ("RH (%)", "48", Role.HUMIDITY, "%", None),
        ("RPM", "750", Role.ENGINE_SPEED, "rpm", None),
        ("EngineSpeed", "750", Role.ENGINE_SPEED, "rpm", None),
        ("Coolant temp (°C)", "92", Role.COOLANT, "°C", None),
        ("Fan stage", "1", Role.FAN_COMMAND, "", None),
        ("Compressor duty (%)", "43", Role.COMPRESSOR_COMMAND, "%", None),
        ("Barometer (inHg)", "29.9", Role.BAROMETER, "inHg", None),
        ("Ambient pressure (kPa)", "98.4", Role.BAROMETER, "kPa", None),
        ("Low side (gauge) bar", "2.1", Role.LOW_SIDE, "bar", True),
    ],
)
def test_plain_names_and_units_tell_use_unit_and_gauge(
    header: str, value: str, role: Role, unit: str, gauge: bool | None
) -> None:
    found = proposed(header, value)
    assert (found.use, found.unit, found.gauge) == (role, unit, gauge)
    assert not propose(session(header, value)).questions


def test_pressures_without_a_unit_are_asked_about_with_psi_first() -> None:
    log = session("P_low,P_high", "30,150")
    assert answers(log, "P_low")[0] == "psi, gauge"
    assert answers(log, "P_high")[:2] == ["psi, gauge", "psi, absolute"]


def test_pressures_around_two_and_eleven_without_a_unit_are_offered_as_bar_first() -> None:
    log = session("P_low,P_high", "2.1,11.2")
    assert answers(log, "P_low")[0] == "bar, gauge"
    assert answers(log, "P_high")[0] == "bar, gauge"


def test_a_unit_that_leaves_gauge_open_is_asked_about() -> None:
    assert answers(session("P low (bar)", "2.1"), "P low") == ["bar, gauge", "bar, absolute"]


def test_a_pressure_below_zero_can_only_be_gauge() -> None:
    log = table("Time (s),P low (bar)", *(f"{index},{-0.2 + 0.02 * index}" for index in range(100)))
    assert propose(log).mapping["P low"].gauge is True


def test_a_temperature_without_a_unit_is_asked_about() -> None:
    assert set(answers(session("T suction", "45"), "T suction")) == {"°C", "°F", "K"}


def test_vent_temperatures_of_75_to_150_do_not_pass_as_celsius() -> None:
    log = table("Time (s),Vent (°C)", *(f"{index},{75 + index % 76}" for index in range(200)))
    question = propose(log).questions[0]
    assert question.column == "Vent"
    assert "75 to 150" in question.text


def test_vent_temperatures_of_45_to_60_called_celsius_are_offered_as_fahrenheit() -> None:
    log = table("Time (s),Vent (°C)", *(f"{index},{52 + index % 9}" for index in range(200)))
    assert answers(log, "Vent")[0] == "°F"
    assert "°F would fit" in propose(log).questions[0].text


def test_a_stated_unit_that_fits_is_not_asked_about() -> None:
    assert not propose(session("Vent (°C)", "9.5")).questions


def test_a_contradiction_that_was_confirmed_is_not_asked_again() -> None:
    log = session("Vent (°C)", "58")
    question = propose(log).questions[0]
    right = next(choice for choice in question.choices if choice.label == "°C is right")
    assert not open_questions(log, answered(propose(log).mapping, right))


def test_two_nameless_pressures_are_told_apart_by_their_values() -> None:
    mapping = propose(session("P1 (psig),P2 (psig)", "151,30")).mapping
    assert (mapping["P1"].use, mapping["P2"].use) == (Role.HIGH_SIDE, Role.LOW_SIDE)


def test_a_temperature_that_names_no_place_is_asked_about() -> None:
    assert "liquid line" in answers(session("T1 [°C]", "33"), "T1")


def test_two_columns_of_one_use_are_not_both_taken() -> None:
    log = session("Vent left (°C),Vent right (°C)", "9.1,9.4")
    uses = [one.use for one in propose(log).mapping.values()]
    assert uses.count(Role.VENT) == 1
    assert answers(log, "Vent right")


def test_a_low_side_above_the_high_side_throughout_is_asked_about_and_swapped() -> None:
    log = session("P low (psig),P high (psig)", "150,30")
    question = propose(log).questions[0]
    assert "swapped" in question.text
    mapping = answered(propose(log).mapping, question.choices[0])
    assert (mapping["P low"].use, mapping["P high"].use) == (Role.HIGH_SIDE, Role.LOW_SIDE)
    assert not open_questions(log, mapping)


def test_equalised_sides_are_not_taken_for_swapped_ones() -> None:
    assert not propose(session("P low (psig),P high (psig)", "85.2,84.9")).questions


@pytest.mark.parametrize("header", ["Fan speed (rpm)", "CompressorRPM", "Blower rpm", "Vehicle speed (km/h)"])
def test_the_speed_of_something_else_is_not_taken_for_engine_speed(header: str) -> None:
    assert proposed(header, "1850").use is Role.OTHER


@pytest.mark.parametrize("header", ["Condenser outlet (°C)", "Compressor inlet temp (°C)", "Evap outlet °C"])
def test_inlets_and_outlets_of_parts_are_asked_about_and_not_taken_for_the_cabin(header: str) -> None:
    assert proposed(header, "31.5").use is None


def test_a_rotation_that_names_nothing_is_asked_about() -> None:
    assert answers(session("Sensor 4 (rpm)", "800"), "Sensor 4")[0] == "engine speed"


def test_unknown_numbers_are_kept_as_they_are() -> None:
    found = proposed("Battery (V)", "13.8")
    assert (found.use, found.unit) == (Role.OTHER, "V")


def test_text_columns_are_left_out() -> None:
    assert proposed("Remark", "doors open").use is Special.LEFT_OUT


def test_a_file_without_a_time_column_is_asked_for_one() -> None:
    log = table("P low (psig),P high (psig)", "30,150", "30,150", "30,151")
    assert propose(log).questions[0].text == "Which column holds the time?"


def seconds(unit: str, *cells: str, name: str = "Time") -> list[float]:
    log = table(f"{name},P low (psig)", *(f"{cell},30.1" for cell in cells))
    mapping = {**propose(log).mapping, name: Assignment(Special.TIME, unit)}
    return [round(one, 6) for one in apply(log, mapping).time_s]


@pytest.mark.parametrize(
    ("unit", "cells", "expected"),
    [
        ("s", ("5", "6.5", "8"), [0, 1.5, 3]),
        ("min", ("0", "0.5", "1"), [0, 30, 60]),
        ("ms", ("0", "250", "500"), [0, 0.25, 0.5]),
        ("h:min:s", ("23:59:58", "23:59:59.5", "00:00:01"), [0, 1.5, 3]),
        ("h:min:s", ("11:59:59 PM", "12:00:01 AM", "12:00:02 AM"), [0, 2, 3]),
        ("min:s", ("0:59.5", "1:00.5", "100:00"), [0, 1, 5940.5]),
        ("date and time", ("2023-12-31T23:59:59Z", "2024-01-01T00:00:01Z"), [0, 2]),
        ("date and time", ("31.12.2023 23:59:59", "01.01.2024 00:00:01"), [0, 2]),
        ("date and time", ("12/31/2023 23:59:59", "01/01/2024 00:00:01"), [0, 2]),
        ("date and time", ("31/01/2024 23:59:59", "01/02/2024 00:00:01"), [0, 2]),
    ],
)
def test_times_become_seconds_from_the_first_sample(
    unit: str, cells: Sequence[str], expected: list[float]
) -> None:
    assert seconds(unit, *cells) == expected


@pytest.mark.parametrize(
    ("cells", "unit"),
    [
        (("10:42:00", "10:42:01"), "h:min:s"),
        (("2024-08-14T10:42:00", "2024-08-14T10:42:01"), "date and time"),
        (("1:42 PM", "1:43 PM"), "h:min:s"),
        (("0:42.5", "0:43.5"), "min:s"),
    ],
)
def test_how_the_time_is_written_tells_its_unit(cells: Sequence[str], unit: str) -> None:
    log = table("Time,P low (psig)", *(f"{cell},30.1" for cell in cells))
    assert propose(log).mapping["Time"].unit == unit


def test_a_time_without_a_unit_is_asked_about_when_two_give_a_likely_length() -> None:
    log = table("Time,P low (psig)", *(f"{index},30.1" for index in range(100)))
    assert answers(log, "Time")[:2] == ["s", "min"]


def test_a_time_without_a_unit_is_seconds_when_nothing_else_gives_a_likely_length() -> None:
    log = table("Time,P low (psig)", *(f"{index},30.1" for index in range(700)))
    assert propose(log).mapping["Time"].unit == "s"


def test_a_count_of_samples_is_not_taken_for_seconds_without_asking() -> None:
    log = table("Sample,P low (psig)", *(f"{index},30.1" for index in range(700)))
    assert propose(log).mapping["Sample"].use is Special.TIME
    assert answers(log, "Sample")[0] == "s"


@pytest.mark.parametrize(
    ("header", "value", "fitting"),
    [
        ("Vent (°C)", 47.0, "°F"),
        ("Vent (°F)", 9.0, "°C"),
        ("Suction line (°C)", 48.0, "°F"),
        ("Suction line (°F)", 5.0, "°C"),
        ("Liquid line (°F)", 38.0, "°C"),
        ("Ambient (°F)", 31.0, "°C"),
        ("Ambient (°C)", 88.0, "°F"),
        ("Coolant (°C)", 195.0, "°F"),
        ("Coolant (°F)", 92.0, "°C"),
        ("Low side (bar g)", 30.0, "psi, gauge"),
        ("Low side (psig)", 210.0, "kPa, gauge"),
        ("High side (psig)", 11.2, "bar, gauge"),
        ("High side (kPa g)", 250.0, "psi, gauge"),
        ("High side (bar abs)", 150.0, "psi, absolute"),
    ],
)
def test_values_that_contradict_the_stated_unit_are_asked_about(
    header: str, value: float, fitting: str
) -> None:
    log = session(header, str(value))
    assert fitting in answers(log, propose(log).columns[1].column)


def test_the_day_and_time_of_the_first_sample_are_kept_when_the_file_tells_them() -> None:
    log = table("Time,P low (psig)", "2024-08-14T10:42:00+02:00,30", "2024-08-14T10:42:01+02:00,30")
    _, started, _ = apply_with_notices(log, propose(log).mapping)
    assert started == datetime(2024, 8, 14, 8, 42, tzinfo=UTC)


def test_time_running_backwards_is_refused_with_the_line() -> None:
    with pytest.raises(LogUnreadable, match=r"backwards once, first at line 5: 1 s after 2 s"):
        seconds("s", "0", "1", "2", "1", "3")


def test_several_samples_of_one_time_stamp_are_spread_and_told() -> None:
    log = table("Time (s),P low (psig)", "0,30", "0,31", "1,32", "1,33", "2,34", "2,35")
    recording, _, notices = apply_with_notices(log, propose(log).mapping)
    np.testing.assert_allclose(recording.time_s, [0.0, 0.5, 1.0, 1.5, 2.0, 2.5])
    assert "spread" in notices[0].text


def test_samples_and_units_stay_as_recorded() -> None:
    log = session("P low (psig),T suction (°F)", "30.1,45.5")
    recording = apply(log, propose(log).mapping)
    low, suction = recording.channels
    assert (low.role, low.unit, low.gauge) == (Role.LOW_SIDE, "psi", True)
    assert (suction.role, suction.unit, suction.gauge) == (Role.SUCTION_LINE, "°F", False)
    np.testing.assert_array_equal(low.values, 30.1)


def test_files_of_one_logger_share_a_signature_whatever_stands_above_the_header() -> None:
    rows = "".join(f"{index},30.1\n" for index in range(5))
    one = read_log(f"Exported 14 Aug\nTime (s),P low (psig)\n{rows}".encode(), "a.csv")
    two = read_log(f"Time  (S);P Low (psig)\n{rows.replace(',', ';')}".encode(), "b.csv")
    other = read_log(f"Time (s),P low (bar)\n{rows}".encode(), "c.csv")
    assert signature(one) == signature(two)
    assert signature(one) != signature(other)


assignments = st.builds(
    Assignment,
    use=st.sampled_from([Role.LOW_SIDE, Role.HIGH_SIDE]),
    unit=st.sampled_from(["psi", "bar", "kPa"]),
    gauge=st.booleans(),
)


@given(st.dictionaries(st.text(max_size=8), assignments, max_size=5))
def test_a_mapping_survives_being_kept(mapping: Mapping[str, Assignment]) -> None:
    assert from_plain(as_plain(mapping)) == mapping


@given(assignments)
def test_an_assignment_survives_being_written_in_words(one: Assignment) -> None:
    read = assignment_from_words(one.words)
    assert (read.use, read.unit, read.gauge) == (one.use, one.unit, one.gauge)


def test_words_name_gauge_by_the_unit_too() -> None:
    assert assignment_from_words("low side, psig").gauge is True


@pytest.mark.parametrize("words", ["lowside, psi", "low side, °C", "low side, furlong"])
def test_words_that_name_nothing_known_are_refused(words: str) -> None:
    with pytest.raises(MappingUnreadable):
        assignment_from_words(words)
