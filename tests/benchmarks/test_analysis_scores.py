"""What the analysis finds in some hundreds of sessions with known truth: the whole table, and its bounds.

Two makers of sessions that have nothing in common, see `tests/plugins/sessions/truth/made.py`: the demo's
simulated cars of all kinds of compressor and both refrigerants, and first-order lags without any physics.
Steady is from the moment when every channel has settled to within 2.5 % (a line: 1 K) of where it ends.
A minute or two for the simulated ones. Shown with ``-s``.
"""

from __future__ import annotations

import numpy as np
import pytest
from tests.plugins.sessions.truth.analysed import (
    recovery_score,
    response_score,
    stroke_score,
    window_score,
)

COUNT = 200
MAKERS = ("simulated", "lagged")


def show(maker: str, *lines: str) -> None:
    print(f"\n{maker}, {COUNT} sessions", *lines, sep="\n")


@pytest.mark.parametrize("maker", MAKERS)
def test_steady_windows_are_found_and_hold_the_settled_values(maker: str) -> None:
    score = window_score(maker, COUNT)
    show(maker, *score.lines(), *score.missed, *score.wrong)
    assert len(score.overlaps) > 500
    assert score.recall >= 0.97
    assert np.mean(score.overlaps) >= 0.93
    assert score.rightly >= 0.99
    assert np.percentile(score.superheat_k, 90) < 0.15
    assert np.percentile(score.subcooling_k, 90) < 0.15
    # With displays of whole psi and half kelvins, and on plateaus that still creep.
    assert np.percentile(score.any_superheat_k, 90) < 0.2
    assert np.percentile(score.any_subcooling_k, 90) < 0.2


@pytest.mark.parametrize("maker", MAKERS)
def test_responses_are_right_where_a_session_settles_and_withheld_where_it_does_not(maker: str) -> None:
    score = response_score(maker, COUNT)
    show(maker, *score.lines(), *score.wrong, *score.withheld, *score.missing, *score.unwarranted)
    assert score.right > 300
    assert score.wrong == []
    assert len(score.withheld) <= 1
    assert score.missing == []
    # A fan that switched while the compressor was off line, and again just after the engine sped up.
    assert len(score.hidden) <= 1
    assert score.unwarranted == []


@pytest.mark.parametrize("maker", MAKERS)
@pytest.mark.parametrize("told_kind", [False, True])
def test_the_stroke_is_never_told_wrong_and_seldom_withheld_with_the_compressor_on_record(
    maker: str, told_kind: bool
) -> None:
    score = stroke_score(maker, COUNT, told_kind=told_kind)
    how = "told the kind of compressor" if told_kind else "not told the kind of compressor"
    show(maker, how, *score.lines(), *score.wrong)
    told = sum(score.right.values())
    assert score.wrong == []
    assert told >= (0.9 if told_kind else 0.5) * (told + score.withheld)


@pytest.mark.parametrize("maker", MAKERS)
def test_recoveries_last_as_long_as_the_readings_took_to_settle(maker: str) -> None:
    score = recovery_score(maker, COUNT)
    show(maker, *score.lines())
    assert len(score.late_s) > 300
    assert abs(np.median(score.late_s)) < 1.5
    assert score.within_s < 10.0
