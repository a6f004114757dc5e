"""Known-good readings of two refrigerants: each on its own curve, and only like compared with like."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from knowngood_comparison.core.clouds import Cloud, Speeds, clouds, ranges, taken
from knowngood_refdata.quantities import ZERO_CELSIUS_K
from knowngood_refdata.records import AirSource, Conditions, Estimate, Quantity, Reading, Standing
from knowngood_refdata.refrigerants import saturation

OLD, NEW = "R-134a", "R-1234yf"
DAY = Conditions(ambient_k=303.15, relative_humidity=0.5, air_source=AirSource.RECIRCULATION)


def reading(
    refrigerant: str,
    evaporating_c: float = 2.0,
    condensing_c: float = 50.0,
    *,
    conditions: Conditions = DAY,
    rpm: float | None = 820.0,
    stage: int | None = 1,
    unit_id: int | None = 1,
    **more: float,
) -> Reading:
    curve = saturation(refrigerant)
    values = {
        Quantity.LOW_SIDE: curve.pressure_pa(evaporating_c + ZERO_CELSIUS_K),
        Quantity.HIGH_SIDE: curve.pressure_pa(condensing_c + ZERO_CELSIUS_K),
        **{Quantity(name.replace("_", " ")): value for name, value in more.items()},
    }
    estimates = {quantity: Estimate(value, 1.0) for quantity, value in values.items()}
    return Reading(
        1, 1, unit_id, None, datetime(2025, 6, 2, tzinfo=UTC), conditions, rpm, stage, estimates,
        Standing.KNOWN_GOOD,
    )  # fmt: skip


def laid(old: list[Reading], new: list[Reading]) -> tuple[Cloud, Cloud]:
    return clouds((OLD, old), (NEW, new))


def test_equal_saturation_temperatures_fall_together_though_the_pressures_do_not() -> None:
    """0 °C belongs to 2.93 bar for R-134a and to 3.16 bar for R-1234yf, both as in their equations."""
    old, new = reading(OLD, 0.0), reading(NEW, 0.0)
    assert old.values[Quantity.LOW_SIDE].value == pytest.approx(2.93e5, rel=2e-3)
    assert new.values[Quantity.LOW_SIDE].value == pytest.approx(3.16e5, rel=2e-3)
    first, second = laid([old], [new])
    assert first.evaporating_k[0] == pytest.approx(second.evaporating_k[0], abs=1e-6)
    assert first.condensing_k[0] == pytest.approx(50.0 + ZERO_CELSIUS_K, abs=1e-6)


@pytest.mark.parametrize(
    ("other", "alike"),
    [
        (reading(NEW), True),
        (reading(NEW, conditions=replace(DAY, ambient_k=307.0)), True),
        (reading(NEW, conditions=replace(DAY, ambient_k=308.0)), False),
        (reading(NEW, conditions=replace(DAY, ambient_k=None)), False),
        (reading(NEW, conditions=replace(DAY, relative_humidity=0.7)), False),
        (reading(NEW, conditions=replace(DAY, air_source=AirSource.FRESH)), False),
        (reading(NEW, rpm=1_500.0), False),
        (reading(NEW, rpm=None), False),
        (reading(NEW, stage=2), False),
        (reading(NEW, stage=None), False),
    ],
)
def test_only_readings_under_like_and_known_conditions_are_alike(other: Reading, *, alike: bool) -> None:
    first, second = laid([reading(OLD)], [other])
    assert first.alike.tolist() == second.alike.tolist() == [alike]


def test_ranges_hold_the_like_readings_of_each_refrigerant_apart() -> None:
    hot = replace(DAY, ambient_k=315.0)
    old = [reading(OLD, 1.0), reading(OLD, 3.0, unit_id=2), reading(OLD, 12.0, conditions=hot)]
    new = [reading(NEW, 2.0, superheat=6.0), reading(NEW, 2.5)]
    rows = {row.name: row.ranges for row in ranges(laid(old, new))}
    first, second = rows["Evaporating"]
    assert first is not None
    assert second is not None
    assert (first.least, first.median, first.most) == pytest.approx((274.15, 275.15, 276.15), abs=1e-5)
    assert (first.readings, first.cars) == (2, 2)
    assert (second.readings, second.cars) == (2, 1)
    none, some = rows["Superheat"]
    assert none is None
    assert some is not None
    assert (some.median, some.readings) == (6.0, 1)


def test_a_reading_without_both_pressures_is_left_out_and_counted() -> None:
    lacking = replace(reading(OLD), values={Quantity.LOW_SIDE: Estimate(3e5, 1.0)})
    off_the_curve = reading(OLD)
    beyond = {**off_the_curve.values, Quantity.HIGH_SIDE: Estimate(45e5, 1.0)}
    first, _ = laid([lacking, replace(off_the_curve, values=beyond), reading(OLD)], [])
    assert len(first.readings) == 1
    assert first.left_out == 2


def test_readings_of_no_named_car_count_for_a_car_each() -> None:
    first, _ = laid([reading(OLD, unit_id=None), reading(OLD, unit_id=None), reading(OLD), reading(OLD)], [])
    assert first.cars == 3


def test_no_reading_on_one_side_leaves_the_other_without_a_like_one() -> None:
    first, second = laid([reading(OLD)], [])
    assert not first.alike.any()
    assert second.readings == ()
    assert all(row.ranges == (None, None) for row in ranges((first, second)))


def test_idle_and_faster_readings_are_told_apart_and_unknown_speeds_are_neither() -> None:
    given = [reading(OLD, rpm=rpm) for rpm in (820.0, 1_500.0, None, 0.0)]
    assert [one.engine_rpm for one in taken(given, Speeds.IDLE)] == [820.0]
    assert [one.engine_rpm for one in taken(given, Speeds.ABOVE)] == [1_500.0]
    assert len(taken(given, Speeds.ALL)) == 4
