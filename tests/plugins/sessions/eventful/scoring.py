"""Found against true, over many sessions."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.records import EventKind

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tests.plugins.sessions.eventful.found import Found
    from tests.plugins.sessions.eventful.happened import Eventful, Truth

    from knowngood_refdata.records import Event

KINDS = {
    "engine": (EventKind.ENGINE_SPEED_STEP, 3.0),
    "fan up": (EventKind.FAN_STAGE_UP, 6.0),
    "fan down": (EventKind.FAN_STAGE_DOWN, 6.0),
    "off": (EventKind.COMPRESSOR_OFF_LINE, 6.0),
    "on": (EventKind.COMPRESSOR_ON_LINE, 6.0),
}
"""What is told of each kind of truth, and within how many seconds of it."""

LASTING = {"cycling": EventKind.CLUTCH_CYCLING, "hunting": EventKind.VALVE_HUNTING}
FEWEST_FAN_STEPS = 4
COARSE_S = 1.5
SAMPLED_S = ((0.0, 0.15), (0.15, 0.3), (0.3, 0.7), (0.7, COARSE_S), (COARSE_S, 3.0))
"""How often a session is sampled, in seconds from sample to sample: from above, to."""


@dataclass(frozen=True)
class Told:
    """A moment that was told: how often the session was sampled, how far off it is, and how far it may be."""

    sampling_s: float
    off_s: float
    within_s: float

    @property
    def holds(self) -> bool:
        return abs(self.off_s) <= self.within_s


@dataclass
class Score:
    """How much of what happened was found, and how much of what was found had happened, by name."""

    true: Counter[str] = field(default_factory=Counter)
    hit: Counter[str] = field(default_factory=Counter)
    false: Counter[str] = field(default_factory=Counter)
    off: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    told: dict[str, list[Told]] = field(default_factory=lambda: defaultdict(list))
    wrong: list[tuple[str, str, float]] = field(default_factory=list)

    def add(self, name: str, made: Eventful, found: Found) -> None:
        """Score one session."""
        cycling = made.of("cycling")
        sampling_s = float(np.median(np.diff(made.recording.time_s)))
        for kind, (told_as, within_s) in KINDS.items():
            told = [one for one in found.events if one.kind is told_as]
            if kind in {"off", "on"}:
                truths = [one for one in made.of(kind) if not _inside(one.at_s, cycling)]
                told = [one for one in told if not _inside(one.at_s, cycling)]
            else:
                truths = made.of(kind)
            self._moments(name, kind, truths, told, within_s, sampling_s)
        for kind, told_as in LASTING.items():
            self._stretches(name, kind, made.of(kind), [one for one in found.events if one.kind is told_as])
        self._sizes(made, found)
        self._thresholds(name, made, found)

    def _moments(
        self,
        name: str,
        kind: str,
        truths: Sequence[Truth],
        told: Sequence[Event],
        within_s: float,
        sampling_s: float,
    ) -> None:
        coarse = sampling_s > COARSE_S
        left = list(told)
        for truth in sorted(truths, key=lambda one: not one.seen):
            near = min(left, key=lambda one: abs(one.at_s - truth.at_s), default=None)
            if near is not None and abs(near.at_s - truth.at_s) <= within_s:
                left.remove(near)
            else:
                near = None
            if truth.seen:
                self._count(name, kind, truth, found=near is not None)
                if near is not None:
                    off_s = near.at_s - truth.at_s
                    self.off[f"{kind} s, coarse" if coarse else f"{kind} s"].append(off_s)
                    if near.within_s is not None:
                        self.told[kind].append(Told(sampling_s, off_s, near.within_s))
        for one in left:
            self._false(name, kind, one)

    def _stretches(self, name: str, kind: str, truths: Sequence[Truth], told: Sequence[Event]) -> None:
        for truth in truths:
            if truth.seen:
                covered_s = sum(_shared_s(one, truth) for one in told)
                self._count(name, kind, truth, found=covered_s >= 0.5 * (_until_s(truth) - truth.at_s))
        for one in told:
            if sum(_shared_s(one, truth) for truth in truths) < 0.5 * (_until_s(one) - one.at_s):
                self._false(name, kind, one)

    def _sizes(self, made: Eventful, found: Found) -> None:
        """By which part of themselves period and swing are off, and the on-fraction by how much."""
        for cycles in found.happened.cycling:
            for truth in _over(cycles.from_s, cycles.until_s, made.of("cycling")):
                self.off["cycling period"].append(cycles.period_s / truth.period_s - 1.0)
                self.off["cycling on-fraction"].append(cycles.on_fraction - truth.on_fraction)
        for hunts in found.happened.hunting:
            for truth in _over(hunts.from_s, hunts.until_s, made.of("hunting"))[:1]:
                self.off["hunting period"].append(hunts.period_s / truth.period_s - 1.0)
                self.off["hunting swing"].append(hunts.low_pa / truth.low_pa - 1.0)

    def _thresholds(self, name: str, made: Eventful, found: Found) -> None:
        if not made.tells_thresholds:
            return
        seen = sum(one.seen for one in made.of("fan up", "fan down"))
        if made.up_pa is None or made.down_pa is None:
            self.false["thresholds"] += bool(found.thresholds)
            return
        told = [one for one in found.thresholds if one.up_pa is not None and one.down_pa is not None]
        if seen >= FEWEST_FAN_STEPS:
            self._count(name, "thresholds", made.of("fan up")[0], found=len(told) == 1)
        for one in told:
            if one.up_pa is not None and one.down_pa is not None:
                self.off["threshold up"].append(one.up_pa.value / made.up_pa - 1.0)
                self.off["threshold down"].append(one.down_pa.value / made.down_pa - 1.0)

    def _count(self, name: str, kind: str, truth: Truth, *, found: bool) -> None:
        self.true[kind] += 1
        self.hit[kind] += found
        if not found:
            self.wrong.append((name, f"missed {kind}", truth.at_s))

    def _false(self, name: str, kind: str, told: Event) -> None:
        self.false[kind] += 1
        self.wrong.append((name, f"false {kind}", told.at_s))

    def recall(self, *kinds: str) -> float:
        """The part of what happened that was found."""
        return sum(self.hit[one] for one in kinds) / max(1, sum(self.true[one] for one in kinds))

    def precision(self, *kinds: str) -> float:
        """The part of what was found that had happened."""
        hits = sum(self.hit[one] for one in kinds)
        return hits / max(1, hits + sum(self.false[one] for one in kinds))

    def within(self, what: str, limit: float) -> float:
        """The part of what was found that is off by no more than a limit."""
        off = np.abs(self.off[what])
        return float((off <= limit).mean()) if off.size else 1.0

    def holds(self, *kinds: str, from_s: float = 0.0, to_s: float = np.inf) -> float:
        """The part of the moments told, of sessions sampled so often, that are off by no more than told."""
        held = [one.holds for kind in kinds for one in self.told[kind] if from_s < one.sampling_s <= to_s]
        return float(np.mean(held)) if held else 1.0

    def table(self) -> str:
        """The whole score."""
        rows = [
            f"{kind:10s} true {self.true[kind]:4d}  found {self.hit[kind]:4d}  false {self.false[kind]:3d}"
            f"  recall {self.recall(kind):.3f}  precision {self.precision(kind):.3f}"
            for kind in (*KINDS, *LASTING, "thresholds")
        ]
        rows.append(
            f"fan        recall {self.recall('fan up', 'fan down'):.3f}"
            f"  precision {self.precision('fan up', 'fan down'):.3f}"
        )
        for kind, told in self.told.items():
            within_s = np.array([one.within_s for one in told])
            rows.append(
                f"{kind:10s} lies in the interval told {self.holds(kind):.3f}"
                f"  half as wide: median {np.median(within_s):.2f} s  most {within_s.max():.2f} s"
            )
        rows += [
            f"engine, sampled every {from_s} to {to_s} s, in the interval told "
            f"{self.holds('engine', from_s=from_s, to_s=to_s):.3f}"
            for from_s, to_s in SAMPLED_S
        ]
        for what, off in self.off.items():
            size = np.abs(off)
            rows.append(
                f"{what:20s} off by: median {np.median(size):.3f}"
                f"  95 % {np.percentile(size, 95):.3f}  most {size.max():.3f}"
            )
        return "\n".join(rows)


def _over(from_s: float, until_s: float, truths: Sequence[Truth]) -> list[Truth]:
    return [one for one in truths if one.at_s < until_s and from_s < _until_s(one)]


def _until_s(one: Event | Truth) -> float:
    return one.at_s if one.until_s is None else one.until_s


def _inside(at_s: float, lasting: Sequence[Truth]) -> bool:
    return any(one.at_s - 20.0 <= at_s <= _until_s(one) + 20.0 for one in lasting)


def _shared_s(told: Event, truth: Truth) -> float:
    return max(0.0, min(_until_s(truth), _until_s(told)) - max(truth.at_s, told.at_s))
