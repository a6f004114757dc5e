"""What a display's coarse last digit rounded off, and how much of it comes back."""

from __future__ import annotations

import numpy as np
import pytest

from knowngood_sessions.core.finding.digits import between_digits, coarse_digit
from knowngood_sessions.core.finding.level import levels

COUNT, STRETCHES = 120, 400


def shown(noise: float, digit: float = 0.5) -> tuple[np.ndarray, np.ndarray]:
    """Levels (k,) and what a display makes of them, (k, n)."""
    random = np.random.default_rng(6)
    true = random.uniform(280.0, 290.0, STRETCHES)
    seen = true[:, None] + random.normal(0.0, noise, (STRETCHES, COUNT))
    return true, digit * np.rint(seen / digit)


@pytest.mark.parametrize(("noise", "better"), [(0.03, 0.95), (0.08, 0.85), (0.15, 1.2), (0.6, 1.05)])
def test_readings_between_two_digits_are_told_better_than_by_their_mean_or_hardly_worse(
    noise: float, better: float
) -> None:
    true, seen = shown(noise)
    first = COUNT * np.arange(STRETCHES)
    found = between_digits(seen.reshape(-1), 0.5, first, first + COUNT)
    plain = np.sqrt(np.mean((seen.mean(axis=1) - true) ** 2))
    mended = np.sqrt(np.mean((seen.mean(axis=1) + found.shift - true) ** 2))
    assert mended < better * plain


@pytest.mark.parametrize("noise", [0.03, 0.08, 0.15])
def test_the_error_that_a_digit_leaves_covers_the_truth(noise: float) -> None:
    true, seen = shown(noise)
    first = COUNT * np.arange(STRETCHES)
    found = between_digits(seen.reshape(-1), 0.5, first, first + COUNT)
    off = np.abs(seen.mean(axis=1) + found.shift - true)
    assert (off < 2.0 * found.unsure).mean() > 0.9


def test_a_reading_that_never_leaves_its_digit_may_lie_anywhere_in_it() -> None:
    found = between_digits(np.full(COUNT, 281.5), 0.5, np.array([0]), np.array([COUNT]))
    assert found.shift[0] == pytest.approx(0.0, abs=1e-9)
    # A rectangular distribution of that width has 0.29 of it; some of it noise would have shown.
    assert 0.18 * 0.5 < found.unsure[0] < 0.3 * 0.5


def test_missing_samples_are_left_out() -> None:
    _, seen = shown(0.08)
    gappy = seen[0].copy()
    gappy[::7] = np.nan
    kept = gappy[np.isfinite(gappy)]
    ends = np.array([0]), np.array([kept.size])
    found = between_digits(gappy, 0.5, np.array([0]), np.array([COUNT]))
    assert found.shift[0] == pytest.approx(between_digits(kept, 0.5, *ends).shift[0])


@pytest.mark.parametrize(("noise", "digit"), [(0.05, 0.5), (0.05, 0.1), (0.2, 0.5)])
def test_a_coarse_digit_is_seen_in_the_samples(noise: float, digit: float) -> None:
    assert coarse_digit(shown(noise, digit)[1][:5].reshape(-1)) == pytest.approx(digit)


def test_fine_digits_and_a_dead_channel_are_not_coarse() -> None:
    assert coarse_digit(np.random.default_rng(1).normal(280.0, 0.1, 3_000)) is None
    assert coarse_digit(np.round(np.random.default_rng(1).normal(280.0, 0.1, 3_000), 3)) is None
    assert coarse_digit(np.full(500, 281.0)) is None
    assert coarse_digit(np.full(500, np.nan)) is None


@pytest.mark.parametrize("share", [0.1, 0.25, 0.7])
def test_a_level_is_that_of_the_end_however_slowly_it_is_reached(share: float) -> None:
    random, seconds = np.random.default_rng(3), np.arange(150.0)
    off = []
    for _ in range(60):
        way_in = np.exp(-seconds / (share * 150.0))
        found = levels(way_in + random.normal(0.0, 0.2, 150), np.array([0]), np.array([149]))
        off.append((float(found.mean[0]) - way_in[-20:].mean()) / float(found.scatter[0]))
    assert abs(np.mean(off)) < 0.5
    assert np.mean(np.abs(off) < 2.0) > 0.8
