"""What an explanation is judged by: how far a steady window lies from what the book expects there."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from knowngood_checkup.core.explain.measurements import MEASUREMENTS
from knowngood_refdata.explaining import Load, Signal

if TYPE_CHECKING:
    from collections.abc import Mapping

    from knowngood_refdata.explaining import Explanation, Measurement
    from knowngood_refdata.records import CompressorKind, MeteringDevice

__all__ = ["SIGNALS", "CarKind", "Deviation", "Load", "Observed", "Signal", "WindowDeviations"]

SIGNALS = tuple(Signal)
"""In this order wherever they stand in an array."""


@dataclass(frozen=True, slots=True)
class Deviation:
    """A reading less what the book expects, in kelvins.

    ``spread_k`` is the standard deviation of a healthy car's reading about what is expected: uncertainty of
    the estimate, spread from car to car and measuring together. ``lasting`` is the share of that variance
    that all windows of one car and session have in common.
    """

    value_k: float
    spread_k: float
    lasting: float = 0.6


@dataclass(frozen=True, slots=True)
class WindowDeviations:
    """The deviations of one steady window.

    ``octaves`` are the doublings of engine speed from idle to the window's. ``full_stroke`` is the
    probability that a healthy car works at full stroke here. ``expected_k`` is what the book expects, in
    kelvins, as far as it does; ``intake_k`` the air that enters the evaporator's blower.
    """

    label: str
    octaves: float
    full_stroke: float
    signals: Mapping[Signal, Deviation]
    expected_k: Mapping[Signal, float] = field(default_factory=dict)
    intake_k: float | None = None


@dataclass(frozen=True, slots=True)
class CarKind:
    """What the record says of the car, as far as it decides which explanations are possible."""

    compressor: CompressorKind | None = None
    metering: MeteringDevice | None = None


@dataclass(frozen=True, slots=True)
class Observed:
    """One session against the book, with the answers of further measurements by their names.

    ``offered`` are the measurements that can be answered, ``brought`` the explanations of plugins.
    """

    car: CarKind
    windows: tuple[WindowDeviations, ...]
    answers: Mapping[str, str] = field(default_factory=dict)
    offered: tuple[Measurement, ...] = MEASUREMENTS
    brought: tuple[Explanation, ...] = ()
