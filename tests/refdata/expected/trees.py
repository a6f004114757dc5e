"""Trees built by hand, for checks of the model against published estimates and plain linear algebra."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from knowngood_refdata.expected.model.learning import Priors
from knowngood_refdata.expected.model.nesting import nested
from knowngood_refdata.expected.model.passes import design
from knowngood_refdata.expected.model.scales import Level, Scales
from knowngood_refdata.expected.model.settling import Problem
from knowngood_refdata.expected.model.spread import LEAST, Prior

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

FREE = 1e12
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
    return Problem(design(nesting, rows, values), groups, np.zeros(nesting.visit.count), np.zeros_like(rows))


def scales(d: int = 1, **variances: float) -> Scales:
    """Scales with the named levels' variances; all others nothing, what all share free."""
    level = {name: Level(np.array([variances.get(name, LEAST)])) for name in LEVELS}
    none = np.zeros(d)
    return Scales(
        level["reading"], level["visit"], level["unit"], level["configuration"], level["family"], 0.0,
        none, none, (none, none), 0.0, FREE, none,
    )  # fmt: skip


def priors(*open_levels: str) -> Priors:
    """Nothing is held of the named levels, all others are pinned to nothing."""
    held = {name: OPEN if name in open_levels else PINNED for name in LEVELS}
    return Priors(held, PINNED, PINNED, (PINNED, PINNED), PINNED)


LEVELS = ("reading", "visit", "unit", "configuration", "family")
