"""A step of the condenser fan from one stage to another."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from .grid import FINEST_STEP_S

if TYPE_CHECKING:
    from .grid import Grid

FOLLOWS_UP_S, FOLLOWS_DOWN_S = 2.2, 3.2
"""So late the high side turns at most: a fan takes its time to run up, and more to coast down."""


@dataclass(frozen=True, slots=True)
class FanStep:
    """The condenser fan goes up (``up``: more air, the high side falls) or down one stage.

    ``with_engine`` tells that it was seen by the high side going against the engine, ``logged`` that a
    channel holds the command, ``doubted`` that a note may explain it otherwise. It switched within
    ``within_s`` with a probability of 95 %, None where that is not known.
    """

    at_s: float
    up: bool
    with_engine: bool = False
    logged: bool = False
    within_s: float | None = None
    doubted: bool = False


def seen_within_s(grid: Grid, *, up: bool) -> float:
    """How well the moment of a step is known that is read from a turn of the high side."""
    return (FOLLOWS_UP_S if up else FOLLOWS_DOWN_S) + 0.5 * (grid.step_s - FINEST_STEP_S)
