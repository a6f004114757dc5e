"""What an explanation is judged by: how far a steady window lies from what the book expects there."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from knowngood_refdata.records import CompressorKind, MeteringDevice


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
    (externally controlled, electric); the fault shows in the rest.
    """

    FULL_STROKE = "at full stroke"
    HOLDS_SUCTION = "regulating the low side"
    HOLDS_AIR = "regulating the air off the evaporator"


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
    probability that a healthy car works at full stroke here.
    """

    label: str
    octaves: float
    full_stroke: float
    signals: Mapping[Signal, Deviation]


@dataclass(frozen=True, slots=True)
class CarKind:
    """What the record says of the car, as far as it decides which explanations are possible."""

    compressor: CompressorKind | None = None
    metering: MeteringDevice | None = None


@dataclass(frozen=True, slots=True)
class Observed:
    """One session against the book, with the answers of further measurements by their names."""

    car: CarKind
    windows: tuple[WindowDeviations, ...]
    answers: Mapping[str, str] = field(default_factory=dict)
