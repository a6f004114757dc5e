"""The ways in which a car may answer: always the same, and as the book's car can."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_checkup.core.explain.cyclic import ALTERED, ways_moved
from knowngood_checkup.core.explain.evidence import SIGNALS, CarKind, Signal
from knowngood_checkup.core.explain.faults import PRIOR, Fault
from knowngood_checkup.core.explain.inference import WITHOUT_SIZE, versions_of, weigh
from knowngood_checkup.core.explain.known import KNOWN
from knowngood_checkup.core.explain.stack import stacked
from knowngood_checkup.core.explain.ways import COUNT, draws, margins, sizes
from knowngood_refdata.records import CompressorKind

from .conftest import OFF

if TYPE_CHECKING:
    from .conftest import Make

INTERNAL, EXTERNAL, FIXED = (
    CompressorKind.INTERNAL_VARIABLE,
    CompressorKind.EXTERNAL_VARIABLE,
    CompressorKind.FIXED,
)
LOW = SIGNALS.index(Signal.LOW)


def test_a_session_has_one_answer(session: Make) -> None:
    observed = session((0.0, -3.0, 6.0, -5.0, 1.0), (0.0, -2.0, 6.0, -6.0, 1.0))
    before = weigh(observed)
    draws.cache_clear()
    assert weigh(observed) == before


def test_sizes_lie_about_a_common_one() -> None:
    assert np.median(sizes()) == pytest.approx(0.9, rel=0.01)
    assert 0.3 < np.quantile(sizes(), 0.05) < 0.5


def test_every_explanation_with_a_size_has_its_cycle() -> None:
    assert set(ALTERED) == set(PRIOR) - WITHOUT_SIZE


def test_the_versions_of_a_fault_share_out_all_of_it(session: Make) -> None:
    observed = session(OFF, OFF)
    stack = stacked(observed.windows)
    for fault in ALTERED:
        share = sum(float(np.exp(one.log_share).sum()) for one in versions_of(fault, observed, stack, KNOWN))
        assert share == pytest.approx(1.0, abs=1e-4)


def test_a_fixed_compressor_has_nothing_to_spare(session: Make) -> None:
    for margin in margins(CarKind(FIXED), session(OFF, OFF).windows):
        np.testing.assert_array_equal(margin, 0.0)


def test_the_faster_it_turns_the_more_it_has_to_spare(session: Make) -> None:
    idle, raised = margins(CarKind(INTERNAL), session(OFF, OFF, full_stroke=(0.1, 0.1)).windows)
    assert (raised >= idle).all()
    assert (raised > idle).mean() > 0.8


def test_what_the_book_says_of_the_stroke_is_mostly_believed(session: Make) -> None:
    for full in (0.02, 0.98):
        (margin,) = margins(CarKind(EXTERNAL), session(OFF, None, full_stroke=(full, full)).windows)
        believed = (margin == 0.0).mean()
        assert abs(believed - full) < 0.15


def test_colder_air_makes_every_move_of_the_low_side_smaller(session: Make) -> None:
    # The nearer the air to the evaporating temperature, the sooner a coil has nothing left to give.
    warm, cool = (
        tuple(replace(one, expected_k={Signal.LOW: 278.0}, intake_k=278.0 + air) for one in seen.windows)
        for air in (30.0, 10.0)
        for seen in (session(OFF, OFF, FIXED),)
    )
    wide, narrow = (
        np.median(ways_moved(Fault.WEAK_COMPRESSOR, CarKind(FIXED), windows)[:, 0, LOW])
        for windows in (warm, cool)
    )
    assert 0.0 < narrow < 0.8 * wide


def test_a_car_with_little_subcooling_to_lose_is_undercharged_when_that_is_gone(session: Make) -> None:
    seen = session((-0.5, -2.5, 8.0, -2.0, 2.0), None, FIXED)

    def chance(subcooling_k: float) -> float:
        windows = tuple(
            replace(one, expected_k={Signal.SUBCOOLING: subcooling_k}, intake_k=None) for one in seen.windows
        )
        ranked = weigh(replace(seen, windows=windows))
        return next(one.probability for one in ranked if one.fault is Fault.UNDERCHARGE)

    # A car that holds 14 K of it and still has 12 is rather short of flow than of liquid.
    assert chance(2.0) > chance(14.0) + 0.05


def test_of_one_size_all_ways_differ_by_the_car_alone(session: Make) -> None:
    windows = session(OFF, OFF, FIXED).windows
    small, large = (
        np.abs(ways_moved(Fault.CONDENSER_AIR, CarKind(FIXED), windows, size)).max(axis=(1, 2))
        for size in (0.5, 2.0)
    )
    assert small.shape == (COUNT,)
    assert (large > small).all()
