"""The demo's log files say what the simulated cars did, and the session analysis finds it in them."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_demo.composed import two_plateaus
from knowngood_demo.design import Surroundings
from knowngood_demo.instruments import DIGITAL
from knowngood_demo.logs import (
    UNDERCHARGED,
    DemoLogs,
    conditions_of,
    read_truth,
    skerry_session,
    truth_path,
    write_demo_logs,
)
from knowngood_demo.sessions import SUMMER_DAY
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind, unit
from knowngood_refdata.records import EventKind, Quantity, Role, Verdict
from knowngood_sessions.core.finding.analysis import analyse
from knowngood_sessions.core.mapping.importing import prepare, to_recording

if TYPE_CHECKING:
    from pathlib import Path

    from knowngood_refdata.records import Findings, Recording

PSI = unit("psi", Kind.PRESSURE)


@pytest.fixture(scope="session")
def logs(tmp_path_factory: pytest.TempPathFactory) -> DemoLogs:
    return write_demo_logs(tmp_path_factory.mktemp("logs"))


def rows(log: Path) -> list[list[str]]:
    return [line.split(",") for line in log.read_text(encoding="utf-8").splitlines()]


def column(log: Path, name: str) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    head, *body = rows(log)
    place = next(index for index, title in enumerate(head) if title.startswith(name))
    return np.array([float(row[place]) for row in body])


def idle_values(log: Path) -> dict[str, float]:
    values: dict[str, float] = read_truth(log)["plateaus"][0]["values"]
    return values


def test_the_logs_are_the_same_bytes_every_time(logs: DemoLogs, tmp_path: Path) -> None:
    again = write_demo_logs(tmp_path / "again")
    for one, other in zip(logs.all, again.all, strict=True):
        assert one.read_bytes() == other.read_bytes()
        assert truth_path(one).read_bytes() == truth_path(other).read_bytes()


def test_the_skerry_logs_run_twelve_and_a_half_minutes_at_one_second(logs: DemoLogs) -> None:
    for log in (logs.skerry_as_found, logs.skerry_healthy):
        assert np.array_equal(column(log, "Time"), np.arange(750.0))


def test_the_undercharged_skerry_has_no_subcooling_a_low_high_side_and_a_warm_vent(logs: DemoLogs) -> None:
    """The signs of undercharge below the reserve: Grace et al. (2005) and common practice."""
    short, healthy = idle_values(logs.skerry_as_found), idle_values(logs.skerry_healthy)
    assert healthy[Quantity.SUBCOOLING] > 6.0
    assert short[Quantity.SUBCOOLING] < 0.5
    assert short[Quantity.HIGH_SIDE] < healthy[Quantity.HIGH_SIDE] - 1.0e5
    assert short[Quantity.VENT] > healthy[Quantity.VENT] + 2.0
    assert short[Quantity.SUPERHEAT] > healthy[Quantity.SUPERHEAT] + 2.0


def test_what_the_log_shows_lies_within_its_instruments_limits_of_the_truth(logs: DemoLogs) -> None:
    truth = read_truth(logs.skerry_as_found)
    first = truth["plateaus"][0]
    part = slice(first["start_s"], first["end_s"])
    for name, quantity, limit_pa in (
        ("Low side", Quantity.LOW_SIDE, 0.005 * 20e5),
        ("High side", Quantity.HIGH_SIDE, 0.005 * 50e5),
    ):
        shown = PSI.to_si(float(column(logs.skerry_as_found, name)[part].mean())) + SUMMER_DAY.barometer_pa
        assert shown == pytest.approx(first["values"][quantity], abs=limit_pa)


def test_the_coolant_forces_the_fan_in_the_fast_part_and_lets_it_go_at_idle(logs: DemoLogs) -> None:
    up, down = read_truth(logs.skerry_healthy)["events"]
    assert (up["kind"], down["kind"]) == (EventKind.FAN_STAGE_UP, EventKind.FAN_STAGE_DOWN)
    rpm, coolant = column(logs.skerry_healthy, "Engine speed"), column(logs.skerry_healthy, "Coolant")
    high = column(logs.skerry_healthy, "High side")
    assert rpm[up["at_s"]] > 1_900.0
    assert rpm[down["at_s"]] < 900.0
    assert coolant[up["at_s"]] == pytest.approx(208.4, abs=1.5)
    assert high[up["at_s"] + 25 : up["at_s"] + 30].mean() < high[up["at_s"] - 5 : up["at_s"]].mean() - 10.0


def test_the_two_plateaus_read_what_practice_reports_and_return_in_one_to_two_minutes(logs: DemoLogs) -> None:
    """Common practice, no source: 150/30 psi near 750 rpm, 101/43 psi at 2,500 rpm with the fan forced."""
    low, high = column(logs.two_plateaus, "Low side"), column(logs.two_plateaus, "High side")
    assert (low[60:238].mean(), high[60:238].mean()) == pytest.approx((30.0, 150.0), abs=0.5)
    assert (low[400:538].mean(), high[400:538].mean()) == pytest.approx((43.0, 101.0), abs=0.5)
    smooth = np.convolve(high, np.full(9, 1 / 9), mode="same")
    back = next(second for second in range(540, 790) if smooth[second] > 145.0)
    assert 60 <= back - 540 <= 130
    assert high[-60:].mean() == pytest.approx(150.0, abs=1.0)


def test_the_two_plateaus_carry_the_reported_superheat_and_subcooling() -> None:
    """Superheat 6 °F and subcooling 36 to 38 °F at idle: common practice, no source."""
    from CoolProp.CoolProp import PropsSI

    seen = two_plateaus(np.random.default_rng(1))
    mean = {role: float(values[60:238].mean()) for role, values in seen.items()}
    evaporating_k = PropsSI("T", "P", mean[Role.LOW_SIDE], "Q", 1, "R134a")
    condensing_k = PropsSI("T", "P", mean[Role.HIGH_SIDE], "Q", 0, "R134a")
    assert (mean[Role.SUCTION_LINE] - evaporating_k) * 1.8 == pytest.approx(6.0, abs=0.3)
    assert 36.0 < (condensing_k - mean[Role.LIQUID_LINE]) * 1.8 < 38.0


def test_the_metric_log_has_semicolons_decimal_commas_a_unit_row_and_clock_times(logs: DemoLogs) -> None:
    text = logs.plover_metric.read_bytes().decode("utf-8-sig")
    head, units, first, *_ = (line.split(";") for line in text.split("\r\n"))
    assert head[0] == "Time"
    assert units[1:4] == ["bar", "bar", "°C"]
    assert first[0] == "10:42:00"
    truth = idle_values(logs.plover_metric)
    low_pa = float(first[1].replace(",", ".")) * 1e5 + STANDARD_ATMOSPHERE_PA
    assert low_pa == pytest.approx(truth[Quantity.LOW_SIDE], abs=2.0e4)
    assert "." not in "".join(first)


def test_the_fixed_compressor_of_the_metric_log_pulls_the_sides_apart_with_speed(logs: DemoLogs) -> None:
    response = read_truth(logs.plover_metric)["response"]
    assert response["low_pa"] < -2.0e4
    assert response["high_pa"] > 1.0e5


def test_the_truth_names_the_charge_by_weight(logs: DemoLogs) -> None:
    truth = json.loads(truth_path(logs.skerry_as_found).read_text(encoding="utf-8"))
    assert truth["label_kg"] == 0.470
    assert truth["charge_kg"] == pytest.approx(0.470 * UNDERCHARGED.charge)


def imported(log: Path) -> Recording:
    prepared = prepare(log.read_bytes(), log.name)
    assert not prepared.questions
    return to_recording(prepared.table, prepared.mapping).recording


def found_in(log: Path) -> Findings:
    truth = read_truth(log)
    around = Surroundings(
        truth["conditions"]["ambient_k"],
        truth["conditions"]["intake_k"],
        truth["conditions"]["relative_humidity"],
        truth["conditions"]["barometer_pa"],
    )
    return analyse(imported(log), truth["refrigerant"], conditions_of(around), DIGITAL)


def test_an_imported_log_holds_the_samples_and_units_that_were_written(logs: DemoLogs) -> None:
    _, written = skerry_session(UNDERCHARGED, 11)
    read = imported(logs.skerry_as_found)
    assert [one.role for one in read.channels] == [one.role for one in written.channels]
    for one, other in zip(read.channels, written.channels, strict=True):
        assert (one.unit, bool(one.gauge)) == (other.unit, other.gauge)
        assert np.array_equal(one.values, other.values)


@pytest.mark.parametrize("name", ["skerry_as_found", "skerry_healthy", "plover_metric", "two_plateaus"])
def test_the_session_analysis_finds_the_plateaus_and_fan_events_of_the_truth(
    name: str, logs: DemoLogs
) -> None:
    log: Path = getattr(logs, name)
    truth, found = read_truth(log), found_in(log)
    fans = [one for one in found.events if one.kind in {EventKind.FAN_STAGE_UP, EventKind.FAN_STAGE_DOWN}]
    assert [one.kind for one in fans] == [one["kind"] for one in truth["events"]]
    for one, other in zip(fans, truth["events"], strict=True):
        # A fan that stops within seconds of an engine step is told from that step's moment.
        assert one.at_s == pytest.approx(other["at_s"], abs=16.5 if name == "two_plateaus" else 4.0)
    for plateau in truth["plateaus"]:
        middle = 0.5 * (plateau["start_s"] + plateau["end_s"])
        window = next(one for one in found.windows if one.start_s <= middle <= one.end_s)
        assert window.fan_stage == plateau["fan_stage"]
        for quantity in (Quantity.LOW_SIDE, Quantity.HIGH_SIDE, Quantity.SUBCOOLING, Quantity.VENT):
            estimate = window.values[quantity]
            expected = plateau["values"][quantity]
            assert estimate.value == pytest.approx(expected, abs=3.0 * estimate.standard_uncertainty)


def test_on_the_two_plateaus_the_low_side_rises_and_the_high_side_falls_at_another_fan_stage(
    logs: DemoLogs,
) -> None:
    (response,) = found_in(logs.two_plateaus).responses
    assert (response.low, response.high) == (Verdict.RISES, Verdict.FALLS)
    assert not response.same_fan_stage
