"""What a person found out about a session: weighings, answers of measurements, the true explanation."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_refdata.drafts import SessionDraft
from knowngood_refdata.errors import NotFound, UnfitValue
from knowngood_refdata.queries import checkups, sessions
from knowngood_refdata.queries.session_history import session_history
from knowngood_refdata.queries.undo import undo
from knowngood_refdata.records import Channel, Estimate, FoundOut, Recording, Role, Weighed

if TYPE_CHECKING:
    from knowngood_refdata.store import Store

RECORDING = Recording(np.arange(5.0), (Channel("P1", Role.LOW_SIDE, "psi", True, np.ones(5)),))


@pytest.fixture
def number(store: Store) -> int:
    return sessions.save(store, SessionDraft(None, "as found", "R-134a", "a.csv"), RECORDING, b"a")


def test_nothing_is_known_of_a_session_at_first(store: Store, number: int) -> None:
    assert checkups.found_out(store, number) == FoundOut()


def test_each_session_keeps_what_was_weighed_and_answered(store: Store, number: int) -> None:
    other = sessions.save(store, SessionDraft(None, "as left", "R-134a", "b.csv"), RECORDING, b"b")
    checkups.weigh(store, number, Weighed.RECOVERED, Estimate(0.31, 0.005))
    checkups.weigh(store, other, Weighed.CHARGED, Estimate(0.47, 0.002))
    checkups.answer(store, number, "identifier", "much air")
    here, there = checkups.found_out(store, number), checkups.found_out(store, other)
    assert here.weighings == {Weighed.RECOVERED: Estimate(0.31, 0.005)}
    assert there.weighings == {Weighed.CHARGED: Estimate(0.47, 0.002)}
    assert (here.answers, there.answers) == ({"identifier": "much air"}, {})


def test_a_second_answer_takes_the_place_of_the_first_and_both_stay_in_the_history(
    store: Store, number: int
) -> None:
    checkups.answer(store, number, "identifier", "much air")
    checkups.answer(store, number, "identifier", "another gas")
    checkups.weigh(store, number, Weighed.RECOVERED, Estimate(0.31, 0.005))
    checkups.weigh(store, number, Weighed.RECOVERED, Estimate(0.32, 0.005))
    found = checkups.found_out(store, number)
    assert found.answers == {"identifier": "another gas"}
    assert found.weighings[Weighed.RECOVERED].value == 0.32
    changes = [(one.kind, one.action) for one in session_history(store, number)]
    assert changes.count(("measurement", "changed")) == changes.count(("weighing", "changed")) == 1


def test_what_was_put_down_can_be_taken_away_and_brought_back(store: Store, number: int) -> None:
    checkups.answer(store, number, "identifier", "much air")
    checkups.answer(store, number, "identifier", "")
    assert checkups.found_out(store, number).answers == {}
    undo(store, session_history(store, number)[0].id, "it was right")
    assert checkups.found_out(store, number).answers == {"identifier": "much air"}


def test_a_case_says_how_it_was_found_and_who_says_so(store: Store, number: int) -> None:
    with pytest.raises(UnfitValue, match="how it was found"):
        checkups.confirm(store, number, "undercharge", " ")
    assert checkups.cases(store) == ()
    checkups.confirm(store, number, "undercharge", "160 g missing on the scale")
    (case,) = checkups.cases(store)
    assert (case.session_id, case.explanation, case.who) == (number, "undercharge", store.user)
    assert checkups.found_out(store, number).case == case
    checkups.confirm(store, number, "air or foreign gas", "identifier after all")
    (now,) = checkups.cases(store)
    assert replace(now, at=case.at) == replace(
        case, explanation="air or foreign gas", how="identifier after all"
    )
    checkups.confirm(store, number, "", "")
    assert checkups.cases(store) == ()


@pytest.mark.parametrize("mass_kg", [-0.1, 75.0, float("nan"), float("inf")])
def test_no_vehicle_holds_such_a_mass(store: Store, number: int, mass_kg: float) -> None:
    with pytest.raises(UnfitValue, match="no mass of refrigerant"):
        checkups.weigh(store, number, Weighed.CHARGED, Estimate(mass_kg, 0.002))
    assert checkups.found_out(store, number) == FoundOut()


def test_nothing_is_put_down_for_a_session_that_is_not_there(store: Store) -> None:
    with pytest.raises(NotFound):
        checkups.weigh(store, 99, Weighed.CHARGED, Estimate(0.4, 0.0))
    with pytest.raises(NotFound):
        checkups.answer(store, 99, "identifier", "much air")
    with pytest.raises(NotFound):
        checkups.confirm(store, 99, "undercharge", "weighed")
