"""Trees built by hand, for checks of the model against published estimates and plain linear algebra."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from knowngood_refdata.expected.model.bends import straight
from knowngood_refdata.expected.model.learning import Priors
from knowngood_refdata.expected.model.nesting import nested
from knowngood_refdata.expected.model.passes import Stand, design, restated
from knowngood_refdata.expected.model.scales import Level, Scales
from knowngood_refdata.expected.model.settling import Problem, begin
from knowngood_refdata.expected.model.sites import Sites
from knowngood_refdata.expected.model.spread import LEAST, Prior

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

FREE = 1e12
FREE_ROOT = 50.0
PINNED, OPEN = Prior(LEAST, 1e12), Prior(1.0, 0.0)


def problem(
    y: Sequence[float] | Floats, codes: Sequence[Sequence[int] | NDArray[Any]], x: Floats | None = None
) -> Problem:
    """Readings (n,) with codes (4, n) of family, configuration, car and visit, sorted; covariates (d, n)."""
    values, of = np.array(y, dtype=np.float64), np.array(codes, dtype=np.int64)
    families = int(of[0].max()) + 1
    one = np.zeros(families, dtype=np.intp)
    nesting = nested(of, one, np.vstack([one, one]), (1, 1), 1)
    ones = np.ones((1, len(values)))
    rows = ones if x is None else np.vstack([ones, x])
    groups = {
        "reading": np.zeros(len(values), dtype=np.intp),
        "visit": np.zeros(nesting.visit.count, dtype=np.intp),
        "unit": np.zeros(nesting.unit.count, dtype=np.intp),
        "configuration": np.zeros(nesting.configuration.count, dtype=np.intp),
        "family": np.zeros(nesting.family.count, dtype=np.intp),
    }
    none = np.zeros(nesting.visit.count)
    terms = np.empty((0, len(values)))
    return Problem(design(nesting, rows, values), groups, none, np.zeros_like(rows), values, terms)


def scales(d: int = 1, **variances: float) -> Scales:
    """Scales with the named levels' variances; all others nothing, what all share free."""
    level = {name: Level(np.array([variances.get(name, LEAST)])) for name in LEVELS}
    none = np.zeros(d)
    return Scales(
        level["reading"], level["visit"], level["unit"], level["configuration"], level["family"], 0.0,
        none, none, (none, none), 0.0, FREE, none, straight(1, 0, 0.0),
        np.zeros(d - 1),
    )  # fmt: skip


def priors(*open_levels: str) -> Priors:
    """Nothing is held of the named levels, all others are pinned to nothing."""
    held = {name: OPEN if name in open_levels else PINNED for name in LEVELS}
    return Priors(held, PINNED, PINNED, (PINNED, PINNED), PINNED, PINNED)


LEVELS = ("reading", "visit", "unit", "configuration", "family")


def random_case(seed: int) -> tuple[Problem, Stand]:
    """A tree of a few families, each node with one to three children, two slopes, sites of any width.

    Levels stretch: they count half to one and a half times.
    """
    rng = np.random.default_rng(seed)
    codes: list[tuple[int, ...]] = [(f,) for f in range(int(rng.integers(1, 4)))]
    for _ in range(3):
        counted = [(one, i) for one in codes for i in range(int(rng.integers(1, 4)))]
        codes = [(*one, number) for number, (one, _) in enumerate(counted)]
    readings = [one for one in codes for _ in range(int(rng.integers(1, 4)))]
    of = np.array(readings).T
    n = of.shape[1]
    case = problem(rng.normal(0.0, 3.0, (n,)), list(of), rng.normal(0.0, 1.0, (2, n)))
    level: Floats = rng.uniform(0.5, 1.5, (n,))
    case = replace(case, design=restated(case.design, level, case.measured))
    stand = begin(case, scales(d=3))
    widths = {
        name: Sites(rng.normal(0.0, 1.0, len(site.centre)), rng.uniform(0.2, 3.0, len(site.centre)))
        for name in ("reading", "visit", "unit", "configuration", "family")
        if (site := getattr(stand, name))
    }
    root = np.zeros(case.design.root.size)
    root[:3] = FREE_ROOT
    slopes = np.array([0.0, 0.5, 1.2])
    return case, Stand(**widths, configuration_slopes=slopes, family_slopes=0.7 * slopes, root=root)
