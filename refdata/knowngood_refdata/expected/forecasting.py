"""Make a forecast from the fits of the book."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.forecasts import Forecast, Side, Subject, What
from knowngood_refdata.expected.interval import Interval
from knowngood_refdata.expected.model.covariates import Covariate, of_point
from knowngood_refdata.expected.model.extract import curve_of
from knowngood_refdata.expected.model.forecast import Kin, Target, nearest, outlook
from knowngood_refdata.expected.model.kin import backing
from knowngood_refdata.expected.model.modelled import BEHIND, Modelled
from knowngood_refdata.expected.model.rows import ANY_SPEED
from knowngood_refdata.expected.model.stretch import stretched
from knowngood_refdata.expected.model.vehicles import ELECTRIC, place
from knowngood_refdata.expected.scale import PRESSURES, Scale
from knowngood_refdata.expected.sufficiency import far_conditions, too_little, too_wide
from knowngood_refdata.records import Quantity

if TYPE_CHECKING:
    from knowngood_refdata.expected.model.fitted import Fitted
    from knowngood_refdata.expected.model.nesting import Floats

PROBABILITIES = np.array([0.05, 0.25, 0.5, 0.75, 0.95])
_SIDES = {Side.LOW: Modelled.LOW_RESPONSE, Side.HIGH: Modelled.HIGH_RESPONSE}
NO_READING = "the book holds no known-good readings of it"
NO_AMBIENT = "the ambient of this reading is not recorded"


@dataclass(frozen=True, slots=True)
class Aim:
    """A subject as the model sees it: covariates (9,), target, nearest kin, and the scale of the answer."""

    covariates: Floats
    target: Target
    kin: Kin
    scale: Scale


def model_of(what: What) -> Modelled:
    """Which model stands behind a quantity or an answer."""
    return _SIDES[what] if isinstance(what, Side) else BEHIND[what]


def aimed(fitted: Fitted, subject: Subject, what: What) -> Aim:
    """Place a subject in the tree of a quantity."""
    where = place(subject.vehicle)
    covariates = of_point(subject.point)
    covariates = np.where(np.isfinite(covariates), covariates, np.nan)
    if where.kind == ELECTRIC:
        covariates[Covariate.ENGINE_SPEED] = ANY_SPEED
    x, missing = fitted.frame.scaled(covariates[:, None])
    x[0] = stretched(fitted.state.scales.stretch, x)
    scale = _scale(fitted, subject, what)
    stated = math.nan if isinstance(what, Side) else subject.uncertainty.get(what, math.nan)
    above = max(scale.uncertainty(stated) ** 2 - fitted.frame.usual_u**2, 0.0) if stated > 0.0 else 0.0
    # A car without a name is none of those that have readings, named or not.
    target = Target(where, subject.unit_id, x[:, 0], fitted.frame.terms(x)[:, 0], missing[:, 0], above)
    return Aim(covariates, target, nearest(fitted, where, target.unit), scale)


def _scale(fitted: Fitted, subject: Subject, what: What) -> Scale:
    if what not in PRESSURES:
        return Scale(fitted.frame.origin)
    ambient = subject.point.conditions.ambient_k if what is Quantity.HIGH_SIDE else 0.0
    return Scale(fitted.frame.origin + (math.nan if ambient is None else ambient), curve_of(subject.vehicle))


def forecast(fitted: Fitted | None, subject: Subject, what: What) -> Forecast:
    """The range of one quantity, or why not enough is known."""
    if fitted is None:
        return Forecast(what, None, None, None, None, 0, 0, 0, NO_READING)
    aim = aimed(fitted, subject, what)
    behind = backing(fitted, aim.kin)
    counts = behind.readings, behind.cars, behind.configurations
    refused, remarks = far_conditions(fitted, aim.covariates)
    refused = refused or too_little(fitted, aim.kin, behind, aim.target.place)
    if what is Quantity.HIGH_SIDE and not math.isfinite(aim.scale.origin):
        refused = NO_AMBIENT
    ahead = outlook(fitted, aim.target)
    at = ahead.quantiles(PROBABILITIES)
    refused = refused or too_wide(model_of(what), float(at[0]), float(at[-1]))
    if refused:
        return Forecast(what, None, None, None, aim.kin.basis, *counts, refused, remarks)
    low, inner_low, centre, inner_high, high = map(float, aim.scale.shown(at))
    inner, outer = Interval(inner_low, inner_high), Interval(low, high)
    return Forecast(what, centre, inner, outer, aim.kin.basis, *counts, "", remarks, ahead, aim.scale)
