"""The samples of a followed log, recorded and derived, in arrays that grow."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.records import Channel, Recording
from knowngood_sessions.core.channels.brought import HELD_AS, Brought, known_channels, work_out
from knowngood_sessions.core.channels.derive import Derived, derive

from .growing import GrowingArray

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from knowngood_sessions.core.channels.brought import Rule


@dataclass(frozen=True, slots=True, eq=False)
class Samples:
    """A stretch of samples (k,): as recorded, and derived in SI on the same time axis.

    ``known`` is what `core.brought.known_channels` gives, ``brought`` what further rules worked out.
    """

    recording: Recording
    derived: Derived
    known: Mapping[str, NDArray[np.float64]]
    brought: tuple[Brought, ...] = ()

    @property
    def time_s(self) -> NDArray[np.float64]:
        """Seconds from the first sample of the session."""
        return self.recording.time_s


class SampleStore:
    """Derives what is new and keeps everything.

    Parameters
    ----------
    channels
        What is recorded; their values are not used.
    barometer_pa
        The local air pressure from which gauges count.
    rules
        Further channels that are worked out; one whose rule fails has no values from there on.
    """

    def __init__(
        self, channels: Sequence[Channel], refrigerant: str, barometer_pa: float, rules: Sequence[Rule] = ()
    ) -> None:
        self.barometer_pa = barometer_pa
        self.problems: tuple[str, ...] = ()
        self._channels, self._refrigerant, self._rules = tuple(channels), refrigerant, tuple(rules)
        self._count = 0
        self._time_s = self._fresh()
        self._recorded = tuple(self._fresh() for _ in channels)
        self._derived: dict[str, GrowingArray] = {}
        self._further: dict[str, GrowingArray] = {}
        self._brought: dict[str, tuple[Brought, GrowingArray | None]] = {}

    def __len__(self) -> int:
        return len(self._time_s)

    def add(
        self, time_s: NDArray[np.float64], values: Sequence[NDArray[np.float64]] | NDArray[np.float64]
    ) -> Samples:
        """Take further samples, times (k,) and values (channels, k); give them with what is derived."""
        recording = Recording(time_s, tuple(_filled(self._channels, values)))
        derived = derive(recording, self._refrigerant, self.barometer_pa)
        known = known_channels(recording, derived, self.barometer_pa)
        samples = Samples(recording, derived, known, self._work_out(known, time_s.size))
        self._keep(samples)
        return samples

    def all(self) -> Samples:
        """Everything so far, not copied; it stays as it is while more is added."""
        time_s = self._time_s.view()
        recorded = [one.view() for one in self._recorded]
        derived = {name: one.view() for name, one in self._derived.items()}
        known = {name: derived[held] for name, held in HELD_AS.items() if held in derived}
        known |= {name: one.view() for name, one in self._further.items()}
        return Samples(
            Recording(time_s, tuple(_filled(self._channels, recorded))),
            Derived(**{**derived, "time_s": time_s}),
            known,
            tuple(
                Brought(one.name, one.title, one.kind, known[one.name] if grown is None else grown.view())
                for one, grown in self._brought.values()
            ),
        )

    def _work_out(self, known: Mapping[str, NDArray[np.float64]], count: int) -> tuple[Brought, ...]:
        found = work_out(self._rules, known)
        self.problems = tuple(dict.fromkeys((*self.problems, *found.problems)))
        here = {one.name: one for one in found.channels}
        if not len(self):
            return found.channels
        # The plot has a curve for each channel that was there at the start: it goes on without values.
        nothing = np.full(count, np.nan)
        return tuple(
            here.get(name, Brought(name, one.title, one.kind, nothing))
            for name, (one, _) in self._brought.items()
        )

    def _keep(self, samples: Samples) -> None:
        self._time_s.extend(samples.time_s)
        for grown, channel in zip(self._recorded, samples.recording.channels, strict=True):
            grown.extend(channel.values)
        for field in fields(samples.derived):
            values = getattr(samples.derived, field.name)
            if values is not None and field.name != "time_s":
                self._grown(self._derived, field.name).extend(values)
        for name, values in samples.known.items():
            # What is held as derived already takes no room of its own.
            if name not in HELD_AS:
                self._grown(self._further, name).extend(values)
        for one in samples.brought:
            fresh = None if one.name in samples.known else self._fresh()
            _, kept = self._brought.setdefault(one.name, (one, fresh))
            if kept is not None:
                kept.extend(one.values)

    def _grown(self, arrays: dict[str, GrowingArray], name: str) -> GrowingArray:
        if name not in arrays:
            arrays[name] = self._fresh()
        return arrays[name]

    def _fresh(self) -> GrowingArray:
        self._count += 1
        return GrowingArray.out_of_step(self._count)


def _filled(
    channels: Sequence[Channel], values: Sequence[NDArray[np.float64]] | NDArray[np.float64]
) -> list[Channel]:
    return [
        Channel(one.name, one.role, one.unit, one.gauge, row)
        for one, row in zip(channels, values, strict=True)
    ]
