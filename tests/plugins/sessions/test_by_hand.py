"""Readings typed by hand: the recording, the file and the findings made of them."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_refdata.quantities import Kind, unit
from knowngood_refdata.records import Conditions, EventKind, Findings, Instruments, Quantity, Role, Verdict
from knowngood_refdata.refrigerants import saturation
from knowngood_sessions.core.finding.analysis import analyse
from knowngood_sessions.core.finding.by_hand import (
    HandColumn,
    HandPoint,
    HandSheet,
    file_of,
    is_typed,
    recording_of,
)
from knowngood_sessions.core.mapping.assignment import assignment_from_words
from knowngood_sessions.core.mapping.mapping import apply
from knowngood_sessions.core.reading.reader import read_log

from .typed_points import AIR, PSI, point

US = (
    HandColumn(Role.ENGINE_SPEED, "rpm"),
    HandColumn(Role.LOW_SIDE, "psi", gauge=True),
    HandColumn(Role.HIGH_SIDE, "psi", gauge=True),
    HandColumn(Role.SUCTION_LINE, "°F"),
    HandColumn(Role.LIQUID_LINE, "°F"),
    HandColumn(Role.DISCHARGE_LINE, "°F"),
    HandColumn(Role.VENT, "°F"),
)


def sheet(*points: HandPoint, conditions: Conditions | None = None) -> HandSheet:
    when = datetime(2026, 11, 25, 14, 5, tzinfo=UTC)
    return HandSheet(points, US, when, "R-134a", conditions or Conditions())


def found(typed: HandSheet) -> Findings:
    return analyse(recording_of(typed), typed.refrigerant, typed.conditions, typed.instruments)


def test_superheat_and_subcooling_of_a_typed_point_are_those_of_a_textbook_cycle() -> None:
    # Çengel and Boles, Thermodynamics, 5th edition, example 11-2: R-134a leaves the evaporator at 0.14 MPa
    # and -10 °C and the condenser at 0.72 MPa and 26 °C; differences computed from the example's data.
    typed = HandPoint(
        {
            Role.LOW_SIDE: 0.14e6,
            Role.HIGH_SIDE: 0.72e6,
            Role.SUCTION_LINE: 263.15,
            Role.LIQUID_LINE: 299.15,
        }
    )
    (window,) = found(sheet(typed)).windows
    assert window.values[Quantity.SUPERHEAT].value == pytest.approx(8.76, abs=0.02)
    assert window.values[Quantity.SUBCOOLING].value == pytest.approx(1.67, abs=0.02)
    # The book's tables: saturation at 0.14 MPa is -18.77 °C.
    assert window.values[Quantity.EVAPORATING].value == pytest.approx(273.15 - 18.77, abs=0.03)


def test_the_uncertainty_of_a_typed_pressure_is_the_gauges_class_as_a_rectangle() -> None:
    # JCGM 100:2008, 4.3.7: limit over the root of three; class 1.6 of 10 bar is a limit of 0.16 bar.
    (window,) = found(sheet(point())).windows
    assert window.values[Quantity.LOW_SIDE].standard_uncertainty == pytest.approx(0.16e5 / 3**0.5)


def test_every_typed_point_is_a_window_set_by_hand_with_its_speed_stage_and_name() -> None:
    windows = found(sheet(point(), point(2_000.0, 25.0, 170.0), point(750.0))).windows
    assert [one.label for one in windows] == ["idle", "2000 rpm", "idle (2)"]
    assert all(one.by_hand for one in windows)
    assert [one.fan_stage for one in windows] == [1, 1, 1]
    assert windows[1].engine_rpm == 2_000.0
    assert windows[0].end_s < windows[1].start_s


def test_points_at_the_same_fan_stage_give_a_response_of_the_engine_speed_alone() -> None:
    (response,) = found(sheet(point(), point(2_000.0, 22.0, 190.0))).responses
    assert (response.from_rpm, response.to_rpm, response.same_fan_stage) == (750.0, 2_000.0, True)
    assert response.low_pa.value == pytest.approx(-8.0 * PSI)
    assert (response.low, response.high) == (Verdict.FALLS, Verdict.RISES)


def test_a_change_smaller_than_the_gauges_can_tell_is_no_direction() -> None:
    (response,) = found(sheet(point(), point(2_000.0, 29.5, 151.0))).responses
    assert {response.low, response.high} <= {Verdict.LEVEL, Verdict.CANNOT_TELL}


def test_a_response_across_a_fan_step_is_not_said_to_be_the_engine_speeds_alone() -> None:
    found_ = found(sheet(point(), point(2_000.0, 22.0, 130.0, stage=2)))
    (response,) = found_.responses
    assert not response.same_fan_stage
    assert "not the engine speed's alone" in response.remark
    (event,) = found_.events
    assert (event.kind, event.text) == (EventKind.FAN_STAGE_UP, "fan at stage 2, as noted")


def test_a_fan_stage_that_was_not_noted_is_never_taken_as_equal() -> None:
    (response,) = found(sheet(point(stage=None), point(2_000.0, 22.0, 190.0, stage=None))).responses
    assert not response.same_fan_stage
    assert "not noted" in response.remark


def test_of_several_points_at_idle_the_one_at_the_same_fan_stage_is_compared() -> None:
    typed = sheet(point(low=30.0, stage=1), point(low=33.0, stage=2), point(2_000.0, 28.0, 150.0, stage=1))
    alone = [one for one in found(typed).responses if one.same_fan_stage]
    assert [round(one.low_pa.value / PSI, 3) for one in alone] == [-2.0]


def test_without_engine_speed_there_is_a_window_and_no_response() -> None:
    found_ = found(sheet(point(None), point(None)))
    assert [one.label for one in found_.windows] == ["steady", "steady (2)"]
    assert found_.responses == ()


def test_a_point_with_the_engine_off_starts_no_response() -> None:
    found_ = found(sheet(point(0.0, 80.0, 80.0), point(), point(2_000.0, 22.0, 190.0)))
    assert [one.label for one in found_.windows] == ["engine off", "idle", "2000 rpm"]
    assert [(one.from_rpm, one.to_rpm) for one in found_.responses] == [(750.0, 2_000.0)]


def test_condensing_above_ambient_comes_from_the_ambient_of_the_sheet() -> None:
    warm = sheet(point(), conditions=Conditions(ambient_k=303.15))
    condensing = saturation("R-134a").temperature_k(150.0 * PSI + AIR)
    above = found(warm).windows[0].values[Quantity.CONDENSING_ABOVE_AMBIENT]
    assert above.value == pytest.approx(condensing - 303.15)
    assert Quantity.CONDENSING_ABOVE_AMBIENT not in found(sheet(point())).windows[0].values


def test_a_gauge_reading_keeps_its_number_when_the_air_pressure_is_corrected() -> None:
    high_up = sheet(
        HandPoint({Role.LOW_SIDE: 30.0 * PSI + 84_000.0}), conditions=Conditions(barometer_pa=84_000.0)
    )
    recording = recording_of(high_up)
    low = next(one for one in recording.channels if one.role is Role.LOW_SIDE)
    assert (low.values[0], low.gauge, low.unit) == (30.0, True, "psi")
    corrected = analyse(recording, "R-134a", Conditions(barometer_pa=90_000.0), Instruments())
    assert corrected.windows[0].values[Quantity.LOW_SIDE].value == pytest.approx(30.0 * PSI + 90_000.0)


def test_the_time_between_points_stays_without_samples() -> None:
    recording = recording_of(sheet(point(), point(2_000.0)))
    low = next(one for one in recording.channels if one.role is Role.LOW_SIDE)
    assert (np.diff(recording.time_s) > 0.0).all()
    assert np.isnan(low.values).sum() == 1
    assert is_typed(recording)


def test_the_file_of_a_sheet_read_as_a_log_gives_the_same_samples() -> None:
    typed = sheet(point(vent=280.0), point(2_000.0, 25.5, 170.2, suction_line=277.0))
    wanted = recording_of(typed)
    table = read_log(file_of(typed), "typed.txt")
    mapping = {
        "Time": assignment_from_words("time, s"),
        "Engine speed": assignment_from_words("engine speed, rpm"),
        "Low side": assignment_from_words("low side, psi, gauge"),
        "High side": assignment_from_words("high side, psi, gauge"),
        "Suction line": assignment_from_words("suction line, °F"),
        "Vent": assignment_from_words("vent, °F"),
    }
    again = apply(table, mapping)
    np.testing.assert_array_equal(again.time_s, wanted.time_s)
    by_role = {one.role: one for one in wanted.channels}
    for one in again.channels:
        np.testing.assert_array_equal(one.values, by_role[one.role].values)
        assert (one.unit, one.gauge) == (by_role[one.role].unit, by_role[one.role].gauge)


def test_the_file_tells_who_when_and_what_was_typed_in_the_words_of_the_technician() -> None:
    typed = replace(
        sheet(replace(point(), words={Role.LOW_SIDE: "2,1 bar"})),
        technician="R. Moss",
        note="weighed in\n470 g\t<b>ok</b>",
        told=(("Ambient", "88 F"),),
    )
    lines = file_of(typed).decode().splitlines()
    assert "By: R. Moss" in lines
    assert "Note: weighed in 470 g <b>ok</b>" in lines
    assert "Ambient: 88 F" in lines
    assert any("low side 2,1 bar" in line for line in lines)
    assert "Taken: 2026-11-25 14:05+00:00" in lines


def test_the_same_sheet_makes_the_same_file_and_another_note_another() -> None:
    typed = sheet(point())
    assert file_of(typed) == file_of(sheet(point()))
    assert file_of(typed) != file_of(replace(typed, note="again"))


@given(
    st.floats(-12.0, 500.0).map(lambda number: round(number, 3)),
    st.sampled_from(["psi", "bar", "kPa"]),
    st.floats(60_000.0, 108_000.0),
)
def test_a_pressure_typed_in_the_unit_of_its_column_is_stored_as_the_number_typed(
    number: float, name: str, air_pa: float
) -> None:
    si = float(unit(name, Kind.PRESSURE).to_si(number)) + air_pa
    typed = HandSheet(
        (HandPoint({Role.LOW_SIDE: si}),),
        (HandColumn(Role.LOW_SIDE, name, gauge=True),),
        datetime(2026, 11, 25, tzinfo=UTC),
        "R-134a",
        Conditions(barometer_pa=air_pa),
    )
    low = next(one for one in recording_of(typed).channels if one.role is Role.LOW_SIDE)
    assert low.values[0] == pytest.approx(number, abs=1e-6)
