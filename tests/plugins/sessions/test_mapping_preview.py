"""The first minutes of a log under a mapping, and what is odd about a mapping; no window needed."""

from __future__ import annotations

from datetime import datetime
from time import perf_counter

import numpy as np
import pytest

from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind, unit
from knowngood_refdata.records import Channel, Conditions, Instruments, Recording, Role
from knowngood_refdata.refrigerants import saturation
from knowngood_sessions.core.mapping.assignment import Assignment, Special
from knowngood_sessions.core.mapping.importing import Prepared, prepare
from knowngood_sessions.core.mapping.mapping_changes import changes, followed, stored_mapping
from knowngood_sessions.core.mapping.mapping_oddities import mapping_oddities
from knowngood_sessions.core.mapping.mapping_preview import MOST_POINTS, SHOWN_S, preview
from knowngood_sessions.core.mapping.odd_units import Surroundings

PSI = unit("psi", Kind.PRESSURE).factor
AIR = STANDARD_ATMOSPHERE_PA
HEAD = "Time (s),Low (psig),High (psig),Suction line (°F)"


def read(head: str, rows: list[str]) -> Prepared:
    return prepare("\n".join([head, *rows, ""]).encode(), "log.csv")


def steady(seconds: int = 120, low: float = 30.0, high: float = 150.0, line: float = 45.0) -> list[str]:
    return [f"{i},{low},{high},{line}" for i in range(seconds)]


def odd(prepared: Prepared, **changed: Assignment) -> str:
    mapping = {**prepared.mapping, **changed}
    shown = preview(prepared.table, mapping)
    around = Surroundings(saturation("R-134a"), Instruments())

    def write(value: float, what: Role | Kind) -> str:
        return f"{value:.0f} {what.value}"

    return " ".join(one.text for one in mapping_oddities(prepared.table, mapping, shown, around, write))


def test_values_are_shown_as_they_would_be_understood() -> None:
    prepared = read(HEAD, steady())
    shown = preview(prepared.table, prepared.mapping)
    assert shown.values[Role.LOW_SIDE][0] == pytest.approx(30.0 * PSI + AIR)
    assert shown.values[Role.SUCTION_LINE][0] == pytest.approx((45.0 + 459.67) / 1.8)
    absolute = {**prepared.mapping, "Low": Assignment(Role.LOW_SIDE, "psi", gauge=False)}
    assert preview(prepared.table, absolute).values[Role.LOW_SIDE][0] == pytest.approx(30.0 * PSI)
    bar = {**prepared.mapping, "Low": Assignment(Role.LOW_SIDE, "bar", gauge=False)}
    assert preview(prepared.table, bar).values[Role.LOW_SIDE][0] == pytest.approx(30.0e5)


def test_only_the_first_minutes_are_shown_and_never_more_points_than_a_screen_can_use() -> None:
    prepared = read(HEAD, [f"{0.1 * i:.1f},30,150,45" for i in range(20_000)])
    shown = preview(prepared.table, prepared.mapping)
    assert shown.time_s[-1] == pytest.approx(SHOWN_S, abs=1.0)
    assert MOST_POINTS / 2 <= shown.time_s.size <= 2 * MOST_POINTS


def test_a_log_with_one_stamp_for_many_samples_is_shown_too() -> None:
    prepared = read(HEAD, [f"{i // 500},30,150,45" for i in range(10_000)])
    shown = preview(prepared.table, prepared.mapping)
    assert shown.whole
    assert shown.time_s[-1] == pytest.approx(19.0, abs=1.0)


def test_a_million_rows_cost_no_more_than_a_blink() -> None:
    values = np.linspace(29.0, 31.0, 1_000_000)
    prepared = read(HEAD, ["0,30,150,45", "1,30,150,45", "2,30,150,45"])
    from dataclasses import replace

    long = {"Time": np.arange(1e6), "Low": values, "High": 5.0 * values, "Suction line": values + 15.0}
    columns = tuple(replace(one, numbers=long[one.name]) for one in prepared.table.columns)
    table = replace(prepared.table, columns=columns, lines=np.arange(1_000_000))
    around = Surroundings(saturation("R-134a"), Instruments())
    took = []
    for _ in range(5):
        begun = perf_counter()
        shown = preview(table, prepared.mapping)
        mapping_oddities(table, prepared.mapping, shown, around, lambda value, what: f"{value}{what}")
        took.append(perf_counter() - begun)
    assert min(took) < 0.05


