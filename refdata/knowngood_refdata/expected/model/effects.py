"""Posterior mean and variance of the effects of units, visits and readings, below their configuration."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from knowngood_refdata.expected.model.nesting import Floats, Places
    from knowngood_refdata.expected.model.passes import Design, Passed, Stand


@dataclass(frozen=True, slots=True)
class Effects:
    """Mean and variance of one level's effects about their sites' centres, (n,)."""

    mean: Floats
    variance: Floats


@dataclass(frozen=True, slots=True)
class LowerEffects:
    """The effects of units and visits, and of the readings the errors."""

    unit: Effects
    visit: Effects
    reading: Effects


def lower_effects(
    design: Design, stand: Stand, passed: Passed, readings: Places | None = None
) -> LowerEffects:
    """Carry the beliefs about configurations down to units, visits and readings.

    With S the weighted covariates of a node, T its weighted readings and g its gain, a unit's effect is
    g (T - S·θ) with its own variance g; a visit's g (T - S·θ - S₀ e) with e the unit's. All are linear in
    θ and in the independent rests, so that the variances follow exactly. ``readings`` names those whose
    errors are wanted; all if left out.
    """
    nesting, lower = design.nesting, passed.lower
    mean, cov = passed.configuration.mean, passed.configuration.cov
    rows, columns = design.pairs
    double = np.where(rows == columns, 1.0, 2.0)[:, None]
    packed = cov[rows, columns] * double

    def across(row: Floats, of: Places) -> Floats:
        return np.asarray((packed[:, of] * (row[rows] * row[columns])).sum(axis=0))

    of_unit = nesting.configuration.of
    unit_row = lower.unit_gain * lower.unit_sum
    unit_mean = lower.unit_gain * lower.unit_pull - (unit_row * mean[:, of_unit]).sum(axis=0)
    unit = Effects(unit_mean, lower.unit_gain + across(unit_row, of_unit))

    up = nesting.unit.of
    of_visit = of_unit[up]
    share = lower.visit_gain * lower.visit_weight
    visit_row = lower.visit_gain * lower.visit_sum - share * unit_row[:, up]
    visit_mean = (
        lower.visit_gain * lower.visit_pull
        - (lower.visit_gain * lower.visit_sum * mean[:, of_visit]).sum(axis=0)
        - share * unit_mean[up]
    )
    own = lower.visit_gain + share**2 * lower.unit_gain[up]
    visit = Effects(visit_mean, own + across(visit_row, of_visit))

    wanted = slice(None) if readings is None else readings
    down = nesting.visit.of[wanted]
    of_reading, x = of_visit[down], design.x[:, wanted]
    # fitted = x·θ + unit + visit, all written through θ and the independent rests
    row = x - unit_row[:, up[down]] - visit_row[:, down]
    rest = (1.0 - share) ** 2 * lower.unit_gain[up] + lower.visit_gain
    total = (unit_mean + stand.unit.centre)[up] + visit_mean + stand.visit.centre
    error = design.y[wanted] - (x * mean[:, of_reading]).sum(axis=0) - total[down]
    return LowerEffects(unit, visit, Effects(error, rest[down] + across(row, of_reading)))
