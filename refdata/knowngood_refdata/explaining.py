"""Explanations of what a car's readings show, and measurements that tell them apart, as records.

They hold no array and import nothing heavy: a plugin makes them where it is asked for them.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from knowngood_refdata.records import CompressorKind

HEALTHY, NONE_OF_THESE = "healthy", "none of these"
"""Explanations that are always weighed and that nobody brings."""


class Signal(StrEnum):
    """A quantity whose difference from the book tells something; all of them are differences in kelvins."""

    LOW = "evaporating temperature"
    HIGH = "condensing above ambient"
    SUPERHEAT = "superheat"
    SUBCOOLING = "subcooling"
    VENT = "vent temperature"


class Load(StrEnum):
    """What a healthy compressor does at a load: at full stroke it hides nothing.

    A regulating one holds what it regulates, by pressure (internally controlled) or by air temperature
    (externally controlled, electric); the fault shows in the rest. What a fault leaves short of capacity is
    driven to full stroke by a control that wants its air, so that the low side falls below the book's.
    """

    FULL_STROKE = "at full stroke"
    HOLDS_SUCTION = "regulating the low side"
    HOLDS_AIR = "regulating the air off the evaporator"
    DRIVEN = "driven to full stroke for the air off the evaporator"


@dataclass(frozen=True, slots=True)
class Pattern:
    """What a fault of common size moves, in kelvins from what the book expects; what is left out stays.

    ``per_octave`` is added for each doubling of the engine speed above idle. A fault of size s moves each
    signal by s to the power of its ``growth``, 1 where none is given. A fault with ``either_way`` moves the
    readings as often against these directions. ``scatter`` is the standard deviation of each move from car
    to car; of a signal without one it is the root of the sum of squares of ``least_k`` and ``share`` of the
    larger move. ``tied`` is the correlation of the scatter of high side and subcooling, ``size_sigma`` the
    spread of the logarithm of the size, ``shape`` the scatter of each value of each window alone, as a share
    of the root mean square of all moves.
    """

    at_idle: Mapping[Signal, float]
    per_octave: Mapping[Signal, float] = field(default_factory=dict)
    growth: Mapping[Signal, float] = field(default_factory=dict)
    scatter: Mapping[Signal, float] = field(default_factory=dict)
    either_way: bool = False
    least_k: float = 0.7
    share: float = 0.45
    tied: float = 0.0
    size_sigma: float = 0.65
    shape: float = 0.3


@dataclass(frozen=True, slots=True)
class Explanation:
    """A fault that the check-up weighs against others.

    ``prior`` is how often it stands behind a car that is brought in, before anything was measured. Where a
    load has no pattern, that of full stroke holds. ``compressors`` are those that can have it, none for any.
    """

    name: str
    prior: float
    patterns: Mapping[Load, Pattern]
    compressors: frozenset[CompressorKind] = frozenset()

    def suits(self, compressor: CompressorKind | None) -> bool:
        """Whether a car can have it; one of which nothing is known can."""
        return not self.compressors or compressor is None or compressor in self.compressors


@dataclass(frozen=True, slots=True)
class Measurement:
    """Something that can be done next.

    Attributes
    ----------
    name, what
        A short name, and what to do in one sentence.
    answers
        What can come out of it.
    usual
        How often each answer comes where no other line is given, in the order of ``answers``; the sum is 1,
        and none is 0, because any measurement can mislead.
    under
        How often each answer comes under an explanation, by its name.
    effort
        What it costs, 1 being a few minutes with what is at hand.
    compressors
        Those on which it makes sense, none for any.
    """

    name: str
    what: str
    answers: tuple[str, ...]
    usual: tuple[float, ...]
    under: Mapping[str, tuple[float, ...]]
    effort: float = 1.0
    compressors: frozenset[CompressorKind] = frozenset()

    def chances(self, explanation: str) -> tuple[float, ...]:
        """How often each answer comes under an explanation."""
        if explanation == NONE_OF_THESE:
            # Nothing is known of it: its answers lie between the usual ones and any.
            return tuple(0.5 * one + 0.5 / len(self.answers) for one in self.usual)
        return self.under.get(explanation, self.usual)

    def suits(self, compressor: CompressorKind | None) -> bool:
        """Whether it makes sense on a car; on one of which nothing is known it may."""
        return not self.compressors or compressor is None or compressor in self.compressors
