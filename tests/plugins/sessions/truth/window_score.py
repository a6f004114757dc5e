"""Steady windows against the truth: found or not, where they begin and end, and what they say."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.records import Quantity

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray
    from tests.plugins.sessions.truth.made import TrueSession
    from tests.plugins.sessions.truth.runs import Plateau, Run

    from knowngood_refdata.records import Findings, SteadyWindow

SHORTEST_S = 35.0
"""A true steady stretch of this length has to be found; shorter ones may be."""

HARDLY_MOVES = 0.002
FINE_PSI = FINE_K = 0.1


@dataclass
class WindowScore:
    """Found against true, over many sessions.

    ``overlaps`` holds, for each true steady stretch of at least 35 s, the intersection over union with the
    window that fits best; ``superheat_k`` and ``subcooling_k`` how far windows are from the settled value,
    where the logger shows tenths and the plateau hardly moves at its end, ``any_superheat_k`` and
    ``any_subcooling_k`` on every plateau and with displays of whole psi and half kelvins, too.
    """

    overlaps: list[float] = field(default_factory=list)
    claimed_s: float = 0.0
    rightly_s: float = 0.0
    superheat_k: list[float] = field(default_factory=list)
    subcooling_k: list[float] = field(default_factory=list)
    any_superheat_k: list[float] = field(default_factory=list)
    any_subcooling_k: list[float] = field(default_factory=list)
    missed: list[str] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)

    def add(self, made: TrueSession, found: Findings) -> None:
        """Count one session in."""
        run, windows = made.run, [one for one in found.windows if not one.by_hand]
        groups = list(stretches(run))
        for plateau in run.plateaus:
            if plateau.steady_s >= SHORTEST_S:
                self._plateau(made, plateau, groups, windows)
        truth = steady_mask(run)
        for window in windows:
            inside = (run.time_s >= window.start_s) & (run.time_s <= window.end_s)
            claimed, right = float(inside.sum()), float((inside & truth).sum())
            self.claimed_s += claimed
            self.rightly_s += right
            if right < 0.8 * claimed:
                self.wrong.append(f"{made.name}: {window.start_s:.0f} to {window.end_s:.0f} s")

    def _plateau(
        self,
        made: TrueSession,
        plateau: Plateau,
        groups: list[tuple[float, float]],
        windows: list[SteadyWindow],
    ) -> None:
        spans = [(plateau.end_s - plateau.steady_s, plateau.end_s)]
        spans += [one for one in groups if one[0] <= plateau.start_s + 1.0 and one[1] >= plateau.end_s]
        fits = [(max(overlap(span, one) for span in spans), one) for one in windows]
        best, window = max(fits, key=lambda fit: fit[0], default=(0.0, None))
        self.overlaps.append(best)
        if window is None or best < 0.5:
            self.missed.append(f"{made.name}: {spans[0][0]:.0f} to {spans[0][1]:.0f} s, {best:.2f}")
            return
        fine = made.logger.count_psi <= FINE_PSI and made.logger.count_k <= FINE_K
        best_seen = fine and plateau.left < HARDLY_MOVES and len(spans) == 1
        truth = made.settled(plateau)
        for quantity, errors, any_errors in (
            (Quantity.SUPERHEAT, self.superheat_k, self.any_superheat_k),
            (Quantity.SUBCOOLING, self.subcooling_k, self.any_subcooling_k),
        ):
            off_k = abs(window.values[quantity].value - truth[quantity])
            any_errors.append(off_k)
            if best_seen:
                errors.append(off_k)

    @property
    def recall(self) -> float:
        """Share of true stretches that a window covers with an intersection over union of 0.5."""
        return float(np.mean(np.array(self.overlaps) >= 0.5))

    @property
    def mean_overlap(self) -> float:
        """Mean intersection over union of the stretches found."""
        overlaps = np.array(self.overlaps)
        return float(overlaps[overlaps >= 0.5].mean())

    @property
    def rightly(self) -> float:
        """Share of the claimed seconds that are truly steady."""
        return self.rightly_s / self.claimed_s

    def lines(self) -> list[str]:
        """The scores as a table."""
        within = [
            f"{np.percentile(errors, 90):.3f} K of {len(errors)}"
            for errors in (self.superheat_k, self.subcooling_k, self.any_superheat_k, self.any_subcooling_k)
        ]
        return [
            f"steady stretches           {len(self.overlaps)}",
            f"recall at IoU 0.5          {self.recall:.3f}",
            f"mean IoU (found / all)     {self.mean_overlap:.3f} / {np.mean(self.overlaps):.3f}",
            f"claimed rightly            {self.rightly:.4f}",
            f"superheat, 90th percentile {within[0]}",
            f"subcooling                 {within[1]}",
            f"any superheat, subcooling  {within[2]}, {within[3]}",
        ]


def overlap(truth: tuple[float, float], window: SteadyWindow) -> float:
    """Intersection over union of a stretch and a window."""
    both = min(truth[1], window.end_s) - max(truth[0], window.start_s)
    return max(0.0, both) / (max(truth[1], window.end_s) - min(truth[0], window.start_s))


def stretches(run: Run) -> Iterator[tuple[float, float]]:
    """Plateaus that belong together as nothing could be seen of the change between them: from, until."""
    start: float | None = None
    for before, after in pairwise((*run.plateaus, None)):
        assert before is not None
        joined = after is not None and _nothing_seen(run, before, after)
        if joined and start is None and before.steady_from_s is not None:
            start = before.steady_from_s
        if not joined and start is not None:
            yield start, before.end_s
            start = None


def _nothing_seen(run: Run, before: Plateau, after: Plateau) -> bool:
    """Whether a change of load or fan left every channel inside the band in which it is steady."""
    if before.steady_from_s is None or after.steady_from_s is None:
        return False
    seen_s = {one.at_s for one in run.engine_steps} | {one.at_s for one in run.compressor_changes}
    return after.start_s not in seen_s and run.arrival_s(before.start_s, after.end_s) <= before.end_s


def steady_mask(run: Run) -> NDArray[np.bool_]:
    """Whether each moment of a run is truly steady, (n,)."""
    steady = np.zeros(run.time_s.size, dtype=bool)
    parts = [(one.steady_from_s, one.end_s) for one in run.plateaus if one.steady_from_s is not None]
    for first, last in (*parts, *stretches(run)):
        steady |= (run.time_s >= first) & (run.time_s <= last)
    return steady
