"""Confirmed cases move the signatures, a little each, in any order."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_checkup.core.explain.evidence import Load
from knowngood_checkup.core.explain.faults import Fault
from knowngood_checkup.core.explain.inference import weigh
from knowngood_checkup.core.explain.known import KNOWN, Known
from knowngood_checkup.core.explain.learned import Confirmed, learned
from knowngood_checkup.core.explain.signatures import SIGNATURES
from knowngood_checkup.core.explain.ways import sizes
from knowngood_refdata.records import CompressorKind

from .conftest import OFF

if TYPE_CHECKING:
    from .conftest import Make

SUCTION = Load.HOLDS_SUCTION


def test_without_cases_nothing_moves() -> None:
    assert learned([]) == Known(dict(SIGNATURES))


def test_cases_move_the_direction_towards_what_they_showed(session: Make) -> None:
    # In this shop's cars a blend door leak cools the high side a little, too.
    case = Confirmed(Fault.BLEND_DOOR, session((0.0, -2.5, 0.0, 0.0, 6.0), None, full_stroke=(0.0, 0.0)))
    one, many = (learned([case] * count).signatures[SUCTION][Fault.BLEND_DOOR].at_idle for count in (1, 20))
    assert SIGNATURES[SUCTION][Fault.BLEND_DOOR].at_idle[1] == 0.0
    assert -1.0 < one[1] < -0.1
    assert many[1] == pytest.approx(-2.5, abs=1.0)


def test_a_case_counts_more_for_its_like_afterwards(session: Make) -> None:
    odd = session((0.0, -3.0, 0.0, -3.0, 5.0), None, CompressorKind.INTERNAL_VARIABLE, (0.0, 0.0))
    taught = learned([Confirmed(Fault.BLEND_DOOR, odd)] * 8)

    def chance(known: Known) -> float:
        ranked = weigh(odd, known)
        return next(one.probability for one in ranked if one.fault is Fault.BLEND_DOOR)

    assert chance(taught) > chance(KNOWN)


def test_cases_may_come_in_any_order(session: Make) -> None:
    cases = [
        Confirmed(Fault.UNDERCHARGE, session((-0.5, -3.0, 7.0, -6.0, 2.0), None)),
        Confirmed(Fault.UNDERCHARGE, session((-1.0, -5.0, 9.0, -5.0, 3.0), (0.0, -3.0, 8.0, -6.0, 2.0))),
        Confirmed(Fault.OVERCHARGE, session((0.0, 5.0, 0.0, 6.0, 0.0), None)),
    ]
    forth, back = learned(cases), learned(cases[::-1])
    for load, of_load in forth.signatures.items():
        for fault, signature in of_load.items():
            np.testing.assert_array_equal(signature.at_idle, back.signatures[load][fault].at_idle)
    for fault, ways in forth.ways.items():
        np.testing.assert_array_equal(ways, back.ways[fault])


def test_a_drift_the_other_way_is_the_same_fault(session: Make) -> None:
    down = session((-4.0, 2.0, 0.0, 0.0, -3.5), None, full_stroke=(0.0, 0.0))
    moved = learned([Confirmed(Fault.SET_POINT, down)] * 10).signatures[SUCTION][Fault.SET_POINT]
    assert moved.at_idle[0] > 3.0


def test_a_healthy_case_teaches_nothing(session: Make) -> None:
    assert learned([Confirmed(Fault.HEALTHY, session(OFF, None))]) == learned([])


def test_the_picture_that_fits_this_shops_cars_is_believed_more(session: Make) -> None:
    # Weak compressors at full stroke, as the cycle has them; the pattern scatters far more widely.
    near = [session((5.0, -4.2, -0.3, -1.5, 3.4), None, CompressorKind.FIXED)] * 12
    far = [session((5.5, 0.5, -1.0, -1.0, 3.5), None, CompressorKind.FIXED, spread_k=0.8)] * 12
    shares = [
        learned([Confirmed(Fault.WEAK_COMPRESSOR, one) for one in seen]).ways_of(Fault.WEAK_COMPRESSOR).sum()
        for seen in (near, far)
    ]
    assert shares[0] > 0.5 > shares[1]
    assert all(0.0 < share < 1.0 for share in shares)


def test_common_sizes_gain_with_the_cases_that_show_them(session: Make) -> None:
    slight = session((1.5, -1.3, 0.0, -0.4, 1.0), None, CompressorKind.FIXED, spread_k=0.4)
    ways = learned([Confirmed(Fault.WEAK_COMPRESSOR, slight)] * 12).ways_of(Fault.WEAK_COMPRESSOR)
    after = float(ways @ np.log(sizes()) / ways.sum())
    assert after < float(np.log(sizes()).mean()) - 0.2
