"""Wrong entries are recognised by all quantities together, and what stands apart is not taken for one."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import pytest
from tests.refdata.expected.drawn_fleet import drawn_fleet
from tests.refdata.expected.wrong_entries import (
    PSI_PA,
    fahrenheit,
    gauge_as_absolute,
    gauge_times,
    swapped,
    wrongly,
)

from knowngood_refdata.expected.book import Book
from knowngood_refdata.expected.mistakes import MISTAKES, Taken, entered, modelled
from knowngood_refdata.expected.scatter import log_scatter
from knowngood_refdata.expected.suspects import Suspect, SuspectLevel, suspects
from knowngood_refdata.quantities import ZERO_CELSIUS_K
from knowngood_refdata.records import Quantity
from knowngood_refdata.refrigerants import saturation

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.refdata.expected.fleet import Fleet

    from knowngood_refdata.records import Reading

FAMILY = 9
LINES = ("suction", "liquid")


@cache
def fleet() -> Fleet:
    """Sixteen families."""
    return drawn_fleet(5, makers=6, families=16, configurations=64)


def named(change: Callable[[Reading], Reading], of: Callable[[Reading], bool]) -> tuple[Suspect, ...]:
    """Who is named when some readings are changed."""
    many = [change(one) if of(one) else one for one in fleet().library]
    return suspects(Book.of(many, fleet().vehicles))


def accused(found: tuple[Suspect, ...]) -> set[tuple[SuspectLevel, str, str]]:
    """Whose entries are said to be wrong, and how."""
    return {
        (one.level, one.name, one.reason.removeprefix("it would fit if "))
        for one in found
        if one.reason.startswith("it would fit if ")
    }


def in_family(one: Reading) -> bool:
    return fleet().vehicle(one).family_id == FAMILY


@pytest.mark.parametrize(
    ("mistake", "words"),
    [
        (fahrenheit(*LINES, "vent", "ambient"), "degrees Fahrenheit were entered as degrees Celsius"),
        (fahrenheit(*LINES), "degrees Fahrenheit were entered as degrees Celsius in the line temperatures"),
        (
            fahrenheit("ambient"),
            "degrees Fahrenheit were entered as degrees Celsius in the ambient temperature",
        ),
        (gauge_times(1e3 / PSI_PA), "psi were entered as kilopascals"),
        (gauge_times(PSI_PA / 1e5), "bar were entered as psi"),
        (gauge_as_absolute, "gauge pressure was entered as absolute"),
        (swapped("low", "high"), "high and low side were swapped"),
        (swapped(*LINES), "suction and liquid line were swapped"),
    ],
)
def test_a_family_entered_wrongly_is_named_with_the_mistake_and_no_other_is(
    mistake: Callable[[dict[str, float]], dict[str, float]], words: str
) -> None:
    found = accused(named(lambda one: wrongly(one, mistake), in_family))
    (name,) = {one.family for one in fleet().vehicles if one.family_id == FAMILY}
    assert found == {(SuspectLevel.FAMILY, name, words)}


def test_a_single_reading_entered_wrongly_is_named_as_one() -> None:
    chosen = fleet().library[40]
    found = accused(named(lambda one: wrongly(one, swapped(*LINES)), lambda one: one is chosen))
    assert {(level, words) for level, _, words in found} == {
        (SuspectLevel.READING, "suction and liquid line were swapped")
    }
    assert f"reading {chosen.id} of" in found.pop()[1]


def test_a_car_entered_wrongly_is_named_and_its_family_is_not() -> None:
    of_vehicle = {one.vehicle_id: {r.unit_id for r in fleet().library if r.vehicle_id == one.vehicle_id}
                  for one in fleet().library}  # fmt: skip
    vehicle, units = next((number, units) for number, units in of_vehicle.items() if len(units) > 2)
    unit = min(one for one in units if one is not None)
    found = accused(
        named(
            lambda one: wrongly(one, fahrenheit(*LINES, "vent")),
            lambda one: (one.vehicle_id, one.unit_id) == (vehicle, unit),
        )
    )
    assert found
    assert {level for level, _, _ in found} <= {SuspectLevel.CAR, SuspectLevel.VISIT, SuspectLevel.READING}
    assert all("degrees Fahrenheit were entered as degrees Celsius" in words for _, _, words in found)


def test_a_family_that_truly_stands_apart_is_not_said_to_be_entered_wrongly() -> None:
    moved = {Quantity.CONDENSING_ABOVE_AMBIENT: -14.0, Quantity.SUPERHEAT: 9.0, Quantity.VENT: 9.0}

    def apart(one: Reading) -> Reading:
        values = {
            quantity: replace(value, value=value.value + moved.get(quantity, 0.0))
            for quantity, value in one.values.items()
        }
        return replace(one, values=values)

    found = named(apart, in_family)
    assert any(one.level is SuspectLevel.FAMILY for one in found)
    assert accused(found) == set()


def test_nobody_is_accused_of_a_wrong_entry_in_a_clean_book() -> None:
    assert accused(named(lambda one: one, in_family)) == set()


def test_a_low_side_in_psi_taken_for_kilopascals_is_mended_to_the_printed_temperature() -> None:
    # R-134a at 0 °C: 292.8 kPa absolute, the SI table of the package proptables 0.0.7.
    curve = saturation("R-134a")
    shown_pa = (292.8e3 - 101_325.0) / 6894.757 * 1e3 + 101_325.0
    nothing = np.array([np.nan])
    values = np.vstack([curve.temperature_k(np.array([shown_pa])), *[nothing] * 4])
    taken = Taken(values, nothing, nothing)
    one = next(mistake for mistake in MISTAKES if mistake.what == "psi were entered as kilopascals")
    mended = one.mended(taken, entered(taken, curve), curve).values[0, 0]
    assert mended == pytest.approx(ZERO_CELSIUS_K, abs=0.02)


def test_what_was_entered_gives_the_reading_it_came_from() -> None:
    curve = saturation("R-1234yf")
    values = np.array([[276.0], [17.0], [6.5], [8.0], [281.0]])
    taken = Taken(values, np.array([303.0]), np.array([299.0]))
    assert modelled(entered(taken, curve), curve) == pytest.approx(values, abs=1e-6)


def test_readings_that_scatter_too_much_speak_for_a_factor_and_usual_ones_against_it() -> None:
    off, visit = np.random.default_rng(1).normal(0.0, 1.0, 40), np.arange(40)
    assert log_scatter(1.8 * off, visit, 1.8) > 0.5
    assert log_scatter(off, visit, 1.8) < -1.0
    # Of two visits nothing is concluded, however many readings they have.
    assert log_scatter(1.8 * off, visit % 2, 1.8) == 0.0