def test_what_stands_against_drawing_is_said() -> None:
    prepared = read("Uptime,Low (psig)", [f"{i},30" for i in range(60)])
    without = {name: Assignment(Special.LEFT_OUT) for name in prepared.mapping}
    assert "No column holds the time" in preview(prepared.table, without).problem
    open_unit = {**prepared.mapping, "Uptime": Assignment(Special.TIME)}
    assert "unit of the time Uptime is still open" in preview(prepared.table, open_unit).problem
    nothing = {**without, "Uptime": Assignment(Special.TIME, "s")}
    assert "No column is decided yet" in preview(prepared.table, nothing).problem


def test_time_that_runs_backwards_is_said_and_not_drawn() -> None:
    prepared = read("Time (s),Low (psig)", [f"{(i * 7) % 60},30" for i in range(60)])
    assert "backwards" in preview(prepared.table, prepared.mapping).problem


def test_a_clock_that_was_set_back_once_is_drawn_as_it_would_be_imported() -> None:
    rows = [f"12:{i // 60:02d}:{i % 60:02d},30,150,45" for i in (*range(60), *range(40, 100))]
    prepared = read("Clock,Low (psig),High (psig),Suction line (°F)", rows)
    shown = preview(prepared.table, prepared.mapping)
    assert shown.whole
    assert (np.diff(shown.time_s) > 0.0).all()


def test_what_is_still_asked_is_shown_in_its_likeliest_reading_and_judges_nothing() -> None:
    prepared = read("Time (s),P low,P high,Vent", [f"{i},30,150,48" for i in range(120)])
    shown = preview(prepared.table, prepared.mapping)
    assert shown.supposed == {
        Role.LOW_SIDE: "psi, gauge",
        Role.HIGH_SIDE: "psi, gauge",
        Role.VENT: "°F",
    }
    assert shown.values[Role.LOW_SIDE][0] == pytest.approx(30.0 * PSI + AIR)
    assert odd(prepared) == ""


def test_the_sides_are_supposed_to_be_in_one_unit() -> None:
    # 230 fits a low side in kPa alone, 1,100 a high side in kPa alone; 2.3 and 11 fit bar and kgf/cm².
    for low, high, wanted in ((230.0, 1_100.0, "kPa"), (2.3, 11.0, "bar")):
        rows = [f"{i},{low},{high}" for i in range(120)]
        prepared = read("Time (s),P low,P high", rows)
        supposed = preview(prepared.table, prepared.mapping).supposed
        assert set(supposed.values()) == {f"{wanted}, gauge"}
        stated = {**prepared.mapping, "P low": Assignment(Role.LOW_SIDE, "kgf/cm²", gauge=True)}
        assert (
            preview(prepared.table, stated)
            .supposed[Role.HIGH_SIDE]
            .startswith("kgf/cm²" if wanted == "bar" else "kPa")
        )


def test_sides_that_count_from_different_zeros_are_told() -> None:
    prepared = read(HEAD, steady())
    wrong = Assignment(Role.LOW_SIDE, "psi", gauge=False)
    assert "The high side counts as gauge and the low side as absolute" in odd(prepared, Low=wrong)


def test_a_clean_log_has_nothing_odd() -> None:
    assert odd(read(HEAD, steady())) == ""


def test_a_low_side_that_crosses_the_high_side_now_and_then_is_told() -> None:
    rows = [*steady(100), *(f"{i},160,30,45" for i in range(100, 120))]
    assert "in 17 % of the samples" in odd(read(HEAD, rows))


def test_a_temperature_that_fits_the_other_unit_better_is_told() -> None:
    # Half of the vents below 38: usual in °C for these, and in °F for all.
    rows = [f"{i},{30 + i / 6:.1f}" for i in range(120)]
    assert "in °F" in odd(read("Time (s),Vent (°C)", rows))


def test_gauge_taken_as_absolute_is_told_by_the_saturation_at_rest() -> None:
    # At rest both sides stand at saturation of the air: R-134a at 24.4 °C has 0.653 MPa absolute, 80 psig.
    head = "Time (s),Low (psig),High (psig),Ambient (°F),RPM"
    prepared = read(head, [f"{i},80,80,76,0" for i in range(120)])
    assert odd(prepared) == ""
    wrong = {
        "Low": Assignment(Role.LOW_SIDE, "psi", gauge=False),
        "High": Assignment(Role.HIGH_SIDE, "psi", gauge=False),
    }
    assert "Taken as gauge it would fit" in odd(prepared, **wrong)


