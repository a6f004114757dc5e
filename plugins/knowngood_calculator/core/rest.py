"""A circuit at rest: what was read, and whether it is at rest enough to be compared with saturation."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Estimate, Instruments
from knowngood_refdata.uncertainty import (
    combine,
    pressure_standard_uncertainty_pa,
    thermometer_standard_uncertainty_k,
)

SOAK_S = 2 * 3600.0
"""Engine off this long before parts have one temperature (common practice, no source)."""

EQUAL_WITHIN_K = 3.0
"""Places that differ by less count as equally warm (common practice, no source)."""

SIDES_COVERAGE = 2.0
"""Sides are level when they differ by no more than this many standard uncertainties."""


class Met(StrEnum):
    """Whether a precondition is met."""

    YES = "met"
    NO = "not met"
    NOT_KNOWN = "not known"


@dataclass(frozen=True, slots=True)
class AtRest:
    """What was read with the engine off; None means not read.

    Attributes
    ----------
    ambient_k
        Air at the condenser [K].
    low_pa, high_pa
        Both sides [Pa, absolute].
    cabin_k, under_hood_k
        Other places of the circuit [K].
    soak_s
        Since the engine was stopped [s].
    instruments
        Their gauges and the air probe.
    """

    ambient_k: float
    low_pa: float | None = None
    high_pa: float | None = None
    cabin_k: float | None = None
    under_hood_k: float | None = None
    soak_s: float | None = None
    instruments: Instruments = field(default_factory=Instruments)

    @property
    def temperatures_k(self) -> tuple[float, ...]:
        """Every temperature that was read [K]."""
        return tuple(one for one in (self.ambient_k, self.cabin_k, self.under_hood_k) if one is not None)

    @property
    def pressures_pa(self) -> tuple[float, ...]:
        """Every pressure that was read [Pa, absolute]."""
        return tuple(one for one in (self.low_pa, self.high_pa) if one is not None)


@dataclass(frozen=True, slots=True)
class Precondition:
    """One thing that must hold for the check.

    Attributes
    ----------
    name, met, words
        What it is, whether it holds, and the same in a sentence.
    found, limit
        What was found and where the limit lies, in SI of ``kind``; None when not known.
    """

    name: str
    met: Met
    words: str
    kind: Kind
    found: float | None = None
    limit: float | None = None


def preconditions(at_rest: AtRest) -> tuple[Precondition, ...]:
    """Long enough off, equally warm, and both sides level: each met, not met or not known.

    >>> [one.met.value for one in preconditions(AtRest(298.15, low_pa=6.6e5, soak_s=600.0))]
    ['not met', 'not known', 'not known']
    """
    return (_soak(at_rest.soak_s), _equally_warm(at_rest.temperatures_k), _level(at_rest))


def reading(at_rest: AtRest) -> Estimate | None:
    """The pressure [Pa, absolute] of the finer of the gauges that were read; None without any.

    >>> reading(AtRest(298.15, low_pa=6.6e5, high_pa=6.8e5)).value
    660000.0
    """
    gauges = ((at_rest.low_pa, at_rest.instruments.low), (at_rest.high_pa, at_rest.instruments.high))
    read = [
        Estimate(pressure_pa, pressure_standard_uncertainty_pa(gauge))
        for pressure_pa, gauge in gauges
        if pressure_pa is not None
    ]
    return min(read, key=lambda one: one.standard_uncertainty, default=None)


def temperature_estimate(at_rest: AtRest) -> Estimate:
    """Temperature [K] of the circuit: the middle between the coldest and the warmest place read.

    Liquid gathers at the coldest place, but not at once: any temperature between the two is as likely, so
    they are the limits of a rectangular distribution (JCGM 100:2008, 4.3.7), added to the probe's own.

    >>> found = temperature_estimate(AtRest(298.15, cabin_k=301.15))
    >>> round(found.value, 2), round(found.standard_uncertainty, 2)
    (299.65, 1.04)
    """
    coldest_k, warmest_k = min(at_rest.temperatures_k), max(at_rest.temperatures_k)
    from_spread = (warmest_k - coldest_k) / 12.0**0.5
    from_probe = thermometer_standard_uncertainty_k(at_rest.instruments.air)
    return Estimate((coldest_k + warmest_k) / 2.0, combine(from_spread, from_probe))


def _soak(soak_s: float | None) -> Precondition:
    name = "engine off long enough"
    if soak_s is None:
        return Precondition(name, Met.NOT_KNOWN, "not recorded", Kind.TIME, limit=SOAK_S)
    if soak_s >= SOAK_S:
        return Precondition(name, Met.YES, "long enough", Kind.TIME, soak_s, SOAK_S)
    words = "parts are still warm from running: wait until they have one temperature"
    return Precondition(name, Met.NO, words, Kind.TIME, soak_s, SOAK_S)


def _equally_warm(temperatures_k: tuple[float, ...]) -> Precondition:
    name, kind = "equal temperatures", Kind.TEMPERATURE_DIFFERENCE
    if len(temperatures_k) < 2:
        words = "measured at fewer than two places: measure cabin or engine bay too"
        return Precondition(name, Met.NOT_KNOWN, words, kind, limit=EQUAL_WITHIN_K)
    spread_k = max(temperatures_k) - min(temperatures_k)
    if spread_k <= EQUAL_WITHIN_K:
        return Precondition(name, Met.YES, "equally warm everywhere", kind, spread_k, EQUAL_WITHIN_K)
    words = "the places measured are not equally warm: wait in the shade"
    return Precondition(name, Met.NO, words, kind, spread_k, EQUAL_WITHIN_K)


def _level(at_rest: AtRest) -> Precondition:
    name, kind = "both sides level", Kind.PRESSURE
    gauges = at_rest.instruments
    limit_pa = SIDES_COVERAGE * combine(
        pressure_standard_uncertainty_pa(gauges.low), pressure_standard_uncertainty_pa(gauges.high)
    )
    if at_rest.low_pa is None or at_rest.high_pa is None:
        return Precondition(name, Met.NOT_KNOWN, "not both sides were read", kind, limit=limit_pa)
    apart_pa = abs(at_rest.high_pa - at_rest.low_pa)
    if apart_pa <= limit_pa:
        words = "both sides are level within what the gauges can tell"
        return Precondition(name, Met.YES, words, kind, apart_pa, limit_pa)
    words = "the sides are not level: wait, check that both couplers are open, and zero the gauges"
    return Precondition(name, Met.NO, words, kind, apart_pa, limit_pa)
