"""What is laid beside a session: another session, and what known-good readings say of its windows."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood.formatting import System
from knowngood_refdata.drafts import ReadingDraft
from knowngood_refdata.queries import readings, vehicles
from knowngood_refdata.records import (
    AirSource,
    Conditions,
    Estimate,
    Event,
    EventKind,
    Opening,
    Quantity,
    Standing,
    SteadyWindow,
)
from knowngood_sessions.channel_layout import USUAL, plots
from knowngood_sessions.expected_bands import expected_of
from knowngood_sessions.overlaying import START, alignments
from knowngood_sessions.session_panels import Overlay, bands, ready

if TYPE_CHECKING:
    from knowngood_refdata.store import Store
    from knowngood_sessions.gather import Session

STEP, FAN_UP = EventKind.ENGINE_SPEED_STEP, EventKind.FAN_STAGE_UP
CONDITIONS = Conditions(
    ambient_k=304.0, intake_k=298.0, relative_humidity=0.5, barometer_pa=101_325.0, blower=1.0,
    air_source=AirSource.RECIRCULATION, doors=Opening.CLOSED, hood=Opening.CLOSED, sun=False, fan_stage=1,
    run_time_s=600.0,
)  # fmt: skip
PSI_PA = 6_894.757


def test_two_sessions_are_aligned_by_time_engine_speed_step_or_fan_step() -> None:
    ours = [
        Event(STEP, 60.0, ""),
        Event(STEP, 200.0, ""),
        Event(FAN_UP, 90.0, ""),
        Event(EventKind.CLUTCH_CYCLING, 5.0, ""),
    ]
    theirs = [Event(FAN_UP, 130.0, ""), Event(STEP, 45.0, ""), Event(STEP, 300.0, ""), Event(STEP, 400.0, "")]
    found = alignments(ours, theirs)
    assert [one.shift_s for one in found] == [0.0, 15.0, -100.0, -40.0]
    assert found[0].words == START
    assert found[1].words == "engine speed step, 1:00 here, 0:45 there"
    assert found[3].words == "fan stage up, 1:30 here, 2:10 there"


def test_a_session_laid_over_is_drawn_dashed_in_the_same_unit_and_moved(session: Session) -> None:
    made = ready(session, Overlay(session, 42.0), USUAL, System.US)
    for panel in made.panels:
        laid = [one for one in panel.curves if one.key.startswith("other: ")]
        own = [one for one in panel.curves if not one.key.startswith("other: ")]
        assert len(laid) == len(own) > 0
        for other, mine in zip(laid, own, strict=True):
            assert (other.shift_s, other.pale, other.line.value) == (42.0, True, "dashed")
            np.testing.assert_array_equal(other.values, mine.values)


def test_a_channel_that_the_other_session_has_not_is_drawn_alone(session: Session) -> None:
    fewer = replace(session, traces=tuple(one for one in session.traces if one.key != "low side"))
    (pressures, *_) = ready(session, Overlay(fewer, 0.0), USUAL, System.SI).panels
    assert [one.key for one in pressures.curves] == ["other: high side", "low side", "high side"]


def book(store: Store, vehicle_id: int, cars: int) -> None:
    """Known-good readings at idle, two of each car."""
    for car in range(cars):
        unit_id = vehicles.add_unit(store, vehicle_id, vin=f"XDEMT{car}", fleet_number="", note="")
        for day in (1, 2):
            value = Estimate(308_000.0 + 3_000.0 * car + 500.0 * day, 1_500.0)
            taken_at = datetime(2026, 7, 2 * car + day, tzinfo=UTC)
            readings.add(
                store,
                ReadingDraft(
                    vehicle_id, unit_id, None, taken_at, CONDITIONS, 750.0, 1, {Quantity.LOW_SIDE: value},
                    Standing.KNOWN_GOOD, "charged by weight",
                ),
            )  # fmt: skip


IDLE = SteadyWindow(20.0, 230.0, 750.0, 1, "idle", {Quantity.LOW_SIDE: Estimate(3e5, 1e3)})


def test_without_vehicle_window_or_known_good_reading_the_reason_is_told(
    store: Store, session: Session
) -> None:
    info = session.info
    assert expected_of(store, replace(info, vehicle_id=None), [IDLE]).reason == (
        "the session belongs to no vehicle"
    )
    assert "holds no known-good reading" in expected_of(store, info, [IDLE]).reason
    assert "no steady window" in expected_of(store, info, []).reason


def test_known_good_readings_stand_behind_the_window_that_they_match_and_the_other_says_why_not(
    store: Store, session: Session
) -> None:
    info = replace(session.info, conditions=CONDITIONS)
    book(store, info.vehicle_id or 0, 5)
    otherwise = replace(IDLE, start_s=300.0, end_s=500.0, fan_stage=2, label="idle (2)")
    expected = expected_of(store, info, [IDLE, otherwise])
    bands_here = [one for one in expected.bands if one.key == "low side"]
    assert len(bands_here) == 1, expected.reason
    (band,) = bands_here
    assert (band.start_s, band.end_s) == (20.0, 230.0)
    assert band.outer[0] < band.inner[0] < 308_000.0 + 6_000.0 < band.inner[1] < band.outer[1]
    assert band.whose == "5 cars"
    assert expected.basis == "its configuration, 10 readings of 5 cars"
    assert expected.reason.startswith("idle (2): fan stage")
    mine = replace(IDLE, start_s=30.0, label="mine", by_hand=True)
    assert expected_of(store, info, [IDLE, otherwise, mine]) == expected
    pressures = plots(session.traces, USUAL, System.US, session.barometer_pa)[0]
    drawn = bands(pressures, [band])
    assert [one.low for one in drawn] == [pytest.approx((band.outer[0] - session.barometer_pa) / PSI_PA)]
    assert drawn[0].label == "low side, 5 cars"
    assert bands(plots(session.traces, USUAL, System.US, session.barometer_pa)[3], [band]) == ()