def test_a_suction_line_read_in_the_wrong_unit_is_told_by_its_superheat() -> None:
    prepared = read(HEAD, steady(line=40.0))
    wrong = Assignment(Role.SUCTION_LINE, "°C", confirmed=True)
    assert "in the other unit it would be" in odd(prepared, **{"Suction line": wrong})
    assert odd(prepared) == ""


def test_the_mapping_of_a_stored_session_is_read_back_from_its_channels() -> None:
    prepared = read("Time (s),Low (psig),Extra,Vent (°F)", [f"{i},30,7,50" for i in range(60)])
    values = np.full(60, 30.0)
    recording = Recording(
        np.arange(60.0),
        (
            Channel("Low", Role.HIGH_SIDE, "bar", False, values),
            Channel("Vent", Role.VENT, "°C", False, values),
        ),
    )
    mapping = stored_mapping(prepared.table, recording, prepared.mapping)
    assert mapping["Low"].words == "high side, bar, absolute"
    assert mapping["Vent"].words == "vent, °C"
    assert mapping["Extra"].use is Special.LEFT_OUT
    assert mapping["Time"].use is Special.TIME


TIMES = np.arange(0.0, 600.0)
LOW = Channel("Low", Role.LOW_SIDE, "psi", True, np.full(600, 30.0))


def test_the_time_is_read_as_it_was_stored_whatever_is_guessed_now() -> None:
    prepared = read("Time (s),Low (psig)", [f"{i},30" for i in range(600)])
    guessed = {**prepared.mapping, "Time": Assignment(Special.TIME, "ms")}
    mapping = stored_mapping(prepared.table, Recording(TIMES, (LOW,)), guessed)
    assert mapping["Time"] == Assignment(Special.TIME, "s")
    hours = stored_mapping(prepared.table, Recording(60.0 * TIMES, (LOW,)), guessed)
    assert hours["Time"] == Assignment(Special.TIME, "min")


def test_the_column_that_held_the_time_is_found_when_another_is_guessed_now() -> None:
    rows = [f"{i},{0.5 * i},30" for i in range(600)]
    prepared = read("A (s),B (s),Low (psig)", rows)
    guessed = {**prepared.mapping, "A": Assignment(Special.TIME, "s"), "B": Assignment(Special.LEFT_OUT)}
    mapping = stored_mapping(prepared.table, Recording(0.5 * TIMES, (LOW,)), guessed)
    assert mapping["A"].use is Special.LEFT_OUT
    assert mapping["B"] == Assignment(Special.TIME, "s")


def test_day_and_month_are_told_apart_by_when_the_session_began() -> None:
    rows = [f"03/04/2026 12:{i // 60:02d}:{i % 60:02d},30" for i in range(600)]
    prepared = read("When,Low (psig)", rows)
    recording = Recording(TIMES, (LOW,))
    orders = {
        began.month: stored_mapping(prepared.table, recording, prepared.mapping, began)["When"].unit
        for began in (datetime(2026, 3, 4, 12), datetime(2026, 4, 3, 12))  # noqa: DTZ001 - as the file says
    }
    assert orders[3] != orders[4]
    assert all(orders.values())


def test_conditions_taken_from_a_channel_follow_it_and_typed_ones_stay() -> None:
    before = Recording(TIMES, (LOW, Channel("T1", Role.AMBIENT, "°C", False, np.full(600, 40.0))))
    after = Recording(TIMES, (LOW, Channel("T1", Role.AMBIENT, "°F", False, np.full(600, 40.0))))
    taken = Conditions(ambient_k=313.15, intake_k=300.0)
    now = followed(taken, before, after)
    assert now.ambient_k == pytest.approx(277.594, abs=0.001)
    assert now.intake_k == 300.0
    assert followed(Conditions(ambient_k=305.0), before, after).ambient_k == 305.0


def test_only_what_means_something_else_is_told_as_a_change() -> None:
    before = {"Low": Assignment(Role.LOW_SIDE, "psi", gauge=True), "T1": Assignment(Role.VENT, "°F")}
    after = {**before, "T1": Assignment(Special.LEFT_OUT)}
    assert changes(before, after) == ("T1: vent, °F becomes leave out",)
    assert changes(before, dict(before)) == ()
