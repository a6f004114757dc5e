"""The findings of made sessions, each analysed once."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from tests.plugins.sessions.truth.made import session
from tests.plugins.sessions.truth.recovery_score import RecoveryScore
from tests.plugins.sessions.truth.response_score import ResponseScore
from tests.plugins.sessions.truth.stroke_score import StrokeScore
from tests.plugins.sessions.truth.window_score import WindowScore

from knowngood_sessions.core.finding.analysis import analyse

if TYPE_CHECKING:
    from knowngood_refdata.records import Findings


@cache
def analysed(maker: str, seed: int, *, told_kind: bool = False) -> Findings:
    """What `analyse` finds in the session of a maker and a seed; ``told_kind`` gives it the compressor's."""
    made = session(maker, seed)
    kind = made.run.kind if told_kind else None
    return analyse(made.recording, made.refrigerant, made.conditions, made.instruments, compressor=kind)


def window_score(maker: str, count: int) -> WindowScore:
    """Steady windows of the first ``count`` sessions against the truth."""
    score = WindowScore()
    for seed in range(count):
        score.add(session(maker, seed), analysed(maker, seed))
    return score


def response_score(maker: str, count: int) -> ResponseScore:
    """Responses of the first ``count`` sessions against the truth."""
    score = ResponseScore()
    for seed in range(count):
        score.add(session(maker, seed), analysed(maker, seed))
    return score


def stroke_score(maker: str, count: int, *, told_kind: bool) -> StrokeScore:
    """What is said of the compressor in the first ``count`` sessions against the truth."""
    score = StrokeScore()
    for seed in range(count):
        score.add(session(maker, seed), analysed(maker, seed, told_kind=told_kind))
    return score


def recovery_score(maker: str, count: int) -> RecoveryScore:
    """Recoveries of the first ``count`` sessions against the truth."""
    score = RecoveryScore()
    for seed in range(count):
        score.add(session(maker, seed), analysed(maker, seed))
    return score
