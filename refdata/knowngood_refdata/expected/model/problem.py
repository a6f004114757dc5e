"""From rows to what is learnt from: centred covariates, the tree, and what is held beforehand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.model.bends import products, straight
from knowngood_refdata.expected.model.covariates import CONTINUOUS, STEP, SWITCHES
from knowngood_refdata.expected.model.learning import Priors
from knowngood_refdata.expected.model.modelled import USUAL_SPREAD, USUAL_UNCERTAINTY, Modelled
from knowngood_refdata.expected.model.nesting import Nesting, nested
from knowngood_refdata.expected.model.passes import design
from knowngood_refdata.expected.model.scales import ANYTHING, STRAYS, Level, Scales
from knowngood_refdata.expected.model.settling import Problem
from knowngood_refdata.expected.model.spread import Prior
from knowngood_refdata.expected.model.stretch import stretched
from knowngood_refdata.expected.model.vehicles import TRAITS

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_refdata.expected.model.nesting import Floats, Places
    from knowngood_refdata.expected.model.rows import Rows

STRAYING = ("reading", "configuration", "family")
"""Where mistakes happen: one reading is misread, a car is booked wrongly, a family is in the wrong unit."""

FARTHEST = 8.0
"""So many times the usual spread about the middle of all readings lies nonsense."""

LEAST_OF_EACH = 6
"""A switch (doors, hood ...) is corrected for only where so many readings show either side of it."""


@dataclass(frozen=True, slots=True)
class Frame:
    """How one quantity's numbers are counted, fixed by the readings it was learnt from.

    Attributes
    ----------
    columns
        Which covariates are used.
    centre, variance, least, most
        Of each used covariate, (d - 1,), in its own unit for all but the variance, which is in squared steps.
    origin
        What is taken off the values, so that they are small.
    spread
        Robust standard deviation of the values.
    usual_u
        The stated uncertainty that the better half of the readings comes with.
    far
        No reading is taken for further from the origin than this: nonsense is flagged all the same, and
        pulls at nothing.
    """

    columns: tuple[int, ...]
    centre: Floats
    variance: Floats
    least: Floats
    most: Floats
    origin: float
    spread: float
    usual_u: float
    far: float

    @property
    def continuous(self) -> int:
        """How many of the covariates used are no switches; they come first."""
        return sum(column in CONTINUOUS for column in self.columns)

    def terms(self, x: Floats) -> Floats:
        """Squares and products (p, n) of the conditions of a design (d, n)."""
        return products(x[1 : 1 + self.continuous])

    def scaled(self, covariates: Floats) -> tuple[Floats, Floats]:
        """Design (d, n) led by ones, and the variance where a covariate is missing (d, n)."""
        part = covariates[list(self.columns)]
        scaled = (part - self.centre[:, None]) / STEP[list(self.columns), None]
        lacking = np.isnan(scaled)
        ones = np.ones((1, covariates.shape[1]))
        return (
            np.vstack([ones, np.where(lacking, 0.0, scaled)]),
            np.vstack([0.0 * ones, lacking * self.variance[:, None]]),
        )


def frame(what: Modelled, covariates: Floats, values: Floats, stated: Floats) -> Frame:
    """Fix centres and the choice of covariates from the readings (9, n), (n,), (n,) of one quantity."""
    columns = [c for c in CONTINUOUS if _varies(covariates[c])]
    columns += [c for c in SWITCHES if _switched(covariates[c])]
    part = covariates[columns] if columns else np.empty((0, len(values)))
    step = STEP[columns]
    centre = np.array([float(np.nanmedian(row)) for row in part])
    variance = np.array([float(np.nanvar(row)) for row in part]) / step**2
    origin = float(np.median(values))
    spread = 1.4826 * float(np.median(np.abs(values - origin)))
    usual = float(np.nanquantile(stated, 0.4)) if np.isfinite(stated).any() else USUAL_UNCERTAINTY[what]
    return Frame(
        tuple(map(int, columns)), centre, variance,
        np.array([float(np.nanmin(row)) for row in part]), np.array([float(np.nanmax(row)) for row in part]),
        origin, spread, usual, FARTHEST * max(spread, USUAL_SPREAD[what]),
    )  # fmt: skip


def _varies(row: Floats) -> bool:
    known = row[np.isfinite(row)]
    return len(known) > 1 and float(np.ptp(known)) > 0.0


def _switched(row: Floats) -> bool:
    known = row[np.isfinite(row)]
    return min(int((known == 0.0).sum()), int((known == 1.0).sum())) >= LEAST_OF_EACH


def priors(what: Modelled, frame: Frame) -> Priors:
    """What is held beforehand, from the spread of the readings and what is usual."""
    spread, usual, u = frame.spread, USUAL_SPREAD[what], frame.usual_u
    wide = max(spread, usual)
    slope = Prior((0.07 * wide) ** 2, 1.0)
    return Priors(
        {
            "reading": Prior(0.5 * u**2 + (0.15 * spread) ** 2, 2.0, 8.0),
            "visit": Prior(0.25 * u**2 + (0.1 * spread) ** 2, 2.0, 20.0),
            "unit": Prior((0.15 * wide) ** 2, 1.5, 30.0),
            "configuration": Prior((0.3 * wide) ** 2, 1.5),
            "family": Prior((0.5 * wide) ** 2, 1.5),
        },
        Prior((0.03 * wide) ** 2, 1.0),
        slope,
        (Prior((0.4 * wide) ** 2, 1.0), slope),
        Prior((0.2 * wide) ** 2, 1.5),
        Prior((0.01 * wide) ** 2, 1.0),
    )  # fmt: skip


def first_scales(held: Priors, frame: Frame) -> Scales:
    """Where learning begins: at what is held beforehand."""
    d, kinds = len(frame.columns) + 1, TRAITS[0]
    terms = frame.continuous * (frame.continuous + 1) // 2

    def level(name: str, groups: int = 1) -> Level:
        strays = STRAYS if name in STRAYING else 0.0
        return Level(np.full(groups, held.levels[name].variance), freedom=9, strays=strays)

    def slopes(prior: Prior) -> Floats:
        return np.where(np.arange(d) > 0, prior.variance, 0.0)

    trait = np.where(np.arange(d) > 0, held.traits[1].variance, held.traits[0].variance)
    free = (ANYTHING * max(frame.spread, np.sqrt(held.levels["family"].variance))) ** 2
    return Scales(
        level("reading", kinds), level("visit", kinds), level("unit", kinds), level("configuration"),
        level("family"), 0.5, slopes(held.configuration_slopes), slopes(held.family_slopes),
        (trait, trait), held.maker.variance, free, slopes(held.family_slopes),
        straight(kinds, terms, held.bends.variance), np.zeros(d - 1),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Tree:
    """The tree over the rows of one quantity: ``rows`` (n,) are their places among all rows.

    ``nodes`` give for each level the code of each node among `Rows.codes`' places.
    """

    rows: Places
    nesting: Nesting
    problem: Problem
    families: NDArray[np.int64]
    configurations: NDArray[np.int64]
    units: NDArray[np.int64]


def tree(
    rows: Rows,
    which: int,
    fixed: Frame,
    chosen: NDArray[np.bool_] | None = None,
    scales: Scales | None = None,
) -> Tree:
    """The tree over the rows that have quantity ``which`` (and are chosen), as the scales shape them."""
    usable = np.isfinite(rows.values[which])
    at = np.flatnonzero(usable if chosen is None else usable & chosen)
    codes = rows.codes[:, at]
    upper = rows.stem
    nesting = nested(codes, upper.maker, upper.blocks, TRAITS, len(upper.makers))
    x, missing = fixed.scaled(rows.covariates[:, at])
    measured = np.clip(rows.values[which, at] - fixed.origin, -fixed.far, fixed.far)
    groups, terms, y = _groups(nesting), fixed.terms(x), measured
    if scales is not None:
        x[0] = stretched(scales.stretch, x)
        y = measured - scales.bends.at(groups["reading"], terms)
    visit = _stated(rows.stated[which, at], fixed, nesting)
    problem = Problem(design(nesting, x, y), groups, visit, missing, measured, terms)
    configuration = codes[1, nesting.readings_of_configuration().start]
    units = codes[2, nesting.visit.start[nesting.unit.start]]
    return Tree(at, nesting, problem, codes[0][_first(nesting)], configuration, units)


def _stated(stated: Floats, fixed: Frame, nesting: Nesting) -> Floats:
    variance = np.where(np.isnan(stated), fixed.usual_u, stated) ** 2
    # A visit's instruments are the worst that its readings state.
    return np.maximum.reduceat(np.maximum(variance - fixed.usual_u**2, 0.0), nesting.visit.start)


def _first(nesting: Nesting) -> Places:
    start = nesting.configuration.start[nesting.family.start]
    return nesting.visit.start[nesting.unit.start[start]]


def _groups(nesting: Nesting) -> dict[str, Places]:
    kind = nesting.blocks[0]
    configuration = kind[nesting.family.of]
    unit = configuration[nesting.configuration.of]
    visit = unit[nesting.unit.of]
    return {
        "reading": visit[nesting.visit.of],
        "visit": visit,
        "unit": unit,
        "configuration": np.zeros(len(configuration), dtype=np.intp),
        "family": np.zeros(len(kind), dtype=np.intp),
    }
