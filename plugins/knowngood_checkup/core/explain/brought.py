"""Explanations as records, the form in which plugins bring theirs, from and to signatures."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from knowngood_checkup.core.explain.evidence import SIGNALS
from knowngood_checkup.core.explain.faults import NEED_CONTROL, PRIOR, Fault
from knowngood_checkup.core.explain.measurements import MEASUREMENTS
from knowngood_checkup.core.explain.signatures import SIGNATURES, Signature
from knowngood_refdata.explaining import Explanation, Load, Pattern
from knowngood_refdata.records import CompressorKind

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from knowngood_checkup.core.explain.known import Known
    from knowngood_checkup.core.explain.signatures import Vector
    from knowngood_refdata.explaining import Measurement, Signal

_CONTROLLED = frozenset(CompressorKind) - {CompressorKind.FIXED}


@dataclass(frozen=True, slots=True)
class Brought:
    """What plugins bring to a check-up: further explanations, and all measurements that are offered."""

    explanations: tuple[Explanation, ...] = ()
    measurements: tuple[Measurement, ...] = MEASUREMENTS

    @classmethod
    def of(cls, explanations: Iterable[Explanation], measurements: Iterable[Measurement]) -> Brought:
        """What is among these beside our own, which come through the same hooks."""
        names = {one.name for one in MEASUREMENTS}
        return cls(
            tuple(one for one in explanations if one.name not in set(Fault)),
            (*MEASUREMENTS, *(one for one in measurements if one.name not in names)),
        )


NOTHING = Brought()


def own_explanations() -> list[Explanation]:
    """The explanations that are weighed without any plugin, healthy and *none of these* aside."""
    return [_explanation(fault) for fault in SIGNATURES[Load.FULL_STROKE]]


def added(start: Known, brought: Iterable[Explanation]) -> Known:
    """What is known with the patterns of further explanations."""
    more = tuple(brought)
    if not more:
        return start
    signatures = {
        load: {**of_load, **{one.name: signature_of(_pattern(one, load)) for one in more}}
        for load, of_load in start.signatures.items()
    }
    return replace(start, signatures=signatures)


def signature_of(pattern: Pattern) -> Signature:
    """The signature that a pattern stands for."""
    idle, octave = _vector(pattern.at_idle, 0.0), _vector(pattern.per_octave, 0.0)
    usual = np.hypot(pattern.least_k, pattern.share * np.maximum(np.abs(idle), np.abs(idle + octave)))
    return Signature(
        idle,
        octave,
        np.array([pattern.scatter.get(one, usual[place]) for place, one in enumerate(SIGNALS)]),
        _vector(pattern.growth, 1.0),
        pattern.either_way,
        pattern.tied,
        pattern.size_sigma,
        pattern.shape,
    )


def pattern_of(signature: Signature) -> Pattern:
    """The pattern of a signature."""
    return Pattern(
        _by_signal(signature.at_idle),
        _by_signal(signature.per_octave),
        _by_signal(signature.growth),
        _by_signal(signature.scatter),
        signature.either_way,
        tied=signature.tied,
        size_sigma=signature.size_sigma,
        shape=signature.shape,
    )


def _explanation(fault: str) -> Explanation:
    patterns = {load: pattern_of(of_load[fault]) for load, of_load in SIGNATURES.items()}
    compressors = _CONTROLLED if fault in NEED_CONTROL else frozenset[CompressorKind]()
    return Explanation(str(fault), PRIOR[Fault(fault)], patterns, compressors)


def _pattern(explanation: Explanation, load: Load) -> Pattern:
    return explanation.patterns.get(load, explanation.patterns[Load.FULL_STROKE])


def _vector(given: Mapping[Signal, float], otherwise: float) -> Vector:
    return np.array([given.get(one, otherwise) for one in SIGNALS])


def _by_signal(values: Vector) -> dict[Signal, float]:
    return dict(zip(SIGNALS, map(float, values), strict=True))
