"""A change that began before the engine changed its speed is not the engine's."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from knowngood_refdata.records import Conditions, Instruments, Response, Verdict
from knowngood_sessions.core.finding.analysis import analyse

if TYPE_CHECKING:
    from tests.plugins.sessions.conftest import Kit

TOLD = "the readings had moved before the engine did"


def responses(kit: type[Kit], blower_before_s: float, *, idle_again: bool = False) -> tuple[Response, ...]:
    """Idle, another blower speed so many seconds before the engine goes to 2,000 rpm, and that."""
    turns = [kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0))]
    other = (30.0, 150.0)
    if blower_before_s:
        other = (36.0, 128.0)
        turns.append(kit.Turn(200.0 - blower_before_s, "blower", kit.targets(*other, 750.0)))
    turns.append(kit.Turn(200.0, "engine", kit.targets(*other, 2_000.0)))
    if idle_again:
        turns.append(kit.Turn(400.0, "engine", kit.targets(*other, 750.0)))
    made = kit.make(turns, 600.0 if idle_again else 400.0)
    return analyse(made.recording, "R-134a", Conditions(), Instruments()).responses


@pytest.mark.parametrize("blower_before_s", [30.0, 45.0])
def test_a_blower_changed_before_the_engine_makes_no_response(kit: type[Kit], blower_before_s: float) -> None:
    (response,) = responses(kit, blower_before_s)
    assert (response.low, response.high) == (Verdict.CANNOT_TELL, Verdict.CANNOT_TELL)
    assert TOLD in response.remark


def test_sides_that_held_until_the_engine_changed_are_told(kit: type[Kit]) -> None:
    (response,) = responses(kit, 0.0)
    assert (response.low, response.high) == (Verdict.LEVEL, Verdict.LEVEL)
    assert response.remark == ""


def test_the_idle_window_afterwards_is_taken_where_the_one_before_cannot_tell(kit: type[Kit]) -> None:
    (response,) = responses(kit, 40.0, idle_again=True)
    assert (response.low, response.high) == (Verdict.LEVEL, Verdict.LEVEL)
    assert response.from_at_s is not None
    assert response.from_at_s > 400.0
    assert TOLD not in response.remark
