"""What is known of faults after this shop's confirmed cases.

A part of a pattern begins with the weight of `BEGINS_AS` cases. A confirmed case shows deviations d with the
spread e in a window; with its likely size s, raised to the part's growth, it votes for d / s with the
variance e squared over s squared beside the signature's own scatter. The mean is the usual one of a normal
prior with normal votes weighted by their precision; the scatter becomes what the votes showed beyond their
own errors.

The ways of the cycle begin even, with the weight of `WAYS_BEGIN_AS` cases; each case is shared out among them
and the pattern by how well they fit it, a few times over (expectation maximisation, Dempster, Laird and Rubin
1977), so that common sizes and natures gain, and the picture that fits this shop's cars is believed more.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import logsumexp

from knowngood_checkup.core.explain.cyclic import ALTERED, cyclic
from knowngood_checkup.core.explain.evidence import SIGNALS
from knowngood_checkup.core.explain.known import KNOWN, Known
from knowngood_checkup.core.explain.patterned import patterned
from knowngood_checkup.core.explain.stack import stacked
from knowngood_checkup.core.explain.versions import middle_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from knowngood_checkup.core.explain.evidence import Load, Observed
    from knowngood_checkup.core.explain.signatures import Signature, Vector

BEGINS_AS = 4.0
WAYS_BEGIN_AS, ROUNDS = 10.0, 3
OPEN_K = 1.0
"""A direction that is held for exactly zero is doubted by this much, so that cases can teach otherwise."""


@dataclass(frozen=True, slots=True)
class Confirmed:
    """A session whose explanation was found to be true: by weighing, by a repair that mended it."""

    fault: str
    observed: Observed


def learned(cases: Iterable[Confirmed], start: Known = KNOWN) -> Known:
    """What is known after these cases; their order does not matter."""
    by_fault: dict[str, list[Observed]] = {}
    taught = start.signatures[next(iter(start.signatures))]
    for case in sorted(cases, key=repr):
        if case.fault in taught and stacked(case.observed.windows).values.size:
            by_fault.setdefault(case.fault, []).append(case.observed)
    ways = {fault: _ways(fault, seen, start) for fault, seen in by_fault.items() if fault in ALTERED}
    return Known(_signatures(by_fault, start.signatures), {**start.ways, **ways})


def _signatures(
    by_fault: Mapping[str, Sequence[Observed]], start: Mapping[Load, Mapping[str, Signature]]
) -> Mapping[Load, Mapping[str, Signature]]:
    votes: dict[tuple[Load, str], list[Vector]] = {}
    for fault, seen in by_fault.items():
        for observed in seen:
            for load, vote in _votes(fault, observed, start):
                votes.setdefault((load, fault), []).append(vote)
    moved = {load: dict(of_load) for load, of_load in start.items()}
    for (load, fault), of_fault in votes.items():
        moved[load][fault] = _moved(start[load][fault], np.array(of_fault))
    return moved


def _votes(
    fault: str, observed: Observed, start: Mapping[Load, Mapping[str, Signature]]
) -> Iterable[tuple[Load, Vector]]:
    """What each window of a case votes for, and the variance of its errors, (2, number of signals)."""
    stack = stacked(observed.windows)
    fits = [
        (loads, one.size, one.log_joint(stack)) for loads, one in patterned(fault, observed, stack, start)
    ]
    loads = max(fits, key=lambda fit: float(logsumexp(fit[2])))[0]
    all_sizes = np.concatenate([sizes for _, sizes, _ in fits])
    size = middle_of(all_sizes, np.concatenate([joint for *_, joint in fits]), (0.5,))[0]
    for window, load in zip(observed.windows, loads, strict=True):
        signature = start[load][fault]
        vote = np.full((2, len(SIGNALS)), np.nan)
        for place, signal in enumerate(SIGNALS):
            if signal in window.signals:
                shift = window.octaves * signature.per_octave[place]
                one = window.signals[signal]
                grown = size ** signature.growth[place]
                vote[:, place] = one.value_k / grown - shift, (one.spread_k / grown) ** 2
        yield load, vote


def _moved(signature: Signature, votes: Vector) -> Signature:
    """The signature after votes of the shape (cases, 2, number of signals)."""
    moves, errors = votes[:, 0], votes[:, 1]
    if signature.either_way:
        turned = np.sign(np.nansum(moves * signature.at_idle, axis=1, keepdims=True))
        moves = np.where(turned < 0, -moves, moves)
    own = signature.scatter**2
    doubt = np.maximum(own, OPEN_K**2)
    weight = np.where(np.isfinite(moves), doubt / (doubt + errors), 0.0)
    total = BEGINS_AS + weight.sum(axis=0)
    mean = (BEGINS_AS * signature.at_idle + np.nansum(weight * moves, axis=0)) / total
    beyond = np.maximum((moves - mean) ** 2 - errors, 0.0)
    variance = (BEGINS_AS * own + np.nansum(weight * beyond, axis=0)) / total
    return replace(signature, at_idle=mean, scatter=np.sqrt(variance))


def _ways(fault: str, seen: Sequence[Observed], start: Known) -> Vector:
    """How probable each way of the cycle is after these cases, (ways,)."""
    begin = start.ways_of(fault)
    by_way, by_pattern = [], []
    for observed in seen:
        stack = stacked(observed.windows)
        by_way.append(cyclic(fault, observed, stack, np.ones(begin.size)).log_joint(stack))
        fits = [one.log_joint(stack) for _, one in patterned(fault, observed, stack, start.signatures)]
        by_pattern.append(logsumexp(np.concatenate(fits)))
    best = np.maximum(np.max(by_way, axis=1), by_pattern)
    way = np.exp(np.array(by_way) - best[:, None])
    pattern = np.exp(np.array(by_pattern) - best)
    ways = begin
    for _ in range(ROUNDS):
        fit = way * ways
        shared = fit / (fit.sum(axis=1) + pattern * (1.0 - ways.sum()))[:, None]
        ways = (WAYS_BEGIN_AS * begin + shared.sum(axis=0)) / (WAYS_BEGIN_AS + len(seen))
    return ways
