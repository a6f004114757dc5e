"""How long the readings took to settle after a disturbance, against the truth."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from tests.plugins.sessions.truth.made import TrueSession
    from tests.plugins.sessions.truth.runs import Plateau

    from knowngood_refdata.records import Findings, Recovery

SAME_MOMENT_S = 5.0
SHORTEST_S = 35.0


@dataclass
class RecoveryScore:
    """Seconds between the recovery found and the true one, where the disturbance itself was found.

    True is the time from the disturbance to the moment from which every channel stays within its band about
    where the plateau ends, for plateaus that stay steady for 35 s and more.
    """

    late_s: list[float] = field(default_factory=list)
    true_s: list[float] = field(default_factory=list)

    def add(self, made: TrueSession, found: Findings) -> None:
        """Count one session in."""
        for plateau in made.run.plateaus[1:]:
            if plateau.steady_s < SHORTEST_S or plateau.steady_from_s is None:
                continue
            recovery = _recovery_from(plateau, found)
            if recovery is not None:
                true_s = plateau.steady_from_s - plateau.start_s
                self.true_s.append(true_s)
                self.late_s.append(recovery.seconds - true_s)

    @property
    def within_s(self) -> float:
        """The 90th percentile of how far off a recovery is."""
        return float(np.percentile(np.abs(self.late_s), 90))

    def lines(self) -> list[str]:
        """The scores as a table."""
        truly_s, off_s = np.median(self.true_s), np.median(self.late_s)
        return [
            f"recoveries                 {len(self.late_s)}, truly {truly_s:.0f} s at the median",
            f"off at the median          {off_s:+.1f} s, 90th percentile {self.within_s:.1f} s",
        ]


def _recovery_from(plateau: Plateau, found: Findings) -> Recovery | None:
    near = [one for one in found.recoveries if abs(one.at_s - plateau.start_s) < SAME_MOMENT_S]
    return near[0] if near else None
