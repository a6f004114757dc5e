r"""How probable each explanation is, given how far the readings lie from the book.

A fault of size s moves the deviations d of a window by s m(octaves); the direction scatters from car to car
and the reading about the book:

    d | fault, s  ~  t_nu( s m, S + s^2 D )

with S the spread of a healthy car (its lasting part common to all windows), D the scatter of the signature,
and heavy tails (nu = 6) because one bad reading must not decide. The size is integrated over a log-normal
prior; so is whether the compressor works at full stroke, where that is not known. Bayes' rule on a grid;
nothing is drawn at random. *None of these* is a wide cloud without a direction.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import gammaln, logsumexp

from knowngood_checkup.core.explain.evidence import Load, Signal
from knowngood_checkup.core.explain.faults import Fault, possible
from knowngood_checkup.core.explain.measurements import answers_log_likelihood
from knowngood_checkup.core.explain.signatures import SIGNALS, SIGNATURES, Signature, Vector
from knowngood_refdata.records import CompressorKind, MeteringDevice

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray

    from knowngood_checkup.core.explain.evidence import CarKind, Observed, WindowDeviations

FREEDOM = 6.0
SIZES = np.exp(np.linspace(np.log(0.35), np.log(6.0), 15))
_SIZE_MEDIAN = 0.9
_IN_ALL_WINDOWS = 0.85
"""Correlation of a signature's scatter between the windows of one car."""

