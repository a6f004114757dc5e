r"""How probable each explanation is, given how far the readings lie from the book.

A fault of size s moves the deviations d of a window by s^g m(octaves), with a growth g of 1 for most parts;
the direction scatters from car to car and the reading about the book:

    d | fault, s  ~  t_nu( s^g m, S + s^2 D )

with S the spread of a healthy car (its lasting part common to all windows), D the scatter of the signature
(of the car in all windows, of the shape in each), and heavy tails (nu = 6) because one bad reading must not
decide. The size is integrated over a log-normal prior; so is whether the compressor works at full stroke,
where that is not known. Bayes' rule on a grid; nothing is drawn at random. *None of these* is a wide cloud
without a direction.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import gammaln, logsumexp

from knowngood_checkup.core.explain.evidence import Load, Signal
from knowngood_checkup.core.explain.faults import Fault, possible
from knowngood_checkup.core.explain.loads import load_cases
from knowngood_checkup.core.explain.measurements import answers_log_likelihood
from knowngood_checkup.core.explain.signatures import SIGNALS, SIGNATURES, Signature, Vector
from knowngood_refdata.records import MeteringDevice

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from knowngood_checkup.core.explain.evidence import CarKind, Observed, WindowDeviations

FREEDOM = 6.0
SIZES = np.exp(np.linspace(np.log(0.35), np.log(6.0), 15))
_SIZE_MEDIAN = 0.9
_IN_ALL_WINDOWS = 0.85
"""Correlation of a signature's scatter between the windows of one car."""

_WITHOUT_SIZE = frozenset({Fault.HEALTHY, Fault.NONE_OF_THESE})
_NOT_HELD = np.array([one in (Signal.SUPERHEAT, Signal.SUBCOOLING) for one in SIGNALS])
_ORIFICE_SCATTERS = 2.0
_HIGH, _SUBCOOLING = SIGNALS.index(Signal.HIGH), SIGNALS.index(Signal.SUBCOOLING)
CLOUD_K = 7.0
"""How far *none of these* reaches, in kelvins."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """One explanation: its probability, and its size (1 is a common one) with the middle 80 %."""

    fault: str
    probability: float
    size: float | None = None
    size_range: tuple[float, float] | None = None


@dataclass(frozen=True)
class Stack:
    """All deviations of a session one below the other, (n,), and where each stands."""

    values: Vector
    spread: NDArray[np.float64]  # (n, n)
    place: tuple[tuple[int, int], ...]

    @cached_property
    def whitener(self) -> NDArray[np.float64]:
        """The inverse of the spread's Cholesky factor, (n, n)."""
        return np.linalg.inv(np.linalg.cholesky(self.spread))


def weigh(
    observed: Observed, signatures: Mapping[Load, Mapping[str, Signature]] = SIGNATURES
) -> tuple[Weighed, ...]:
    """Every possible explanation with its probability, the likeliest first; they add up to 1."""
    stack = stacked(observed.windows)
    prior = possible(observed.car, observed.brought)
    log_joint: dict[str, float] = {}
    sizes: dict[str, Vector] = {}
    for fault, probability in prior.items():
        by_size = fault_log_likelihoods(fault, observed.car, observed.windows, stack, signatures)
        answered = answers_log_likelihood(fault, observed.answers, observed.offered)
        log_joint[fault] = float(np.log(probability) + logsumexp(by_size) + answered)
        sizes[fault] = by_size
    total = logsumexp(list(log_joint.values()))
    weighed = [_weighed(fault, float(np.exp(one - total)), sizes[fault]) for fault, one in log_joint.items()]
    return tuple(sorted(weighed, key=lambda one: -one.probability))


def fault_log_likelihoods(
    fault: str,
    car: CarKind,
    windows: tuple[WindowDeviations, ...],
    stack: Stack,
    signatures: Mapping[Load, Mapping[str, Signature]],
) -> Vector:
    """Logarithm of prior of size times likelihood, (number of sizes,); one size where it has none."""
    if not stack.values.size:
        return np.zeros(1)
    if fault in _WITHOUT_SIZE:
        return np.array([_log_t(stack.values, healthy_and_cloud(fault, stack))])
    terms = []
    for weight, loads in load_cases(windows, car, fault):
        signature = signatures[loads[0]][fault]
        moved = moves(fault, windows, stack, loads, signatures, car)
        signs = (1.0, -1.0) if signature.either_way else (1.0,)
        prior = np.log(weight / len(signs))
        terms += [prior + _over_sizes(stack, sign, moved, signature.size_sigma) for sign in signs]
    summed: Vector = logsumexp(np.array(terms), axis=0)
    return summed


