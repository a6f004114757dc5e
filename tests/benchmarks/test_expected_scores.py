"""How well expected ranges hold on fleets with known truth; prints the table of scores.

Two fleets built apart: one drawn from distributions, one that follows from loads and conductances. Rivals of
the same run: a linear mixed model with the same covariates, and each configuration alone. Score: the
interval score of Gneiting and Raftery (J. Amer. Stat. Assoc. 102 (2007) 359), width plus 2/α times what falls
outside, the smaller the better; ratios are geometric means over the quantities.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pytest
from tests.benchmarks.mixed_model import alone, intervals
from tests.refdata.expected.drawn_fleet import Q, drawn_fleet
from tests.refdata.expected.fleet import Kept
from tests.refdata.expected.physical_fleet import physical_fleet

from knowngood_refdata.expected.book import Book
from knowngood_refdata.expected.forecasts import Subject
from knowngood_refdata.expected.match import Point

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray
    from tests.refdata.expected.fleet import Fleet

    from knowngood_refdata.records import Quantity

    Floats = NDArray[np.float64]

HELD_SEEDS, SCORED_SEEDS = range(40, 54), range(40, 45)
"""A fleet has two or three new makers: their coverage needs many fleets. The rival takes its time."""
ALPHA = 0.1
SHARPER = {Kept.KNOWN: 0.87, Kept.NEW_UNIT: 0.88, Kept.NEW_CONFIGURATION: 0.93, Kept.NEW_MAKER: 0.97}
"""Our score against the mixed model's, at most."""
KNOWN = (Kept.KNOWN, Kept.NEW_UNIT, Kept.NEW_CONFIGURATION)


@dataclass(frozen=True)
class Ours:
    """For the readings kept back that got a range: which they are (n,), values, and edges (n,)."""

    which: NDArray[np.intp]
    kept: NDArray[np.str_]
    value: Floats
    low: Floats
    high: Floats

    @property
    def held(self) -> NDArray[np.bool_]:
        """Whether the 90 % range held each."""
        return (self.low <= self.value) & (self.value <= self.high)


@dataclass(frozen=True)
class Scored:
    """For the readings that got a range (n,): relation, and the scores of ours and both rivals."""

    kept: NDArray[np.str_]
    ours: Floats
    mixed: Floats
    alone: Floats


def score(value: Floats, low: Floats, high: Floats) -> Floats:
    """Interval score."""
    below, above = np.maximum(low - value, 0.0), np.maximum(value - high, 0.0)
    return high - low + 2.0 / ALPHA * (below + above)


def asked(fleet: Fleet, book: Book, quantity: Quantity) -> Ours:
    """Ranges of one quantity for the readings kept back; a few may be of kinds nobody has seen."""
    rows = []
    for number, (kept, one) in enumerate(fleet.kept_back):
        point = Point(one.conditions, one.engine_rpm, one.fan_stage)
        uncertainty = {quantity: one.values[quantity].standard_uncertainty}
        about = Subject(fleet.vehicle(one), one.unit_id, point, uncertainty)
        outer = book.forecast(about, quantity).outer
        if outer is not None:
            rows.append((number, str(kept), one.values[quantity].value, outer.low, outer.high))
    which, relation, value, low, high = (np.array(column) for column in zip(*rows, strict=True))
    return Ours(which, relation, value, low, high)


def scored(fleet: Fleet, ours: Ours, quantity: Quantity) -> Scored:
    """Our ranges and the rivals' of one quantity of one fleet."""
    mixed, lone = (
        score(ours.value, low[ours.which], high[ours.which])
        for low, high in (intervals(fleet, quantity), alone(fleet, quantity))
    )
    return Scored(ours.kept, score(ours.value, ours.low, ours.high), mixed, lone)


def ratio(by_quantity: list[list[Scored]], rival: str, *relations: Kept) -> float:
    """Geometric mean over the quantities of our score against a rival's."""
    logs = []
    for runs in by_quantity:
        ours, others = [], []
        for one in runs:
            at = np.isin(one.kept, [str(kept) for kept in relations]) & np.isfinite(getattr(one, rival))
            ours.append(one.ours[at])
            others.append(getattr(one, rival)[at])
        logs.append(np.log(np.concatenate(ours).mean() / np.concatenate(others).mean()))
    return float(np.exp(np.mean(logs)))


def held(all_ours: list[Ours], relation: Kept) -> float:
    """Part of the readings inside their 90 % ranges."""
    return float(np.mean(np.concatenate([one.held[one.kept == str(relation)] for one in all_ours])))


@pytest.mark.parametrize("draw", [drawn_fleet, physical_fleet])
def test_nine_in_ten_readings_lie_inside_their_ranges(draw: Callable[[int], Fleet]) -> None:
    ours = []
    for seed in HELD_SEEDS:
        fleet = draw(seed)
        book = Book.of(fleet.library, fleet.vehicles)
        ours += [asked(fleet, book, quantity) for quantity in Q]
    shares = {kept: held(ours, kept) for kept in Kept}
    print(f"\n{draw.__name__}, {len(HELD_SEEDS)} seeds\n{'':44s}  held")
    for kept, share in shares.items():
        print(f"{kept:44s}{share:6.3f}")
    for kept in KNOWN:
        assert 0.88 <= shares[kept] <= 0.93
    assert 0.87 <= shares[Kept.NEW_MAKER] <= 0.95


@pytest.mark.parametrize("draw", [drawn_fleet, physical_fleet])
def test_ranges_are_sharper_than_a_mixed_model_and_each_car_alone(draw: Callable[[int], Fleet]) -> None:
    by_quantity: list[list[Scored]] = [[] for _ in Q]
    for seed in SCORED_SEEDS:
        fleet = draw(seed)
        book = Book.of(fleet.library, fleet.vehicles)
        for runs, quantity in zip(by_quantity, Q, strict=True):
            runs.append(scored(fleet, asked(fleet, book, quantity), quantity))
    print(f"\n{draw.__name__}, {len(SCORED_SEEDS)} seeds\n{'':44s} /mixed  /alone")
    for kept in Kept:
        lone = f"{ratio(by_quantity, 'alone', kept):8.3f}" if kept in (Kept.KNOWN, Kept.NEW_UNIT) else ""
        print(f"{kept:44s}{ratio(by_quantity, 'mixed', kept):7.3f}{lone}")
    overall = ratio(by_quantity, "mixed", *Kept)
    print(f"{'all':44s}{overall:7.3f}")
    assert overall <= 0.90
    for kept, most in SHARPER.items():
        assert ratio(by_quantity, "mixed", kept) <= most
    assert ratio(by_quantity, "alone", Kept.KNOWN, Kept.NEW_UNIT) <= 0.50
