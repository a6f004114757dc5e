"""How often explanations are right on simulated cars with one fault each; prints the table of scores.

The rival of the same run is the nearest signature: the fault whose direction makes the smallest angle with
the deviations, as one would pick it from a table of directions.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from tests.benchmarks.faulty_cars import SPEEDS_RPM, Case, cases

from knowngood_checkup.core.explain.evidence import (
    CarKind,
    Deviation,
    Load,
    Observed,
    Signal,
    WindowDeviations,
)
from knowngood_checkup.core.explain.faults import Fault
from knowngood_checkup.core.explain.inference import weigh
from knowngood_checkup.core.explain.signatures import SIGNATURES
from knowngood_refdata.records import CompressorKind

if TYPE_CHECKING:
    from numpy.typing import NDArray

CARS, SEED = 120, 5
ERROR_K = np.array([0.55, 0.55, 0.8, 0.75, 0.4])
BETWEEN_CARS_K = np.array([0.6, 0.8, 0.8, 0.8, 0.6])
VISIBLE, GROSS = 2.0, 6.0
QUIET = frozenset({Fault.HEALTHY, Fault.RESERVE_LOW})


@dataclass(frozen=True)
class Judged:
    """One case: what was true, how far it moved in reading errors, and the ranked answer."""

    fault: Fault
    moved: float
    ranked: tuple[Fault, ...]
    nearest: Fault

    @property
    def right(self) -> tuple[bool, bool, bool, bool]:
        """Right first, among the first two, noticed at all, and the rival right."""
        first = self.ranked[0]
        return (
            first is self.fault,
            self.fault in self.ranked[:2],
            first not in QUIET,
            self.nearest is self.fault,
        )


def judged(case: Case, rng: np.random.Generator) -> Judged:
    """Read a case with instruments, and explain the difference to the typical car of its kind."""
    lasting = rng.normal(0.0, BETWEEN_CARS_K)
    read = case.faulty - case.typical + lasting + rng.normal(0.0, ERROR_K, (len(SPEEDS_RPM), len(Signal)))
    spread = np.hypot(BETWEEN_CARS_K, ERROR_K)
    share = float((BETWEEN_CARS_K**2 / spread**2).mean())
    fixed = case.design.compressor.kind is CompressorKind.FIXED
    windows = tuple(
        WindowDeviations(
            f"{rpm:.0f} rpm",
            float(np.log2(rpm / SPEEDS_RPM[0])),
            1.0 if fixed else full,
            {
                signal: Deviation(float(value), float(one), share)
                for signal, value, one in zip(Signal, values, spread, strict=True)
            },
        )
        for rpm, full, values in zip(SPEEDS_RPM, (0.45, 0.15), read, strict=True)
    )
    observed = Observed(CarKind(case.design.compressor.kind, case.design.metering), windows)
    moved = float(np.abs((case.faulty - case.healthy) / ERROR_K).max())
    return Judged(case.fault, moved, tuple(one.fault for one in weigh(observed)), nearest(read))


def nearest(read: NDArray[np.float64]) -> Fault:
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


def test_explanations_of_simulated_faults_are_right_more_often_than_the_nearest_direction() -> None:
    rng = np.random.default_rng(SEED)
    answers = [judged(case, rng) for case in cases(CARS, SEED)]
    visible = [one for one in answers if one.fault is not Fault.HEALTHY and one.moved > VISIBLE]
    gross = [one for one in visible if one.moved > GROSS]
    by_fault: dict[Fault, list[Judged]] = defaultdict(list)
    for one in visible:
        by_fault[one.fault].append(one)
    healthy = [one for one in answers if one.fault is Fault.HEALTHY]
    alarms = np.mean([one.ranked[0] not in QUIET for one in healthy])
    print(f"\n{'':36s}    n   first     two noticed nearest")
    for fault, of in sorted(by_fault.items()):
        print(line(fault, of))
    print(line("all visible", visible))
    print(line("gross", gross))
    print(f"false alarms on {len(healthy)} healthy cars: {alarms:.3f}")
    first, two, noticed, rival = np.mean([one.right for one in visible], axis=0)
    assert alarms < 0.10
    assert noticed > 0.89
    assert first > 0.70
    assert two > 0.85
    assert first > rival + 0.03
    assert np.mean([one.right[1] for one in gross]) > 0.87
