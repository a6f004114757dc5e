r"""How probable each explanation is, given how far the readings lie from the book.

A fault shows in many versions: by its pattern at every size and load, and by the ways of the lumped cycle
under this car's own conditions. Neither picture is sure, so both are believed in part (`known`):

    d | version  ~  t_nu( move, S + f^2 D )

with S the spread of a healthy car (its lasting part common to all windows), D the scatter of a car about the
version, and heavy tails. Bayes' rule over all versions of all faults; nothing is drawn anew. *None of these*
is a wide cloud without a direction.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import logsumexp

from knowngood_checkup.core.explain.cyclic import cyclic
from knowngood_checkup.core.explain.faults import Fault, possible
from knowngood_checkup.core.explain.known import KNOWN, Known
from knowngood_checkup.core.explain.measurements import answers_log_likelihood
from knowngood_checkup.core.explain.patterned import IN_ALL_WINDOWS, patterned
from knowngood_checkup.core.explain.stack import Stack, log_t, stacked
from knowngood_checkup.core.explain.versions import Versions, middle_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_checkup.core.explain.evidence import Observed

    Vector = NDArray[np.float64]

WITHOUT_SIZE = frozenset({Fault.HEALTHY, Fault.NONE_OF_THESE})
CLOUD_K = 7.0
"""How far *none of these* reaches, in kelvins."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """One explanation: its probability, and its size (1 is a common one) with the middle 80 %."""

    fault: str
    probability: float
    size: float | None = None
    size_range: tuple[float, float] | None = None


def weigh(observed: Observed, known: Known = KNOWN) -> tuple[Weighed, ...]:
    """Every possible explanation with its probability, the likeliest first; they add up to 1."""
    stack = stacked(observed.windows)
    log_joint: dict[str, float] = {}
    sizes: dict[str, tuple[float, float, float]] = {}
    for fault, prior in possible(observed.car, observed.brought).items():
        fit = 0.0
        if stack.values.size and fault in WITHOUT_SIZE:
            fit = log_t(stack.values, healthy_and_cloud(fault, stack))
        elif stack.values.size:
            fit, sizes[fault] = _fit(versions_of(fault, observed, stack, known), stack)
        answered = answers_log_likelihood(fault, observed.answers, observed.offered)
        log_joint[fault] = float(np.log(prior)) + fit + answered
    total = logsumexp(list(log_joint.values()))
    weighed = [
        _weighed(fault, float(np.exp(one - total)), sizes.get(fault)) for fault, one in log_joint.items()
    ]
    return tuple(sorted(weighed, key=lambda one: -one.probability))


def versions_of(fault: str, observed: Observed, stack: Stack, known: Known = KNOWN) -> tuple[Versions, ...]:
    """All versions of a fault with a size; their shares add up to 1."""
    ways = known.ways_of(fault)
    of_pattern = np.log(max(1.0 - ways.sum(), 1e-9))
    by_pattern = [
        Versions(one.log_share + of_pattern, one.size, one.move, one.factor, one.scatter)
        for _, one in patterned(fault, observed, stack, known.signatures)
    ]
    return (*by_pattern, cyclic(fault, observed, stack, ways)) if ways.size else tuple(by_pattern)


def healthy_and_cloud(fault: str, stack: Stack) -> NDArray[np.float64]:
    """The covariance (n, n) of what has no direction: a healthy car, or *none of these* far about it."""
    if fault is Fault.HEALTHY:
        return stack.spread
    cloud: NDArray[np.float64] = stack.spread + CLOUD_K**2 * stack.alike(IN_ALL_WINDOWS)
    return cloud


def _fit(versions: tuple[Versions, ...], stack: Stack) -> tuple[float, tuple[float, float, float]]:
    """Logarithm of the likelihood over all versions; low, middle and high size."""
    joint = np.concatenate([one.log_joint(stack) for one in versions])
    low, middle, high = middle_of(np.concatenate([one.size for one in versions]), joint, (0.1, 0.5, 0.9))
    return float(logsumexp(joint)), (low, middle, high)


def _weighed(fault: str, probability: float, sizes: tuple[float, float, float] | None) -> Weighed:
    if sizes is None:
        return Weighed(fault, probability)
    low, middle, high = sizes
    return Weighed(fault, probability, middle, (low, high))
