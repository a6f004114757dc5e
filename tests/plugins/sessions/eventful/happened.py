"""What truly happened in a made session, and the recording a logger kept of it."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA
from knowngood_refdata.records import Channel, Instruments, PressureInstrument, Recording, Role

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

DIAL = Instruments()
"""EN 837 class 1.6 dial gauges, 10 and 35 bar."""

DIGITAL = Instruments(
    PressureInstrument(0.5, 20e5, "digital, 0.5 % of 20 bar"),
    PressureInstrument(0.5, 50e5, "digital, 0.5 % of 50 bar"),
)
NOISE_OF_LIMIT = 0.12
OFFSET_OF_LIMIT = 0.7
SETTLES_S, LEAST_HUNTING_S = 25.0, 90.0
SMALLEST_HUNTING_PA, SHORTEST_PERIOD_S = 3_500.0, 17.0


@dataclass(frozen=True)
class Truth:
    """A thing that happened: ``fan up``, ``fan down``, ``engine``, ``off``, ``on``, ``cycling``, ``hunting``.

    ``seen`` is False where no reader of the pressures could tell (a fan stage while the compressor rests):
    to find it is neither right nor wrong. ``period_s``, ``on_fraction`` and ``low_pa``, half the swing of the
    low side, belong to what lasts.
    """

    kind: str
    at_s: float
    until_s: float | None = None
    seen: bool = True
    period_s: float = 0.0
    on_fraction: float = 0.0
    low_pa: float = 0.0


@dataclass(frozen=True)
class Eventful:
    """A recording with its truth; ``up_pa`` and ``down_pa`` are the fan's true thresholds, if it has any.

    ``tells_thresholds`` is False where the fan may have thresholds that are not told.
    """

    recording: Recording
    refrigerant: str
    truths: tuple[Truth, ...]
    instruments: Instruments
    up_pa: float | None = None
    down_pa: float | None = None
    tells_thresholds: bool = True

    def of(self, *kinds: str) -> list[Truth]:
        return [one for one in self.truths if one.kind in kinds]


@dataclass(frozen=True)
class Logger:
    """How a logger keeps what it is shown: sampling, digits of an 8-bit converter, lost samples, spikes."""

    sampling_s: float = 1.0
    instruments: Instruments = DIGITAL
    noise_of_limit: float = NOISE_OF_LIMIT
    eight_bit: bool = False
    missing: float = 0.0
    spikes: float = 0.0
    line_k: float = 0.1
    rpm: float = 8.0

    def keep(
        self, fine_s: NDArray[np.float64], true: Mapping[Role, NDArray[np.float64]], seed: int
    ) -> Recording:
        """A recording from channels on a fine time axis, pressures absolute in pascals."""
        random = np.random.default_rng(seed)
        time_s = np.arange(fine_s[0], fine_s[-1], self.sampling_s)
        channels = []
        for role, values in true.items():
            seen = np.interp(time_s, fine_s, values) + self._error(role, time_s.size, random)
            span = {Role.LOW_SIDE: self.instruments.low, Role.HIGH_SIDE: self.instruments.high}.get(role)
            if span is not None and self.eight_bit:
                count = span.full_scale_pa / 255.0
                seen = np.rint(seen / count) * count
            seen[random.random(seen.size) < self.missing] = np.nan
            spiked = random.random(seen.size) < self.spikes
            seen[spiked] *= random.choice([0.0, 3.0], int(spiked.sum()))
            gauge = span is not None
            unit = "Pa" if gauge else "rpm" if role is Role.ENGINE_SPEED else "K"
            shown = seen - STANDARD_ATMOSPHERE_PA if gauge else seen
            channels.append(Channel(role.value, role, unit, gauge, shown))
        return Recording(time_s - time_s[0], tuple(channels))

    def _error(self, role: Role, count: int, random: np.random.Generator) -> NDArray[np.float64]:
        span = {Role.LOW_SIDE: self.instruments.low, Role.HIGH_SIDE: self.instruments.high}.get(role)
        if span is None:
            sigma = self.rpm if role is Role.ENGINE_SPEED else self.line_k
            return random.normal(0.0, sigma, count)
        limit = span.class_percent / 100.0 * span.full_scale_pa
        shift = OFFSET_OF_LIMIT * limit * random.uniform(-1.0, 1.0)
        return shift + random.normal(0.0, self.noise_of_limit * limit, count)


def logger_at_random(random: np.random.Generator) -> Logger:
    """Dial or digital, 0.1 to 2 s, now and then with lost samples."""
    return Logger(
        sampling_s=float(random.choice([0.1, 0.2, 0.5, 1.0, 2.0])),
        instruments=DIAL if random.random() < 0.5 else DIGITAL,
        noise_of_limit=float(random.choice([0.05, 0.1, 0.15])),
        missing=float(random.choice([0.0, 0.03])),
        spikes=float(random.choice([0.0, 0.002])),
    )


def compressor_truths(time_s: NDArray[np.float64], on: NDArray[np.bool_]) -> list[Truth]:
    """Off and on line from a course of the compressor, and cycling where it lets go time and again."""
    at = np.flatnonzero(np.diff(on.astype(int))) + 1
    found = [Truth("on" if on[i] else "off", float(time_s[i])) for i in at]
    runs: list[list[Truth]] = []
    for one in found:
        if runs and one.at_s - runs[-1][-1].at_s < 90.0:
            runs[-1].append(one)
        else:
            runs.append([one])
    for run in runs:
        offs = [one.at_s for one in run if one.kind == "off"]
        if len(offs) >= 4:
            inside = (time_s >= offs[0]) & (time_s < offs[-1])
            period = (offs[-1] - offs[0]) / (len(offs) - 1)
            share = float(on[inside].mean())
            found.append(Truth("cycling", run[0].at_s, run[-1].at_s, True, period, share))
    return found


def fan_truths(
    time_s: NDArray[np.float64], stage: NDArray[np.intp], on: NDArray[np.bool_], engine_s: Sequence[float]
) -> list[Truth]:
    """Fan steps from a course of its stage.

    Nobody could tell one within 15 s of a compressor change or the end, or beside an engine-speed step.
    """
    changed_s = time_s[np.flatnonzero(np.diff(on.astype(int))) + 1]
    found = []
    for i in np.flatnonzero(np.diff(stage)) + 1:
        at_s = float(time_s[i])
        near = (time_s > at_s - 15.0) & (time_s < at_s + 15.0)
        alone = not _near(changed_s, at_s, 15.0) and not _near(np.array(engine_s), at_s, 8.0)
        seen = bool(on[near].all()) and alone and 10.0 <= at_s <= float(time_s[-1]) - 15.0
        found.append(Truth("fan up" if stage[i] > stage[i - 1] else "fan down", at_s, seen=seen))
    return found


def _near(moments_s: NDArray[np.float64], at_s: float, within_s: float) -> bool:
    return bool(moments_s.size) and float(np.abs(moments_s - at_s).min()) < within_s


def hunting_truths(
    period_s: float, low_pa: float, until_s: float, disturbed_s: Sequence[float]
) -> list[Truth]:
    """Hunting of a whole session, told between its disturbances.

    Seen where it swings by more than `SMALLEST_HUNTING_PA`, and five times or more after things settled.
    """
    edges = [0.0, *sorted(disturbed_s), until_s]
    found = []
    for from_s, to_s in pairwise(edges):
        lasts = to_s - from_s - SETTLES_S >= max(5.0 * period_s, LEAST_HUNTING_S)
        seen = lasts and low_pa >= SMALLEST_HUNTING_PA and period_s >= SHORTEST_PERIOD_S
        if to_s > from_s:
            found.append(Truth("hunting", from_s, to_s, seen, period_s, low_pa=low_pa))
    return found
