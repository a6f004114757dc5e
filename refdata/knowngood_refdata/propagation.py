"""General propagation of uncertainty through any function of measured inputs.

After the Guide to the expression of uncertainty in measurement, JCGM 100:2008: clause 5 for the variance,
annex G for the degrees of freedom. The sensitivities are central differences, so that a function read from
a table serves as well as a formula.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.student_t import quantile

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from numpy.typing import NDArray

STEP = 0.1
"""Step of the central differences in standard uncertainties: small against the uncertainty, so that
curvature does not matter, and large against rounding and against the cells of a table."""

WIDE_STEP = 0.5
"""The same for second and third derivatives, which lose more digits to rounding."""

VANISHING = 1e-60
"""A step below this would vanish when it is multiplied by another."""


@dataclass(frozen=True, slots=True)
class Input:
    """A measured input of a function.

    Parameters
    ----------
    name
        What the input is called among the components of the result.
    value, standard_uncertainty
        Both in the unit that the function expects.
    degrees_of_freedom
        How well the uncertainty itself is known; infinite for a limit taken as certain.

    Raises
    ------
    ValueError
        When the uncertainty is negative or the degrees of freedom are not above zero.
    """

    name: str
    value: float
    standard_uncertainty: float
    degrees_of_freedom: float = math.inf

    def __post_init__(self) -> None:
        if self.standard_uncertainty < 0.0:
            raise ValueError(f"the standard uncertainty of '{self.name}' is negative")
        if not self.degrees_of_freedom > 0.0:
            raise ValueError(f"the degrees of freedom of '{self.name}' are not above zero")


@dataclass(frozen=True, slots=True)
class Component:
    """What one input brings: sensitivity c = df/dx, signed contribution c·u(x), share of Σ (c·u)²."""

    name: str
    sensitivity: float
    contribution: float
    share: float


@dataclass(frozen=True, slots=True)
class Result:
    """A value with its uncertainty and where that comes from.

    Attributes
    ----------
    standard_uncertainty
        Combined, in the unit of the function; with the second-order terms when they were asked for.
    components
        One for each input, in the order of the inputs. Their shares add up to one; they leave out what
        correlations and second-order terms add.
    degrees_of_freedom
        Effective; NaN where an input of few degrees of freedom is correlated with another, for which the
        Welch-Satterthwaite formula does not hold.
    """

    value: float
    standard_uncertainty: float
    components: tuple[Component, ...]
    degrees_of_freedom: float

    @property
    def dominating(self) -> Component:
        """The component with the largest share of the variance."""
        return max(self.components, key=lambda one: one.share)

    def expanded(self, confidence: float = 0.95) -> float:
        """Half width of the interval of a confidence: U = t(ν) u, ν cut to a whole number (JCGM 100, G.4.1).

        >>> round(Result(0.0, 31.664, (), 16.75).expanded(0.99), 1)
        92.5
        """
        freedom = self.degrees_of_freedom
        whole = max(math.floor(freedom), 1) if math.isfinite(freedom) else freedom
        return quantile((1.0 + confidence) / 2.0, whole) * self.standard_uncertainty


@dataclass(frozen=True, slots=True)
class Results:
    """Several outputs of one set of inputs, with what binds them together.

    Attributes
    ----------
    values
        Shape (outputs,).
    covariance
        Shape (outputs, outputs).
    sensitivities
        Shape (outputs, inputs).
    """

    values: NDArray[np.float64]
    covariance: NDArray[np.float64]
    sensitivities: NDArray[np.float64]

    @property
    def standard_uncertainties(self) -> NDArray[np.float64]:
        """Shape (outputs,)."""
        return np.sqrt(np.diag(self.covariance))

    @property
    def correlation(self) -> NDArray[np.float64]:
        """Shape (outputs, outputs); NaN beside an output without uncertainty."""
        u = self.standard_uncertainties
        scale = np.outer(u, u)
        return np.divide(self.covariance, scale, out=np.full_like(scale, np.nan), where=scale > 0.0)


def propagate(
    function: Callable[..., float],
    inputs: Sequence[Input],
    correlations: Mapping[tuple[str, str], float] | None = None,
    *,
    second_order: bool = False,
) -> Result:
    """Uncertainty of a function of one output.

    u² = Σ (cᵢuᵢ)² + 2 ΣΣ cᵢcⱼuᵢuⱼrᵢⱼ (JCGM 100:2008, equations 10 and 16), with the terms of the note to
    5.1.2 added on request. Valid where the function is near straight over a few standard uncertainties, or
    near a parabola with second order.

    Parameters
    ----------
    function
        Takes the values of the inputs in their order.
    correlations
        Coefficient of correlation of pairs of names; a pair left out is independent.
    second_order
        Add the second-order terms, which hold for independent inputs with symmetric distributions.

    Raises
    ------
    ValueError
        When names are given twice, a correlation names an unknown input, lies outside -1 to 1, or stands
        beside second order.

    >>> found = propagate(lambda a, b: a * b, [Input("a", 2.0, 0.3), Input("b", 5.0, 1.0)])
    >>> round(found.standard_uncertainty, 3), found.dominating.name
    (2.5, 'b')
    """
    if second_order and correlations:
        raise ValueError("second-order terms hold for independent inputs only: leave out the correlations")
    values = [one.value for one in inputs]
    slopes = [_sensitivity(function, values, place, one) for place, one in enumerate(inputs)]
    parts = [slope * one.standard_uncertainty for slope, one in zip(slopes, inputs, strict=True)]
    variance = sum(part * part for part in parts)
    _distinct(inputs)
    components = tuple(
        Component(one.name, slope, part, part * part / variance if variance > 0.0 else math.nan)
        for one, slope, part in zip(inputs, slopes, parts, strict=True)
    )
    total = variance
    if correlations:
        vector = np.array(parts)
        total = float(vector @ _correlation_matrix(inputs, correlations) @ vector)
    if second_order:
        total += _second_order(function, inputs, slopes)
    u = math.sqrt(max(total, 0.0))
    return Result(function(*values), u, components, _effective_freedom(inputs, parts, u, correlations))


def propagate_several(
    function: Callable[..., Sequence[float]],
    inputs: Sequence[Input],
    correlations: Mapping[tuple[str, str], float] | None = None,
) -> Results:
    """Uncertainties of a function of several outputs, and the covariance that they share.

    V = C U R U Cᵀ, with C the sensitivities, U the standard uncertainties and R the correlations of the
    inputs (JCGM 100:2008, equations 13 and 16 and H.9 in matrix form). Parameters and errors as for
    `propagate`.

    >>> both = propagate_several(lambda a, b: (a + b, a - b), [Input("a", 1.0, 0.3), Input("b", 1.0, 0.3)])
    >>> both.covariance.round(3).tolist()
    [[0.18, 0.0], [0.0, 0.18]]
    """
    _distinct(inputs)
    values = [one.value for one in inputs]

    def outputs(*given: float) -> NDArray[np.float64]:
        return np.asarray(function(*given), dtype=np.float64)

    columns = []
    for place, one in enumerate(inputs):
        step = _step(one, STEP)
        above = outputs(*_moved(values, (place, step)))
        below = outputs(*_moved(values, (place, -step)))
        columns.append((above - below) / (2.0 * step))
    sensitivities = np.stack(columns, axis=1)
    parts = sensitivities * np.array([one.standard_uncertainty for one in inputs])
    covariance = parts @ _correlation_matrix(inputs, correlations or {}) @ parts.T
    return Results(outputs(*values), covariance, sensitivities)


def _step(one: Input, share: float) -> float:
    # An input known exactly still has a sensitivity; its step then follows its size.
    size = abs(one.value)
    u = one.standard_uncertainty
    step = max(share * u, 1e-9 * size) if u > 0.0 else 1e-5 * size
    return step if step > VANISHING else 1e-5


def _moved(values: Sequence[float], *moves: tuple[int, float]) -> list[float]:
    moved = list(values)
    for place, move in moves:
        moved[place] += move
    return moved


def _sensitivity(function: Callable[..., float], values: Sequence[float], place: int, one: Input) -> float:
    step = _step(one, STEP)
    above = function(*_moved(values, (place, step)))
    below = function(*_moved(values, (place, -step)))
    if math.isfinite(above) and math.isfinite(below):
        return (above - below) / (2.0 * step)
    # At the end of a table only one side exists.
    here = function(*values)
    return (above - here) / step if math.isfinite(above) else (here - below) / step


def _second_order(function: Callable[..., float], inputs: Sequence[Input], slopes: Sequence[float]) -> float:
    """ΣΣ [½ (∂²f/∂xᵢ∂xⱼ)² + ∂f/∂xᵢ ∂³f/∂xᵢ∂xⱼ²] uᵢ²uⱼ², JCGM 100:2008, note to 5.1.2."""
    values = [one.value for one in inputs]
    uncertain = [place for place, one in enumerate(inputs) if one.standard_uncertainty > 0.0]
    total = 0.0
    for i, j in product(uncertain, repeat=2):
        h, k = _step(inputs[i], WIDE_STEP), _step(inputs[j], WIDE_STEP)
        ahead, behind = (
            [function(*_moved(values, (i, move), (j, across))) for across in (k, 0.0, -k)] for move in (h, -h)
        )
        second = (ahead[0] - ahead[2] - behind[0] + behind[2]) / (4.0 * h * k)
        curvatures = [side[0] - 2.0 * side[1] + side[2] for side in (ahead, behind)]
        third = (curvatures[0] - curvatures[1]) / (2.0 * h * k**2)
        weight = (inputs[i].standard_uncertainty * inputs[j].standard_uncertainty) ** 2
        total += (0.5 * second**2 + slopes[i] * third) * weight
    return total


def _distinct(inputs: Sequence[Input]) -> None:
    if len({one.name for one in inputs}) != len(inputs):
        raise ValueError("two inputs bear the same name: their components could not be told apart")


def _correlation_matrix(
    inputs: Sequence[Input], correlations: Mapping[tuple[str, str], float]
) -> NDArray[np.float64]:
    places = {one.name: place for place, one in enumerate(inputs)}
    matrix = np.eye(len(inputs))
    for (first, second), coefficient in correlations.items():
        if first not in places or second not in places or first == second:
            raise ValueError(f"a correlation of '{first}' with '{second}' does not name two of the inputs")
        if not -1.0 <= coefficient <= 1.0:
            raise ValueError(f"a coefficient of correlation lies between -1 and 1, not {coefficient:g}")
        matrix[places[first], places[second]] = matrix[places[second], places[first]] = coefficient
    return matrix


def _effective_freedom(
    inputs: Sequence[Input],
    parts: Sequence[float],
    combined: float,
    correlations: Mapping[tuple[str, str], float] | None,
) -> float:
    """Welch-Satterthwaite, ν = u⁴ / Σ (uᵢ⁴/νᵢ), JCGM 100:2008, equation G.2b."""
    bound = {name for pair, coefficient in (correlations or {}).items() if coefficient for name in pair}
    if any(one.name in bound and math.isfinite(one.degrees_of_freedom) for one in inputs):
        return math.nan
    terms = sum(part**4 / one.degrees_of_freedom for one, part in zip(inputs, parts, strict=True))
    return combined**4 / terms if terms > 0.0 else math.inf