_WITHOUT_SIZE = frozenset({Fault.HEALTHY, Fault.NONE_OF_THESE})
_NOT_HELD = (SIGNALS.index(Signal.SUPERHEAT), SIGNALS.index(Signal.SUBCOOLING))
_ORIFICE_SCATTERS = 2.0
_HIGH, _SUBCOOLING = SIGNALS.index(Signal.HIGH), SIGNALS.index(Signal.SUBCOOLING)
CLOUD_K = 7.0
"""How far *none of these* reaches, in kelvins."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """One explanation: its probability, and its size (1 is a common one) with the middle 80 %."""

    fault: Fault
    probability: float
    size: float | None = None
    size_range: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Stack:
    """All deviations of a session one below the other, (n,), and where each stands."""

    values: Vector
    spread: NDArray[np.float64]  # (n, n)
    place: tuple[tuple[int, int], ...]


def weigh(
    observed: Observed, signatures: Mapping[Load, Mapping[Fault, Signature]] = SIGNATURES
) -> tuple[Weighed, ...]:
    """Every possible explanation with its probability, the likeliest first; they add up to 1."""
    stack = stacked(observed.windows)
    prior = possible(observed.car)
    log_joint: dict[Fault, float] = {}
    sizes: dict[Fault, Vector] = {}
    for fault, probability in prior.items():
        by_size = fault_log_likelihoods(fault, observed.car, observed.windows, stack, signatures)
        answered = answers_log_likelihood(fault, observed.answers)
        log_joint[fault] = float(np.log(probability) + logsumexp(by_size) + answered)
        sizes[fault] = by_size
    total = logsumexp(list(log_joint.values()))
    weighed = [_weighed(fault, float(np.exp(one - total)), sizes[fault]) for fault, one in log_joint.items()]
    return tuple(sorted(weighed, key=lambda one: -one.probability))


def fault_log_likelihoods(
    fault: Fault,
    car: CarKind,
    windows: tuple[WindowDeviations, ...],
    stack: Stack,
    signatures: Mapping[Load, Mapping[Fault, Signature]],
) -> Vector:
    """Logarithm of prior of size times likelihood, (number of sizes,); one size where it has none."""
    if not stack.values.size:
        return np.zeros(1)
    if fault in _WITHOUT_SIZE:
        return np.array([_log_t(stack.values, healthy_and_cloud(fault, stack))])
    terms = []
    for weight, loads in load_cases(windows, car):
        for sign in (1.0, -1.0) if signatures[loads[0]][fault].either_way else (1.0,):
            share = 0.5 if signatures[loads[0]][fault].either_way else 1.0
            sigma = signatures[loads[0]][fault].size_sigma
            move, scatter = moves(fault, windows, stack, loads, signatures, car)
            terms.append(np.log(weight * share) + _over_sizes(stack, sign * move, scatter, sigma))
    summed: Vector = logsumexp(np.array(terms), axis=0)
    return summed


_REGULATES = {
    CompressorKind.FIXED: {Load.FULL_STROKE: 1.0},
    CompressorKind.INTERNAL_VARIABLE: {Load.HOLDS_SUCTION: 1.0},
    CompressorKind.EXTERNAL_VARIABLE: {Load.HOLDS_AIR: 1.0},
    CompressorKind.ELECTRIC: {Load.HOLDS_AIR: 1.0},
    None: {Load.FULL_STROKE: 0.3, Load.HOLDS_SUCTION: 0.3, Load.HOLDS_AIR: 0.4},
}
"""What a compressor holds below full stroke; of an unknown one any may be."""


def load_cases(
    windows: tuple[WindowDeviations, ...], car: CarKind
) -> Iterator[tuple[float, tuple[Load, ...]]]:
    """What the compressor may do in each window, with the probability.

    The faster it turns the less stroke it needs: at full stroke in one window, so in the slower ones.
    """
    ordered = sorted(range(len(windows)), key=lambda index: windows[index].octaves)
    for below, share in _REGULATES[car.compressor].items():
        if below is Load.FULL_STROKE:
            yield share, (Load.FULL_STROKE,) * len(windows)
            continue
        for full, weight in enumerate(_turns([windows[index].full_stroke for index in ordered])):
            at_full = frozenset(ordered[:full])
            loads = tuple(Load.FULL_STROKE if one in at_full else below for one in range(len(windows)))
            yield share * weight, loads


def _turns(full_stroke: Sequence[float]) -> Vector:
    """Probability that the first 0, 1 ... n windows, by engine speed, are at full stroke, (n + 1,)."""
    never_rising = np.minimum.accumulate(np.clip(full_stroke, 1e-3, 1.0 - 1e-3))
    at_least = np.concatenate([[1.0], never_rising, [0.0]])
    weights: Vector = at_least[:-1] - at_least[1:]
    return np.maximum(weights, 1e-6)


def healthy_and_cloud(fault: Fault, stack: Stack) -> NDArray[np.float64]:
    """The covariance (n, n) of what has no direction: a healthy car, or *none of these* far about it."""
    if fault is Fault.HEALTHY:
        return stack.spread
    signal_of = np.array([signal for _, signal in stack.place])
    alike = np.where(signal_of[:, None] == signal_of[None, :], _IN_ALL_WINDOWS, 0.0)
    np.fill_diagonal(alike, 1.0)
    cloud: NDArray[np.float64] = stack.spread + CLOUD_K**2 * alike
    return cloud


def usual_size(weighed: Weighed) -> float:
    """Its likely size, or the usual one where it has none."""
    return _SIZE_MEDIAN if weighed.size is None else weighed.size


def most_likely_loads(
    fault: Fault, observed: Observed, signatures: Mapping[Load, Mapping[Fault, Signature]]
) -> tuple[Load, ...]:
    """What the compressor most likely does in each window when the car has this fault."""
    stack = stacked(observed.windows)
    best, found = -np.inf, (Load.FULL_STROKE,) * len(observed.windows)
    for weight, loads in load_cases(observed.windows, observed.car):
        move, scatter = moves(fault, observed.windows, stack, loads, signatures, observed.car)
        sigma = signatures[loads[0]][fault].size_sigma
        fit = float(np.log(weight) + logsumexp(_over_sizes(stack, move, scatter, sigma)))
        if fit > best:
            best, found = fit, loads
    return found


def moves(
    fault: Fault,
    windows: tuple[WindowDeviations, ...],
    stack: Stack,
    loads: tuple[Load, ...],
    signatures: Mapping[Load, Mapping[Fault, Signature]],
    car: CarKind,
) -> tuple[Vector, NDArray[np.float64]]:
    """The move (n,) of a fault of common size, and the covariance (n, n) of its scatter.

    A car whose superheat moves more than most does so in every window: the scatter of a signal is common.
    An orifice tube holds neither superheat nor subcooling, so both scatter more on it.
    """
    used = [signatures[load][fault] for load in loads]
    move = np.array([used[window].at(windows[window].octaves)[signal] for window, signal in stack.place])
    deviation = np.array([used[window].scatter[signal] for window, signal in stack.place])
    signal_of = np.array([signal for _, signal in stack.place])
    if car.metering is MeteringDevice.ORIFICE_TUBE:
        deviation[np.isin(signal_of, _NOT_HELD)] *= _ORIFICE_SCATTERS
    same = np.eye(len(SIGNALS))
    same[_HIGH, _SUBCOOLING] = same[_SUBCOOLING, _HIGH] = used[0].tied
    alike = _IN_ALL_WINDOWS * same[np.ix_(signal_of, signal_of)]
    np.fill_diagonal(alike, 1.0)
    return move, alike * np.outer(deviation, deviation)


def _over_sizes(stack: Stack, move: Vector, scatter: NDArray[np.float64], sigma: float) -> Vector:
    log_prior = -0.5 * ((np.log(SIZES) - np.log(_SIZE_MEDIAN)) / sigma) ** 2
    log_prior -= logsumexp(log_prior)
    fits = [_log_t(stack.values - size * move, stack.spread + size**2 * scatter) for size in SIZES]
    total: Vector = log_prior + np.array(fits)
    return total


def _log_t(off: Vector, spread: NDArray[np.float64]) -> float:
    """Logarithm of the density of a multivariate t with the covariance-like scale ``spread``, (n, n)."""
    n = off.size
    factor = np.linalg.cholesky(spread)
    standard = np.linalg.solve(factor, off)
    distance = float(standard @ standard)
    log_norm = gammaln(0.5 * (FREEDOM + n)) - gammaln(0.5 * FREEDOM) - 0.5 * n * np.log(FREEDOM * np.pi)
    log_det = float(np.log(np.diag(factor)).sum())
    return float(log_norm - log_det - 0.5 * (FREEDOM + n) * np.log1p(distance / FREEDOM))


def stacked(windows: tuple[WindowDeviations, ...]) -> Stack:
    """All deviations of a session as one vector with their covariance."""
    place = [
        (index, number)
        for index, window in enumerate(windows)
        for number, signal in enumerate(SIGNALS)
        if signal in window.signals
    ]
    parts = [windows[index].signals[SIGNALS[number]] for index, number in place]
    values = np.array([one.value_k for one in parts])
    sigma = np.array([max(one.spread_k, 1e-3) for one in parts])
    lasting = np.sqrt(np.array([one.lasting for one in parts]))
    signal_of = np.array([number for _, number in place])
    alike = (
        (signal_of[:, None] == signal_of[None, :]) * np.outer(lasting, lasting) if place else np.zeros((0, 0))
    )
    if place:
        np.fill_diagonal(alike, 1.0)
    return Stack(values, alike * np.outer(sigma, sigma), tuple(place))


def _weighed(fault: Fault, probability: float, by_size: Vector) -> Weighed:
    if by_size.size != SIZES.size:
        return Weighed(fault, probability)
    share = np.cumsum(np.exp(by_size - logsumexp(by_size)))
    low, middle, high = (float(np.interp(level, share, SIZES)) for level in (0.1, 0.5, 0.9))
    return Weighed(fault, probability, middle, (low, high))
