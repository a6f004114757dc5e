"""Steady windows that a person set stand beside the program's, each with its own word."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA
from knowngood_refdata.records import Conditions, Findings, Instruments, Quantity, Verdict
from knowngood_sessions.core.finding.analysis import analyse

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tests.plugins.sessions.conftest import Kit, MadeSession


def findings(made: MadeSession, by_hand: Sequence[tuple[float, float, str]] = ()) -> Findings:
    return analyse(made.recording, "R-134a", Conditions(fan_stage=1), Instruments(), by_hand=by_hand)


def revved(kit: type[Kit], to_low: float = 15.0, to_high: float = 217.0) -> MadeSession:
    turns = [
        kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0)),
        kit.Turn(150.0, "engine", kit.targets(to_low, to_high, 2_500.0)),
    ]
    return kit.make(turns, 360.0, noise=kit.Noise(of_limit=0.05))


def test_a_persons_window_holds_what_lies_in_it_and_keeps_its_word_and_its_ends(kit: type[Kit]) -> None:
    (mine,) = (one for one in findings(revved(kit), [(40.0, 120.0, "before revving")]).windows if one.by_hand)
    assert (mine.start_s, mine.end_s, mine.label) == (40.0, 120.0, "before revving")
    assert mine.engine_rpm == pytest.approx(750.0, abs=5.0)
    low = mine.values[Quantity.LOW_SIDE]
    assert low.value == pytest.approx(30.0 * kit.PSI + STANDARD_ATMOSPHERE_PA, rel=0.003)
    assert mine.behaviour[Quantity.LOW_SIDE].spread == pytest.approx(0.05 * 0.016 * 10e5, rel=0.3)


def test_the_programs_windows_stay_as_they_were_beside_a_persons(kit: type[Kit]) -> None:
    made = revved(kit)
    alone = findings(made).windows
    both = findings(made, [(40.0, 120.0, "mine")]).windows
    assert [one for one in both if not one.by_hand] == list(alone)
    assert [one.start_s for one in both] == sorted(one.start_s for one in both)


def test_a_response_takes_a_persons_window_where_the_two_overlap(kit: type[Kit]) -> None:
    made = revved(kit)
    (program,) = findings(made).responses
    (by_hand,) = findings(made, [(300.0, 355.0, "end")]).responses
    assert (program.from_at_s, by_hand.from_at_s) == (program.from_at_s, program.from_at_s)
    assert program.to_at_s != 300.0
    assert by_hand.to_at_s == 300.0
    assert (by_hand.low, by_hand.high) == (Verdict.FALLS, Verdict.RISES)


def test_a_window_without_a_word_is_named_by_the_engine_speed(kit: type[Kit]) -> None:
    made = revved(kit)
    labels = [one.label for one in findings(made, [(300.0, 355.0, "")]).windows if one.by_hand]
    assert labels == ["2500 rpm"]


def test_a_window_outside_the_samples_is_kept_and_holds_nothing(kit: type[Kit]) -> None:
    (mine,) = (one for one in findings(revved(kit), [(900.0, 950.0, "later")]).windows if one.by_hand)
    assert (mine.start_s, mine.end_s, mine.label) == (900.0, 950.0, "later")
    assert mine.values == {}
    assert mine.engine_rpm is None


def test_a_window_half_outside_the_samples_holds_what_there_is(kit: type[Kit]) -> None:
    (mine,) = (one for one in findings(revved(kit), [(340.0, 500.0, "")]).windows if one.by_hand)
    assert mine.end_s == 500.0
    assert mine.values[Quantity.HIGH_SIDE].value == pytest.approx(
        217.0 * kit.PSI + STANDARD_ATMOSPHERE_PA, rel=0.003
    )
