"""Confirmed cases move the signatures, a little each, in any order."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_checkup.core.explain.evidence import Load
from knowngood_checkup.core.explain.faults import Fault
from knowngood_checkup.core.explain.inference import weigh
from knowngood_checkup.core.explain.learned import Confirmed, learned
from knowngood_checkup.core.explain.signatures import SIGNATURES
from knowngood_refdata.records import CompressorKind

from .conftest import OFF

if TYPE_CHECKING:
    from .conftest import Make

SUCTION = Load.HOLDS_SUCTION


def test_without_cases_nothing_moves() -> None:
    assert learned([]) == {load: dict(of_load) for load, of_load in SIGNATURES.items()}


def test_cases_move_the_direction_towards_what_they_showed(session: Make) -> None:
    # In this shop's cars a blend door leak cools the high side a little, too.
    case = Confirmed(Fault.BLEND_DOOR, session((0.0, -2.5, 0.0, 0.0, 6.0), None, full_stroke=(0.0, 0.0)))
    one, many = (learned([case] * count)[SUCTION][Fault.BLEND_DOOR].at_idle for count in (1, 20))
    assert SIGNATURES[SUCTION][Fault.BLEND_DOOR].at_idle[1] == 0.0
    assert -1.0 < one[1] < -0.1
    assert many[1] == pytest.approx(-2.5, abs=1.0)


def test_a_case_counts_more_for_its_like_afterwards(session: Make) -> None:
    odd = session((0.0, -3.0, 0.0, -3.0, 5.0), None, CompressorKind.INTERNAL_VARIABLE, (0.0, 0.0))
    taught = learned([Confirmed(Fault.BLEND_DOOR, odd)] * 8)

    def chance(signatures: object) -> float:
        ranked = weigh(odd, signatures)  # type: ignore[arg-type]
        return next(one.probability for one in ranked if one.fault is Fault.BLEND_DOOR)

    assert chance(taught) > chance(SIGNATURES)


def test_cases_may_come_in_any_order(session: Make) -> None:
    cases = [
        Confirmed(Fault.UNDERCHARGE, session((-0.5, -3.0, 7.0, -6.0, 2.0), None)),
        Confirmed(Fault.UNDERCHARGE, session((-1.0, -5.0, 9.0, -5.0, 3.0), (0.0, -3.0, 8.0, -6.0, 2.0))),
        Confirmed(Fault.OVERCHARGE, session((0.0, 5.0, 0.0, 6.0, 0.0), None)),
    ]
    forth, back = learned(cases), learned(cases[::-1])
    for load, of_load in forth.items():
        for fault, signature in of_load.items():
            np.testing.assert_array_equal(signature.at_idle, back[load][fault].at_idle)


def test_a_drift_the_other_way_is_the_same_fault(session: Make) -> None:
    down = session((-4.0, 2.0, 0.0, 0.0, -3.5), None, full_stroke=(0.0, 0.0))
    moved = learned([Confirmed(Fault.SET_POINT, down)] * 10)[SUCTION][Fault.SET_POINT]
    assert moved.at_idle[0] > 3.0


def test_a_healthy_case_teaches_nothing(session: Make) -> None:
    assert learned([Confirmed(Fault.HEALTHY, session(OFF, None))]) == learned([])
