"""Known-good, the way in: what is asked, what is missing, and when the program proposes."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from knowngood_checkup.core.admission import Needed, OpenNote, State, proposed, requirements
from knowngood_checkup.core.checkup import Car, check
from knowngood_checkup.core.explained import against_label, known_answers
from knowngood_refdata.records import (
    Conditions,
    Estimate,
    Findings,
    FoundOut,
    Quantity,
    SteadyWindow,
    Weighed,
)

from .healthy_cars import SUMMER, book, printed, window

if TYPE_CHECKING:
    from knowngood_checkup.core.admission import Requirement

WHOLE = FoundOut({Weighed.CHARGED: Estimate(0.472, 0.005)}, {"engine-off check": "at saturation"})


def asked(
    found_out: FoundOut = WHOLE,
    of: SteadyWindow | None = None,
    conditions: Conditions = SUMMER,
    cars: int = 8,
) -> dict[Needed, State]:
    known, vehicle = book(cars=cars)
    checked = check(known, Car(vehicle, None, conditions), Findings((of or window(),)), {})
    found = requirements(checked.windows[0], conditions, found_out, vehicle.spec("charge"), checked.explained)
    assert proposed(found) == all(one.state in (State.MET, State.NOT_KNOWN) for one in found)
    return {one.needed: one.state for one in found}


def test_a_weighed_checked_healthy_reading_with_all_conditions_is_proposed() -> None:
    assert set(asked().values()) == {State.MET}


@pytest.mark.parametrize(
    ("found_out", "needed", "state"),
    [
        (FoundOut(answers=WHOLE.answers), Needed.CHARGED, State.MISSING),
        (replace(WHOLE, weighings={Weighed.CHARGED: Estimate(0.42, 0.005)}), Needed.CHARGED, State.AGAINST),
        (replace(WHOLE, weighings={Weighed.RECOVERED: Estimate(0.47, 0.0)}), Needed.CHARGED, State.MISSING),
        (replace(WHOLE, answers={}), Needed.ENGINE_OFF, State.MISSING),
        (replace(WHOLE, answers={"engine-off check": "above saturation"}), Needed.ENGINE_OFF, State.AGAINST),
    ],
)
def test_what_was_not_weighed_or_checked_is_named(found_out: FoundOut, needed: Needed, state: State) -> None:
    assert {one for one, held in asked(found_out).items() if held is not State.MET} == {needed}
    assert asked(found_out)[needed] is state


def test_a_short_window_is_not_long_enough() -> None:
    assert asked(of=replace(window(), end_s=40.0))[Needed.LONG] is State.MISSING


def test_a_condition_that_was_not_recorded_is_missing() -> None:
    assert asked(conditions=replace(SUMMER, blower=None))[Needed.CONDITIONS] is State.MISSING
    assert asked(of=window(stage=None))[Needed.CONDITIONS] is State.MISSING


def test_a_vent_outside_by_less_than_its_uncertainty_is_no_finding() -> None:
    # From the middle of its range outwards there is a stretch in which nothing can be told.
    states = [asked(of=window(moved={Quantity.VENT: 0.25 * step}))[Needed.VENT] for step in range(25)]
    first, last = states.index(State.NOT_KNOWN), states.index(State.AGAINST)
    assert states[:first] == [State.MET] * first
    assert first < last
    assert states[first:] == [State.NOT_KNOWN] * (last - first) + [State.AGAINST] * (25 - last)


def test_a_warm_vent_and_an_open_finding_speak_against_it() -> None:
    found = asked(of=window(moved={Quantity.VENT: 7.0}))
    assert found[Needed.VENT] is State.AGAINST
    assert found[Needed.NO_FINDING] is State.AGAINST


def test_the_first_readings_of_a_car_can_be_proposed_though_nothing_is_known_yet() -> None:
    found = asked(cars=1)
    assert found[Needed.VENT] is State.NOT_KNOWN
    assert found[Needed.NO_FINDING] is State.NOT_KNOWN


def noted(*notes: OpenNote) -> tuple[Requirement, ...]:
    known, vehicle = book(cars=8)
    checked = check(known, Car(vehicle, None, SUMMER), Findings((window(),)), {})
    return requirements(
        checked.windows[0], SUMMER, WHOLE, vehicle.spec("charge"), checked.explained, notes
    )  # fmt: skip


def test_a_caution_of_a_check_is_an_open_finding_with_what_it_says_and_who_says_it() -> None:
    found = noted(OpenNote("The hood was shut.", "hood watch", caution=True))
    assert [(one.state, one.why) for one in found if one.needed is Needed.NOTE] == [
        (State.AGAINST, "The hood was shut. (plugin hood watch)")
    ]
    assert not proposed(found)


def test_a_remark_is_repeated_and_does_not_hinder() -> None:
    found = noted(OpenNote("Common instruments.", "sessions", caution=False))
    assert found[-1].state is State.REMARK
    assert "Common instruments." in found[-1].why
    assert proposed(found)


@pytest.mark.parametrize(
    ("mass_kg", "scale_kg", "side"),
    [
        (0.470, 0.005, 0),
        (0.484, 0.0, 0),
        (0.486, 0.0, 1),
        (0.4649, 0.0, 0),
        (0.430, 0.005, -1),
        (0.450, 0.005, 0),
    ],
)
def test_a_mass_is_judged_by_the_labels_tolerance_and_the_scales_doubt(
    mass_kg: float, scale_kg: float, side: int
) -> None:
    label = printed("charge", "470 ± 15 g", 0.470, 0.015)
    assert against_label(Estimate(mass_kg, scale_kg), label) == side


def test_what_was_recovered_answers_for_itself_and_an_unknown_answer_is_left_out() -> None:
    label = printed("charge", "470 ± 15 g", 0.470, 0.015)
    given = {"identifier": "much air", "a measurement of a plugin": "yes", "engine-off check": "perhaps"}
    found = known_answers(given, {Weighed.RECOVERED: Estimate(0.31, 0.005)}, label)
    assert found == {"identifier": "much air", "recover and weigh": "less than the label"}
    assert known_answers(given, {}, label) == {"identifier": "much air"}
