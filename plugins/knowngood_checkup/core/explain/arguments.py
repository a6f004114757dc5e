"""The evidence for and against an explanation, value by value."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import logsumexp

from knowngood_checkup.core.explain.evidence import SIGNALS
from knowngood_checkup.core.explain.inference import WITHOUT_SIZE, healthy_and_cloud, versions_of
from knowngood_checkup.core.explain.known import KNOWN, Known
from knowngood_checkup.core.explain.stack import Stack, stacked

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from knowngood_checkup.core.explain.evidence import Observed, Signal
    from knowngood_checkup.core.explain.inference import Weighed

    Vector = NDArray[np.float64]

RIVALS = 5
"""So many of the likeliest other explanations are judged against."""
TELLING = 0.5
"""Natural logarithm of the odds from which a value counts as evidence for or against."""


@dataclass(frozen=True, slots=True)
class Argument:
    """One value of one window as evidence.

    ``odds`` is the natural logarithm of how much likelier the value is under this explanation than under
    the others; above zero it speaks for it. ``expected_k`` is how far it should lie from the book.
    """

    window: str
    signal: Signal
    value_k: float
    expected_k: float
    odds: float


def arguments(
    observed: Observed, weighed: Sequence[Weighed], of: Weighed, known: Known = KNOWN
) -> tuple[Argument, ...]:
    """What speaks for and against an explanation, the strongest first.

    Each value is judged alone against the mixture of all other explanations, each in the versions that fit
    the session. Healthy is one of them: for it, a value inside the range speaks for and one outside against.
    """
    stack = stacked(observed.windows)
    others = [one for one in weighed if one.fault != of.fault][:RIVALS]
    if not stack.values.size or not others:
        return ()
    own = _alone(observed, of, stack, known)
    densities = np.exp([_alone(observed, one, stack, known).density for one in others])
    # However sure the ranking is, its rivals are what a value is told apart from.
    shares = np.array([max(one.probability, 1e-9) for one in others])
    mixture = np.log((shares / shares.sum()) @ densities)
    found = [
        Argument(
            observed.windows[window].label,
            SIGNALS[signal],
            float(stack.values[index]),
            float(own.expected[index]),
            float(own.density[index] - mixture[index]),
        )
        for index, (window, signal) in enumerate(stack.place)
    ]
    telling = [one for one in found if abs(one.odds) >= TELLING]
    return tuple(sorted(telling, key=lambda one: -abs(one.odds)))


@dataclass(frozen=True, slots=True)
class _Alone:
    """What an explanation expects of each value, and the logarithm of its density there, both (n,)."""

    expected: Vector
    density: Vector


def _alone(observed: Observed, of: Weighed, stack: Stack, known: Known) -> _Alone:
    if of.fault in WITHOUT_SIZE:
        variance = np.diag(healthy_and_cloud(of.fault, stack))
        return _Alone(np.zeros(stack.values.size), _log_normal(stack.values, variance))
    versions = versions_of(of.fault, observed, stack, known)
    joint = np.concatenate([one.log_joint(stack) for one in versions])
    fits = np.exp(joint - logsumexp(joint))
    move = np.concatenate([one.move for one in versions])
    variance = np.concatenate([one.variance(stack) for one in versions])
    density = fits @ np.exp(_log_normal(stack.values - move, variance))
    return _Alone(fits @ move, np.log(np.maximum(density, 1e-300)))


def _log_normal(off: Vector, variance: Vector) -> Vector:
    result: Vector = -0.5 * (off**2 / variance + np.log(2.0 * np.pi * variance))
    return result
