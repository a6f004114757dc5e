"""Samples come back from the library to the last bit."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from knowngood_refdata.series import CHUNK, DOUBLES, pack, unpack

if TYPE_CHECKING:
    from numpy.typing import NDArray

ANY = st.floats(allow_nan=True, allow_infinity=True, width=64)
PRINTED = st.decimals(-9999, 9999, places=2, allow_nan=False).map(float)


def same(first: NDArray[np.float64], second: NDArray[np.float64]) -> bool:
    both_missing = np.isnan(first) & np.isnan(second)
    return bool((both_missing | (first == second) & (np.signbit(first) == np.signbit(second))).all())


@given(hnp.arrays(np.float64, st.integers(0, 200), elements=ANY))
def test_any_samples_come_back_exactly(values: NDArray[np.float64]) -> None:
    assert same(unpack(pack(values)), values)


@given(hnp.arrays(np.float64, st.integers(1, 200), elements=st.one_of(PRINTED, st.just(float("nan")))))
def test_what_a_logger_prints_is_kept_as_counts(values: NDArray[np.float64]) -> None:
    values = values + 0.0
    packed = pack(values)
    assert packed.decimals <= 2
    assert packed.decimals != DOUBLES
    assert same(unpack(packed), values)


def test_samples_beyond_one_chunk_keep_their_order() -> None:
    values = np.round(np.linspace(0, 500, 2 * CHUNK + 7), 3)
    packed = pack(values)
    assert len(packed.chunks) == 3
    assert same(unpack(packed), values)


def test_a_slow_signal_takes_a_fraction_of_its_doubles() -> None:
    values = np.round(150 + 20 * np.sin(np.linspace(0, 50, CHUNK)), 1)
    assert sum(map(len, pack(values).chunks)) < values.nbytes / 8


def test_one_odd_sample_among_many_does_not_spoil_the_others() -> None:
    values = np.round(np.linspace(0, 100, 1000), 1)
    values[501] = np.pi
    packed = pack(values)
    assert packed.decimals == DOUBLES
    assert same(unpack(packed), values)


@pytest.mark.parametrize("odd", [np.inf, -np.inf, 1e300, 5e-324, -0.0])
def test_what_counts_cannot_hold_falls_back_to_doubles(odd: float) -> None:
    values = np.array([30.1, odd, np.nan])
    packed = pack(values)
    assert packed.decimals == DOUBLES
    assert same(unpack(packed), values)


@pytest.mark.parametrize("last", [np.round(np.pi, 2), np.pi])
def test_samples_seen_backwards_or_one_in_two_come_back_in_that_order(last: float) -> None:
    values = np.append(np.arange(9.0), last)
    assert same(unpack(pack(values[::-1])), values[::-1])
    assert same(unpack(pack(values[::2])), values[::2])
