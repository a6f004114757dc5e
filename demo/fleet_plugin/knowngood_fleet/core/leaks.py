"""From what was weighed out of a unit and into it to the refrigerant that it loses in a year.

Between two services at which the whole charge was weighed a unit has lost what was charged at the first,
and added since, less what was in it at the second. Each such stretch uses weighings of its own, so they are
independent, and the leak rate is the weighted line through the origin of losses over years.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from typing import TYPE_CHECKING

from knowngood_fleet.core.lines import UNLIKELY, Line, through_origin
from knowngood_refdata.records import Estimate

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

DAYS_A_YEAR = 365.25
SCALE_LIMIT_KG = 0.015
"""Limit of error of a charging machine, ±15 g or 0.5 oz (SAE J2788, from memory)."""
LEFT_SHARE = 0.05
"""A machine recovers 95 % of the charge at least (SAE J2788, from memory): up to so much stays behind."""
USUAL_LOSS_KG = 0.040
"""Limit for one evaporator at type approval, in a year (Directive 2006/40/EC); two may lose 60 g."""


class Work(StrEnum):
    """What a service did to the charge."""

    WEIGHED_IN = "recovered, evacuated and charged by weight"
    TOPPED_UP = "refrigerant added without recovery"


class Verdict(StrEnum):
    """What the weighings of a unit say."""

    LOSING = "loses refrigerant"
    ZERO = "not distinguishable from zero"
    GAINING = "more came out than went in"
    UNKNOWN = "not enough weighings"


@dataclass(frozen=True, slots=True)
class Service:
    """What was weighed at one service, in kilograms.

    Attributes
    ----------
    recovered_kg
        None when it was not weighed, or nothing was recovered.
    limit_kg
        Limit of error of each weighing, plus or minus.
    left_share
        The most that recovery leaves in the circuit, as a share of what was in it.
    repaired
        Whether a leak was repaired at this service, before charging.
    """

    at: date
    work: Work
    charged_kg: float
    recovered_kg: float | None = None
    limit_kg: float = SCALE_LIMIT_KG
    left_share: float = LEFT_SHARE
    repaired: bool = False
    note: str = ""
    id: int | None = None

    @property
    def charged(self) -> Estimate:
        """What went in; any error within the limit is equally likely (JCGM 100:2008, 4.3.7)."""
        return Estimate(self.charged_kg, self.limit_kg / math.sqrt(3.0))

    @property
    def held(self) -> Estimate | None:
        """What was in the circuit before: the recovered weight and half of what recovery may leave behind.

        What stays is drawn off by the evacuation and is on no scale, so it is a correction with a sign, and
        the rectangular distribution about its middle is its uncertainty.
        """
        if self.work is not Work.WEIGHED_IN or self.recovered_kg is None:
            return None
        most_left = self.recovered_kg * self.left_share / (1.0 - self.left_share)
        u = math.hypot(self.limit_kg / math.sqrt(3.0), most_left / math.sqrt(12.0))
        return Estimate(self.recovered_kg + most_left / 2.0, u)


@dataclass(frozen=True, slots=True)
class Stretch:
    """What was lost between two services at which the whole charge was weighed."""

    start: date
    end: date
    lost: Estimate
    top_ups: int

    @property
    def years(self) -> float:
        """How long it lasted."""
        return (self.end - self.start).days / DAYS_A_YEAR


@dataclass(frozen=True, slots=True)
class Leak:
    """The loss of a unit since its last repair.

    Attributes
    ----------
    kg_per_year
        None when it is not known.
    half_width_95
        Half the 95 % interval [kg a year].
    steady
        False when the stretches differ by more than their weighings explain.
    since
        The service from which on it is counted, None without any.
    top_ups
        How often refrigerant was added without recovery since the last repair.
    """

    verdict: Verdict
    stretches: tuple[Stretch, ...] = ()
    kg_per_year: Estimate | None = None
    half_width_95: float = math.nan
    steady: bool = True
    since: date | None = None
    top_ups: int = 0

    @property
    def least_kg(self) -> float:
        """The lower end of the 95 % interval [kg a year]; NaN when it is not known."""
        return math.nan if self.kg_per_year is None else self.kg_per_year.value - self.half_width_95

    @property
    def most_kg(self) -> float:
        """The upper end of the 95 % interval [kg a year]; NaN when it is not known."""
        return math.nan if self.kg_per_year is None else self.kg_per_year.value + self.half_width_95


def stretches(services: Sequence[Service]) -> tuple[Stretch, ...]:
    """The stretches between services at which all was weighed, oldest first; services in any order."""
    found: list[Stretch] = []
    start: Service | None = None
    added: list[Service] = []
    for one in sorted(services, key=lambda service: service.at):
        if one.work is Work.TOPPED_UP:
            added.append(one)
            continue
        held = one.held
        if start is not None and held is not None and one.at > start.at:
            into = [start.charged, *(top_up.charged for top_up in added)]
            lost = sum(part.value for part in into) - held.value
            u = math.hypot(held.standard_uncertainty, *(part.standard_uncertainty for part in into))
            found.append(Stretch(start.at, one.at, Estimate(lost, u), len(added)))
        start, added = one, []
    return tuple(found)


def leak(services: Sequence[Service]) -> Leak:
    """The loss of a unit since the service at which it was last repaired."""
    counted = since_repair(services)
    found = stretches(counted)
    since = counted[0].at if counted else None
    top_ups = sum(one.work is Work.TOPPED_UP for one in counted)
    if not found:
        return Leak(Verdict.UNKNOWN, since=since, top_ups=top_ups)
    fitted = _fitted(found)
    steady = fitted.chance >= UNLIKELY
    half = fitted.half_width_95(scatters=not steady)
    return Leak(_verdict(fitted.slope.value, half), found, fitted.slope, half, steady, since, top_ups)


def since_repair(services: Sequence[Service]) -> tuple[Service, ...]:
    """The services from the last repair on, oldest first: what was lost before belongs to another leak."""
    ordered = sorted(services, key=lambda service: service.at)
    repaired = [number for number, one in enumerate(ordered) if one.repaired]
    return tuple(ordered[repaired[-1] :] if repaired else ordered)


def together(leaks: Sequence[Leak]) -> Leak:
    """The mean loss of several units, such as all of one design: every stretch of each on one line."""
    found = tuple(one for each in leaks for one in each.stretches)
    if not found:
        return Leak(Verdict.UNKNOWN)
    fitted = _fitted(found)
    steady = fitted.chance >= UNLIKELY
    half = fitted.half_width_95(scatters=not steady)
    since = min(one.start for one in found)
    return Leak(_verdict(fitted.slope.value, half), found, fitted.slope, half, steady, since)


def over_time(leak_found: Leak) -> tuple[tuple[date, Estimate], ...]:
    """The sum of the losses at the end of each stretch, beginning with nothing at the first start.

    A break between stretches adds nothing: what was lost in it is not known.
    """
    if not leak_found.stretches:
        return ()
    first = leak_found.stretches[0]
    points = [(first.start, Estimate(0.0, 0.0))]
    total, u = 0.0, 0.0
    for before, one in pairwise((None, *leak_found.stretches)):
        assert one is not None
        if before is not None and before.end != one.start:
            points.append((one.start, Estimate(total, u)))
        total, u = total + one.lost.value, math.hypot(u, one.lost.standard_uncertainty)
        points.append((one.end, Estimate(total, u)))
    return tuple(points)


def _fitted(found: Sequence[Stretch]) -> Line:
    return through_origin(
        [one.years for one in found],
        [one.lost.value for one in found],
        [one.lost.standard_uncertainty for one in found],
    )


def _verdict(value: float, half: float) -> Verdict:
    if abs(value) <= half:
        return Verdict.ZERO
    return Verdict.LOSING if value > 0.0 else Verdict.GAINING