def healthy_and_cloud(fault: str, stack: Stack) -> NDArray[np.float64]:
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
    fault: str, observed: Observed, signatures: Mapping[Load, Mapping[str, Signature]]
) -> tuple[Load, ...]:
    """What the compressor most likely does in each window when the car has this fault."""
    stack = stacked(observed.windows)
    best, found = -np.inf, (Load.FULL_STROKE,) * len(observed.windows)
    for weight, loads in load_cases(observed.windows, observed.car, fault):
        moved = moves(fault, observed.windows, stack, loads, signatures, observed.car)
        sigma = signatures[loads[0]][fault].size_sigma
        fit = float(np.log(weight) + logsumexp(_over_sizes(stack, 1.0, moved, sigma)))
        if fit > best:
            best, found = fit, loads
    return found


@dataclass(frozen=True, slots=True)
class Moves:
    """What a fault of common size does to a stack: its moves and their growth (n,), their scatter (n, n)."""

    move: Vector
    growth: Vector
    scatter: NDArray[np.float64]

    def at(self, size: float) -> Vector:
        """The moves of a fault of this size, (n,)."""
        moved: Vector = self.move * size**self.growth
        return moved


def moves(
    fault: str,
    windows: tuple[WindowDeviations, ...],
    stack: Stack,
    loads: tuple[Load, ...],
    signatures: Mapping[Load, Mapping[str, Signature]],
    car: CarKind,
) -> Moves:
    """What a fault of common size does.

    A car whose superheat moves more than most does so in every window: most of a signal's scatter is common.
    An orifice tube holds neither superheat nor subcooling, so both scatter more on it. No car has exactly
    the shape of a signature, and the more it moves the less: each window has a scatter of its own, too.
    """
    used = [signatures[load][fault] for load in loads]
    window_of, signal_of = np.array(stack.place).T
    place = (window_of, signal_of)
    move = np.array([one.at(window.octaves) for one, window in zip(used, windows, strict=True)])[place]
    growth = np.array([one.growth for one in used])[place]
    deviation = np.array([one.scatter for one in used])[place]
    if car.metering is MeteringDevice.ORIFICE_TUBE:
        deviation[_NOT_HELD[signal_of]] *= _ORIFICE_SCATTERS
    same = np.eye(len(SIGNALS))
    same[_HIGH, _SUBCOOLING] = same[_SUBCOOLING, _HIGH] = used[0].tied
    tied = same[np.ix_(signal_of, signal_of)]
    here = window_of[:, None] == window_of[None, :]
    alike = np.where(np.eye(move.size), 1.0, _IN_ALL_WINDOWS * tied)
    shape = used[0].shape ** 2 * np.mean(move**2) * here * tied
    return Moves(move, growth, alike * np.outer(deviation, deviation) + shape)


def _over_sizes(stack: Stack, sign: float, moved: Moves, sigma: float) -> Vector:
    """Logarithm of prior of size times likelihood, (number of sizes,).

    With S = L L' and L^-1 D L'^-1 = U diag(l) U', the scale S + s^2 D has the eigenvalues 1 + s^2 l in the
    coordinates U' L^-1, so that one decomposition serves all sizes.
    """
    log_prior = -0.5 * ((np.log(SIZES) - np.log(_SIZE_MEDIAN)) / sigma) ** 2
    log_prior -= logsumexp(log_prior)
    whiten = stack.whitener
    shares, axes = np.linalg.eigh(whiten @ moved.scatter @ whiten.T)
    turned = axes.T @ whiten
    move = sign * moved.move * SIZES[:, None] ** moved.growth
    off = (stack.values - move) @ turned.T
    scale = 1.0 + SIZES[:, None] ** 2 * np.maximum(shares, 0.0)
    log_det = -np.log(np.diag(whiten)).sum() + 0.5 * np.log(scale).sum(axis=1)
    fits = _log_t_at((off**2 / scale).sum(axis=1), log_det, stack.values.size)
    total: Vector = log_prior + fits
    return total


def _log_t(off: Vector, spread: NDArray[np.float64]) -> float:
    """Logarithm of the density of a multivariate t with the covariance-like scale ``spread``, (n, n)."""
    factor = np.linalg.cholesky(spread)
    standard = np.linalg.solve(factor, off)
    log_det = np.log(np.diag(factor)).sum()
    return float(_log_t_at(standard @ standard, log_det, off.size))


def _log_t_at(distance: Vector, log_det: Vector, n: int) -> Vector:
    """Its logarithm at a squared distance, with half the logarithm of the determinant; any shape."""
    log_norm = gammaln(0.5 * (FREEDOM + n)) - gammaln(0.5 * FREEDOM) - 0.5 * n * np.log(FREEDOM * np.pi)
    density: Vector = log_norm - log_det - 0.5 * (FREEDOM + n) * np.log1p(distance / FREEDOM)
    return density


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


def _weighed(fault: str, probability: float, by_size: Vector) -> Weighed:
    if by_size.size != SIZES.size:
        return Weighed(fault, probability)
    share = np.cumsum(np.exp(by_size - logsumexp(by_size)))
    low, middle, high = (float(np.interp(level, share, SIZES)) for level in (0.1, 0.5, 0.9))
    return Weighed(fault, probability, middle, (low, high))
