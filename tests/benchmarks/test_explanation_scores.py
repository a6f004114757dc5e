"""How often explanations are right on simulated cars with one fault each; prints the table of scores.

The rival of the same run is the nearest signature: the fault whose direction makes the smallest angle with
the deviations, as one would pick it from a table of directions.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import pytest
from tests.benchmarks.faulty_cars import SPEEDS_RPM, Case, cases
from tests.benchmarks.faulty_physical_fleet import physical_cases

from knowngood_checkup.core.deviations import FULL_STROKE_AT, REGULATES_AT, UNKNOWN_LOAD
from knowngood_checkup.core.explain.evidence import (
    Deviation,
    Load,
    Observed,
    Signal,
    WindowDeviations,
)
from knowngood_checkup.core.explain.faults import Fault
from knowngood_checkup.core.explain.inference import weigh
from knowngood_checkup.core.explain.known import KNOWN, Known
from knowngood_checkup.core.explain.learned import Confirmed, learned
from knowngood_checkup.core.explain.signatures import SIGNATURES
from knowngood_refdata.records import CompressorKind

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

CARS, SEED = 120, 5
LOG_LOW_SIDE_PER_K = 0.034
"""Slope of ln(saturation pressure) of R-134a and R-1234yf near 5 °C, 1/K."""
ERROR_K = np.array([0.55, 0.55, 0.8, 0.75, 0.4])
BETWEEN_CARS_K = np.array([0.6, 0.8, 0.8, 0.8, 0.6])
VISIBLE, GROSS = 2.0, 6.0
QUIET = frozenset({Fault.HEALTHY, Fault.RESERVE_LOW})


@dataclass(frozen=True)
class Judged:
    """One case: what was true, how far it moved in reading errors, and the ranked answer."""

    fault: Fault
    moved: float
    ranked: tuple[str, ...]
    nearest: str

    @property
    def right(self) -> tuple[bool, bool, bool, bool]:
        """Right first, among the first two, noticed at all, and the rival right."""
        first = self.ranked[0]
        return (
            first == self.fault,
            self.fault in self.ranked[:2],
            first not in QUIET,
            self.nearest == self.fault,
        )


@cache
def drawn(made: Callable[[int, int], list[Case]], seed: int) -> list[Case]:
    """Cases of a simulator, drawn once for all tests."""
    return made(CARS, seed)


def judged(case: Case, rng: np.random.Generator, known: Known = KNOWN) -> Judged:
    """Read a case with instruments, and explain the difference to the typical car of its kind."""
    observed, read = observed_of(case, rng)
    return Judged(case.fault, moved(case), tuple(one.fault for one in weigh(observed, known)), nearest(read))


def moved(case: Case) -> float:
    """How far the fault moves a reading, in reading errors."""
    return float(np.abs((case.faulty - case.healthy) / ERROR_K).max())


def observed_of(case: Case, rng: np.random.Generator) -> tuple[Observed, NDArray[np.float64]]:
    """A case as it is read, and the deviations, (2, 5)."""
    lasting = rng.normal(0.0, BETWEEN_CARS_K)
    read = case.faulty - case.typical + lasting + rng.normal(0.0, ERROR_K, (len(SPEEDS_RPM), len(Signal)))
    spread = np.hypot(BETWEEN_CARS_K, ERROR_K)
    share = float((BETWEEN_CARS_K**2 / spread**2).mean())
    windows = tuple(
        WindowDeviations(
            f"{rpm:.0f} rpm",
            float(np.log2(rpm / SPEEDS_RPM[0]))
            if case.car.compressor is not CompressorKind.ELECTRIC
            else 0.0,
            full_stroke(case),
            {
                signal: Deviation(float(value), float(one), share)
                for signal, value, one in zip(Signal, values, spread, strict=True)
            },
            dict(zip(Signal, map(float, typical), strict=True)),
            case.intake_k,
        )
        for rpm, values, typical in zip(SPEEDS_RPM, read, case.typical, strict=True)
    )
    return Observed(case.car, windows), read


def full_stroke(case: Case) -> float:
    """Probability that the typical car is at full stroke, by the fall of its low side, as in the product."""
    if case.car.compressor is CompressorKind.FIXED:
        return 1.0
    if case.car.compressor is CompressorKind.ELECTRIC:
        return UNKNOWN_LOAD
    octaves = float(np.log2(SPEEDS_RPM[1] / SPEEDS_RPM[0]))
    fall = (case.typical[1, 0] - case.typical[0, 0]) * LOG_LOW_SIDE_PER_K / octaves
    return float(np.clip((fall - REGULATES_AT) / (FULL_STROKE_AT - REGULATES_AT), 0.02, 0.98))


def nearest(read: NDArray[np.float64]) -> str:
    """The signature at the smallest angle, at full stroke and regulating alike."""
    mean = read.mean(axis=0)
    if np.abs(mean / np.hypot(BETWEEN_CARS_K, ERROR_K)).max() < VISIBLE:
        return Fault.HEALTHY
    angles = {
        fault: float(one.at_idle @ mean / (np.linalg.norm(one.at_idle) * np.linalg.norm(mean)))
        for load in Load
        for fault, one in SIGNATURES[load].items()
        if np.linalg.norm(one.at_idle) > 0.0
    }
    return max(angles, key=lambda fault: angles[fault])


def line(name: str, of: list[Judged]) -> str:
    """One row of the table."""
    shares = np.mean([one.right for one in of], axis=0)
    return f"{name:36s}{len(of):5d}" + "".join(f"{share:8.2f}" for share in shares)


@dataclass(frozen=True)
class Least:
    """The least shares that a set of cases must reach."""

    first: float
    two: float
    gross: float
    noticed: float


@pytest.mark.parametrize(
    ("made", "least"),
    [
        pytest.param(cases, Least(0.80, 0.92, 0.84, 0.92), id="the demo's loop"),
        pytest.param(physical_cases, Least(0.79, 0.91, 0.88, 0.87), id="loads and conductances"),
    ],
)
def test_explanations_of_simulated_faults_are_right_more_often_than_the_nearest_direction(
    made: Callable[[int, int], list[Case]], least: Least
) -> None:
    rng = np.random.default_rng(SEED)
    answers = [judged(case, rng) for case in drawn(made, SEED)]
    visible = [one for one in answers if one.fault is not Fault.HEALTHY and one.moved > VISIBLE]
    gross = [one for one in visible if one.moved > GROSS]
    healthy = [one for one in answers if one.fault is Fault.HEALTHY]
    alarms = np.mean([one.ranked[0] not in QUIET for one in healthy])
    print_table(visible, gross)
    print(f"false alarms on {len(healthy)} healthy cars: {alarms:.3f}")
    first, two, noticed, rival = np.mean([one.right for one in visible], axis=0)
    assert alarms < 0.10
    assert noticed > least.noticed
    assert first > least.first
    assert two > least.two
    assert first > rival + 0.03
    assert np.mean([one.right[0] for one in gross]) > least.gross


@pytest.mark.parametrize(
    ("made", "gain"),
    [
        pytest.param(cases, 0.005, id="the demo's loop"),
        pytest.param(physical_cases, -0.01, id="loads and conductances"),
    ],
)
def test_confirmed_cases_of_other_cars_make_explanations_better_and_never_much_worse(
    made: Callable[[int, int], list[Case]], gain: float
) -> None:
    rng = np.random.default_rng(SEED)
    others = [one for one in drawn(made, SEED + 1) if one.fault is not Fault.HEALTHY and moved(one) > VISIBLE]
    taught = learned(Confirmed(one.fault, observed_of(one, rng)[0]) for one in others)
    tested = [one for one in drawn(made, SEED) if one.fault is not Fault.HEALTHY and moved(one) > VISIBLE]
    shares = []
    for known in (KNOWN, taught):
        same = np.random.default_rng(SEED)
        shares.append(np.mean([judged(one, same, known).right[:3] for one in tested], axis=0))
        print(f"\n{len(others)} cases, first, first two, noticed: {np.round(shares[-1], 3)}")
    assert shares[1][0] >= shares[0][0] + gain
    assert shares[1][1] >= shares[0][1] - 0.01


def print_table(visible: list[Judged], gross: list[Judged]) -> None:
    """The table of scores by fault."""
    by_fault: dict[Fault, list[Judged]] = defaultdict(list)
    for one in visible:
        by_fault[one.fault].append(one)
    print(f"\n{'':36s}    n   first     two noticed nearest")
    for fault, of in sorted(by_fault.items()):
        print(line(fault, of))
    print(line("all visible", visible))
    print(line("gross", gross))
