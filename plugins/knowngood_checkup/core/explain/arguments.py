"""The evidence for and against an explanation, value by value."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_checkup.core.explain.faults import Fault
from knowngood_checkup.core.explain.inference import healthy_and_cloud, moves, stacked, usual_size
from knowngood_checkup.core.explain.loads import load_cases
from knowngood_checkup.core.explain.signatures import SIGNALS, SIGNATURES

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from knowngood_checkup.core.explain.evidence import Load, Observed, Signal
    from knowngood_checkup.core.explain.inference import Stack, Weighed
    from knowngood_checkup.core.explain.signatures import Signature, Vector

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
    observed: Observed,
    weighed: Sequence[Weighed],
    of: Weighed,
    signatures: Mapping[Load, Mapping[str, Signature]] = SIGNATURES,
) -> tuple[Argument, ...]:
    """What speaks for and against an explanation, the strongest first.

    Each value is judged alone against the mixture of all other explanations at their likely sizes. Healthy
    is one of them: for it, a value inside the range speaks for and one outside against.
    """
    stack = stacked(observed.windows)
    if not stack.values.size:
        return ()
    others = [one for one in weighed if one.fault != of.fault][:RIVALS]
    densities = {one.fault: _log_densities(observed, one, stack, signatures) for one in others}
    own = _log_densities(observed, of, stack, signatures)
    if not others:
        return ()
    # However sure the ranking is, its rivals are what a value is told apart from.
    shares = np.array([max(one.probability, 1e-9) for one in others])
    mixture = np.log(
        (shares / shares.sum()) @ np.exp(np.array([densities[one.fault].density for one in others]))
    )
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


def _log_densities(
    observed: Observed, of: Weighed, placed: Stack, signatures: Mapping[Load, Mapping[str, Signature]]
) -> _Alone:
    size = usual_size(of)
    if of.fault in (Fault.HEALTHY, Fault.NONE_OF_THESE):
        spread = healthy_and_cloud(of.fault, placed)
        return _Alone(np.zeros(placed.values.size), _log_normal(placed.values, np.diag(spread)))
    expected = np.zeros(placed.values.size)
    density = np.zeros(placed.values.size)
    for weight, loads in load_cases(observed.windows, observed.car, of.fault):
        moved = moves(of.fault, observed.windows, placed, loads, signatures, observed.car)
        move = moved.at(size)
        move *= _sign(move, placed.values, signatures[loads[0]][of.fault])
        expected += weight * move
        variance = np.diag(placed.spread) + size**2 * np.diag(moved.scatter)
        density += weight * np.exp(_log_normal(placed.values - move, variance))
    return _Alone(expected, np.log(np.maximum(density, 1e-300)))


def _sign(move: Vector, values: Vector, signature: Signature) -> float:
    return -1.0 if signature.either_way and float(move @ values) < 0.0 else 1.0


def _log_normal(off: Vector, variance: Vector) -> Vector:
    result: Vector = -0.5 * (off**2 / variance + np.log(2.0 * np.pi * variance))
    return result
