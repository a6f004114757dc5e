"""How far single readings, visits and cars lie from what their configuration lets expect."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import logsumexp

from knowngood_refdata.expected.nodes import of_readings

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_refdata.expected.model.fitted import Fitted
    from knowngood_refdata.expected.model.nesting import Floats, Places

BELOW = ("unit", "visit", "reading")
FEWEST_VISITS = 3
"""From fewer visits of a group nothing is concluded from how they scatter."""
_FREEDOM = 5.0
_DIFFERENCE = 0.35
"""Standard deviation of the logarithm of the scatter, between groups of one kind (common practice, no
source)."""
_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(21)


@dataclass(frozen=True, slots=True)
class Scatter:
    """Of each reading of a fit how far it is ``off`` its configuration, and how far is usual; all (n,).

    ``rows`` are their places among the rows of the book, ``cut`` tells which lay so far out that the model
    did not take them for as far as they are.
    """

    rows: Places
    off: Floats
    spread: Floats
    cut: NDArray[np.bool_]

    def of(self, readings: Places) -> tuple[float, float]:
        """How far some readings are off as a group, and the same in standard deviations."""
        middle = float(np.median(self.off[readings]))
        return middle, abs(middle) / float(np.median(self.spread[readings]))


def scatter(fit: Fitted) -> Scatter:
    """Take what is known of each configuration off its readings."""
    problem, state = fit.tree.problem, fit.state
    of = of_readings(fit, "configuration")
    mean = state.passed.configuration.mean[:, of]
    variance = np.zeros(len(of))
    for name in BELOW:
        level = getattr(state.scales, name)
        whole = level.whole(problem.groups[name], problem.besides(name, state.scales))
        variance += whole[of_readings(fit, name)]
    off = problem.design.y - (problem.design.x * mean).sum(axis=0)
    cut = np.abs(problem.measured) >= (1.0 - 1e-9) * fit.frame.far
    return Scatter(fit.tree.rows, off, np.sqrt(variance), cut)


def log_scatter(off: Floats, visit: Places, factor: float) -> float:
    """Log density of how readings scatter, had all been stretched by a factor; against none.

    ``off`` (n,) is in standard deviations; readings of one ``visit`` (n,) count as one, and how much a group
    scatters is uncertain by itself: it is integrated over. A factor of 1.8 on readings that scatter 1.8 times
    as usual is far likelier than none.
    """
    _, of, counts = np.unique(visit, return_inverse=True, return_counts=True)
    if len(counts) < FEWEST_VISITS:
        return 0.0
    share = 1.0 / counts[of]
    return _integrated(off, share, factor) - _integrated(off, share, 1.0)


def _integrated(off: Floats, share: Floats, factor: float) -> float:
    scale = np.exp(_DIFFERENCE * _NODES)[:, None] * factor
    squares = (off / scale) ** 2 / (_FREEDOM - 2.0)
    logs = ((-0.5 * (_FREEDOM + 1.0) * np.log1p(squares) - np.log(scale)) * share).sum(axis=1)
    return float(logsumexp(logs, b=_WEIGHTS))
