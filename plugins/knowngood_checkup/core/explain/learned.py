"""Signatures that this shop's confirmed cases have moved.

A part of a signature begins with the weight of `BEGINS_AS` cases. A confirmed case shows deviations d with
the spread e in a window; with its likely size s, raised to the part's growth, it votes for d / s with the
variance e squared over s squared beside the signature's own scatter. The mean is the usual one of a normal
prior with normal votes weighted by their precision; the scatter becomes what the votes showed beyond their
own errors.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from knowngood_checkup.core.explain.inference import most_likely_loads, usual_size, weigh
from knowngood_checkup.core.explain.signatures import SIGNALS, SIGNATURES

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from knowngood_checkup.core.explain.evidence import Load, Observed
    from knowngood_checkup.core.explain.signatures import Signature, Vector

BEGINS_AS = 4.0
OPEN_K = 1.0
"""A direction that is held for exactly zero is doubted by this much, so that cases can teach otherwise."""


@dataclass(frozen=True, slots=True)
class Confirmed:
    """A session whose explanation was found to be true: by weighing, by a repair that mended it."""

    fault: str
    observed: Observed


def learned(
    cases: Iterable[Confirmed], start: Mapping[Load, Mapping[str, Signature]] = SIGNATURES
) -> dict[Load, dict[str, Signature]]:
    """The signatures after these cases; the order of the cases does not matter."""
    votes: dict[tuple[Load, str], list[Vector]] = {}
    for case in sorted(cases, key=repr):
        for load, vote in _votes(case, start):
            votes.setdefault((load, case.fault), []).append(vote)
    moved = {load: dict(of_load) for load, of_load in start.items()}
    for (load, fault), of_fault in votes.items():
        moved[load][fault] = _moved(start[load][fault], np.array(of_fault))
    return moved


def _votes(case: Confirmed, start: Mapping[Load, Mapping[str, Signature]]) -> Iterable[tuple[Load, Vector]]:
    """What each window of a case votes for, and the variance of its errors, (2, number of signals)."""
    observed = case.observed
    found = next((one for one in weigh(observed, start) if one.fault == case.fault), None)
    if found is None or found.size is None:
        return
    size = usual_size(found)
    loads = most_likely_loads(case.fault, observed, start)
    for window, load in zip(observed.windows, loads, strict=True):
        signature = start[load][case.fault]
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
