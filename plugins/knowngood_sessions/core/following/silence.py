"""Channels that gave values and give none any more."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from knowngood_refdata.records import Recording

SILENT_S = 10.0


class Silence:
    """Watches for channels that have gone silent: a clamp that fell off, a probe that lost its battery."""

    def __init__(self) -> None:
        self._last_s: dict[str, float] = {}
        self._now_s = 0.0

    def hear(self, samples: Recording) -> None:
        """Take further samples."""
        if samples.time_s.size == 0:
            return
        self._now_s = float(samples.time_s[-1])
        for channel in samples.channels:
            heard = np.flatnonzero(np.isfinite(channel.values))
            if heard.size:
                self._last_s[channel.name] = float(samples.time_s[heard[-1]])

    def words(self) -> tuple[str, ...]:
        """A sentence for each channel that has given no value for a while."""
        return tuple(
            f"{name} has given no value for {self._now_s - last_s:.0f} s."
            for name, last_s in self._last_s.items()
            if self._now_s - last_s >= SILENT_S
        )
