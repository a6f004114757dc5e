"""The rival: a linear mixed model with the same covariates, by a general package, with intervals by hand.

Maker, family, configuration and car are nested random effects, ambient, wet bulb, engine speed, fan stage,
blower and compressor kind fixed ones. The package gives no intervals for what is to come; they follow from
its estimates by the usual formulas of best linear unbiased prediction (Harville 1976).
"""

from __future__ import annotations

import warnings
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from scipy.stats import norm, t
from statsmodels.regression.mixed_linear_model import MixedLM

from knowngood_refdata.expected.match import Point
from knowngood_refdata.expected.model.covariates import of_point

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from tests.refdata.expected.fleet import Fleet

    from knowngood_refdata.records import Quantity, Reading

    Floats = NDArray[np.float64]

MIDDLE = np.array([301.0, 291.0, 10.2, 1.5, 0.9])
STEP = np.array([6.0, 4.0, 0.7, 1.0, 0.2])
OUTER = float(norm.ppf(0.95))
LEVELS = ("maker", "family", "configuration", "car")


def design(fleet: Fleet, readings: list[Reading], kinds: list[str]) -> Floats:
    """Fixed effects, one row a reading."""
    rows = [of_point(Point(r.conditions, r.engine_rpm, r.fan_stage))[:5] for r in readings]
    of_kind = [[_kind(fleet, r) == kind for kind in kinds[1:]] for r in readings]
    ones = np.ones((len(readings), 1))
    return np.hstack([ones, (np.array(rows) - MIDDLE) / STEP, np.array(of_kind, dtype=np.float64)])


def _kind(fleet: Fleet, reading: Reading) -> str:
    spec = fleet.vehicle(reading).spec("compressor")
    return spec.as_printed if spec else ""


def places(fleet: Fleet, readings: list[Reading]) -> dict[str, NDArray[np.str_]]:
    """Maker, family, configuration and car of each reading, by name."""
    vehicles = [fleet.vehicle(r) for r in readings]
    return {
        "maker": np.array([v.maker for v in vehicles]),
        "family": np.array([str(v.family_id) for v in vehicles]),
        "configuration": np.array([str(v.id) for v in vehicles]),
        "car": np.array([str(r.unit_id) for r in readings]),
    }


def fitted(x: Floats, y: Floats, of: dict[str, NDArray[np.str_]]) -> tuple[float, dict[str, float]]:
    """Variances of the scatter and of each level, by restricted maximum likelihood."""
    frame = pd.DataFrame({**of, "y": y})
    parts = {level: f"0 + C({level})" for level in LEVELS[1:]}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        named = MixedLM.from_formula("y ~ 1", groups="maker", vc_formula=parts, re_formula="1", data=frame)
        model = MixedLM(y, x, groups=of["maker"], exog_re=np.ones((len(y), 1)), exog_vc=named.exog_vc)
        found = model.fit(reml=True, method=["lbfgs", "powell"])
    variances = dict(zip(named.exog_vc.names, map(float, found.vcomp), strict=True))
    return float(found.scale), {"maker": float(np.asarray(found.cov_re).ravel()[0]), **variances}


def intercepts_only(fleet: Fleet, readings: Sequence[Reading], quantity: Quantity) -> float:
    """Fit one level alone, the configurations: the quickest this model can be; the variance between them."""
    known = list(readings)
    kinds = sorted({_kind(fleet, one) for one in known})
    y = np.array([one.values[quantity].value for one in known])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        model = MixedLM(y, design(fleet, known, kinds), groups=places(fleet, known)["configuration"])
        return float(np.asarray(model.fit(reml=True).cov_re).ravel()[0])


def intervals(fleet: Fleet, quantity: Quantity) -> tuple[Floats, Floats]:
    """90 % intervals for the readings kept back."""
    known, asked = list(fleet.library), [one for _, one in fleet.kept_back]
    kinds = sorted({_kind(fleet, one) for one in known})
    x, new_x = design(fleet, known, kinds), design(fleet, asked, kinds)
    of, new_of = places(fleet, known), places(fleet, asked)
    y = np.array([one.values[quantity].value for one in known])
    scatter, spread = fitted(x, y - y.mean(), of)
    within = scatter * np.eye(len(y)) + _shared(of, of, spread)
    inverse = np.linalg.inv(within)
    beside = _shared(new_of, of, spread)
    doubt = np.linalg.inv(x.T @ inverse @ x)
    fixed = doubt @ x.T @ inverse @ y
    centre = new_x @ fixed + beside @ inverse @ (y - x @ fixed)
    left = new_x - beside @ inverse @ x
    variance = scatter + sum(spread.values()) - np.einsum("ij,jk,ik->i", beside, inverse, beside)
    half = OUTER * np.sqrt(variance + np.einsum("ij,jk,ik->i", left, doubt, left))
    return centre - half, centre + half


def _shared(
    a: dict[str, NDArray[np.str_]], b: dict[str, NDArray[np.str_]], spread: dict[str, float]
) -> Floats:
    return np.asarray(sum(v * (a[level][:, None] == b[level][None, :]) for level, v in spread.items()))


def alone(fleet: Fleet, quantity: Quantity) -> tuple[Floats, Floats]:
    """Student's intervals from the readings of each configuration alone; NaN with fewer than two."""
    own: dict[int, list[float]] = {}
    for one in fleet.library:
        own.setdefault(one.vehicle_id, []).append(one.values[quantity].value)
    found = np.full((2, len(fleet.kept_back)), np.nan)
    for n, (_, one) in enumerate(fleet.kept_back):
        values = np.array(own.get(one.vehicle_id, []))
        if len(values) > 1:
            half = t(len(values) - 1).ppf(0.95) * values.std(ddof=1) * np.sqrt(1.0 + 1.0 / len(values))
            found[:, n] = values.mean() - half, values.mean() + half
    return found[0], found[1]
