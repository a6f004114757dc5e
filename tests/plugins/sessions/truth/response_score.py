"""Responses to engine speed against the truth: right where a session settles, withheld where it does not."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import log, log2
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.records import Verdict

if TYPE_CHECKING:
    from tests.plugins.sessions.truth.made import TrueSession
    from tests.plugins.sessions.truth.runs import Plateau, Run

    from knowngood_refdata.records import Findings, Response

LEVEL = {"low_pa": 0.03, "high_pa": 0.05}
"""A side stays level when the logarithm of its absolute pressure changes by less than this a doubling of the
engine speed (common practice, no source), or in total where the speeds are less than a doubling apart."""

CLEARLY = 1.3
SETTLES_S, NEVER_S = 40.0, 15.0
LEFT, NEVER_LEFT = 0.005, 0.025
REST_S, BESIDE_S, SAME_RPM = 15.0, 8.0, 100.0
"""As in what is asked of the fan steps themselves: see `eventful`."""


@dataclass
class ResponseScore:
    """Verdicts on both sides, over many sessions.

    A session has a *settled pair* when the lowest engine speed and a higher one have settled plateaus at one
    fan stage and load, and nobody could take the stages for different: see `stages_known`. A verdict is right
    when it is that of the truth, either where the truth is within 30 % of the limit. ``withheld`` counts
    verdicts *cannot tell*, ``missing`` sessions with a settled pair and no response at equal stage,
    ``hidden`` those whose only settled pairs have stages that nobody could know, ``unwarranted`` responses
    from or to a plateau that has not settled.
    """

    right: int = 0
    wrong: list[str] = field(default_factory=list)
    withheld: list[str] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)
    unwarranted: list[str] = field(default_factory=list)
    hidden: list[str] = field(default_factory=list)
    settled_sessions: int = 0
    unsettled_sessions: int = 0
    silent: int = 0

    def add(self, made: TrueSession, found: Findings) -> None:
        """Count one session in."""
        equal = settled_pairs(made.run.plateaus)
        pairs = [pair for pair in equal if stages_known(made.run, *pair)]
        told = [one for one in found.responses if {one.low, one.high} != {Verdict.CANNOT_TELL}]
        for response in told:
            ends = [plateau_at(made, at_s) for at_s in (response.from_at_s, response.to_at_s)]
            if any(never_settles(one) for one in ends):
                self.unwarranted.append(f"{made.name}: {_name(response)}")
            elif response.same_fan_stage:
                self._verdicts(made, response, *ends)
        if pairs:
            self.settled_sessions += 1
            if not any(one.same_fan_stage for one in found.responses):
                self.missing.append(made.name)
        elif equal:
            self.hidden.append(made.name)
        elif not any(settles(one) for one in made.run.plateaus if one.engine_rpm > 1_200.0):
            self.unsettled_sessions += 1
            self.silent += not told

    def _verdicts(self, made: TrueSession, response: Response, start: Plateau, end: Plateau) -> None:
        octaves = log2(end.engine_rpm / start.engine_rpm)
        for side, said in (("low_pa", response.low), ("high_pa", response.high)):
            change = log(end.settled[side] / start.settled[side])
            allowed = truths(change, LEVEL[side] * max(1.0, abs(octaves)))
            text = f"{made.name}: {_name(response)} {side} {said}, truly {change:+.3f}, {octaves:.1f} oct"
            if said in allowed:
                self.right += 1
            elif said is Verdict.CANNOT_TELL and start.load == end.load:
                self.withheld.append(text)
            elif said is not Verdict.CANNOT_TELL:
                self.wrong.append(text + ("" if start.load == end.load else ", at another load"))

    def lines(self) -> list[str]:
        """The scores as a table."""
        return [
            f"sessions with a settled pair {self.settled_sessions}, without a response {len(self.missing)}",
            f"with stages nobody could know {len(self.hidden)}",
            f"sessions never settled       {self.unsettled_sessions}, silent {self.silent}",
            f"verdicts right / withheld / wrong  {self.right} / {len(self.withheld)} / {len(self.wrong)}",
            f"unwarranted responses        {len(self.unwarranted)}",
        ]


def truths(change: float, level: float) -> set[Verdict]:
    """What may be said of a change of a logarithm, two verdicts near the limit."""
    moved = Verdict.RISES if change > 0.0 else Verdict.FALLS
    if abs(change) > CLEARLY * level:
        return {moved}
    return {Verdict.LEVEL} if abs(change) < level / CLEARLY else {Verdict.LEVEL, moved, Verdict.CANNOT_TELL}


def settles(plateau: Plateau) -> bool:
    """Whether a plateau has settled beyond doubt."""
    return plateau.steady_s >= SETTLES_S and plateau.left < LEFT


def never_settles(plateau: Plateau) -> bool:
    """Whether a plateau has not settled beyond doubt."""
    return plateau.steady_s < NEVER_S or plateau.left > NEVER_LEFT


def settled_pairs(plateaus: tuple[Plateau, ...]) -> list[tuple[Plateau, Plateau]]:
    """Settled plateaus at the lowest speed and at a higher one, at one fan stage and load."""
    able = [one for one in plateaus if settles(one)]
    slowest = min((one.engine_rpm for one in able), default=0.0)
    return [
        (start, end)
        for start in able
        for end in able
        if start.engine_rpm < 1.1 * slowest
        and end.engine_rpm > 1.3 * start.engine_rpm
        and (start.fan_stage, start.load) == (end.fan_stage, end.load)
    ]


def stages_known(run: Run, one: Plateau, other: Plateau) -> bool:
    """Whether the fan's stages in two plateaus could be told from the readings between them.

    A change of stage does not show where the compressor rests, and not as the fan's beside a change of
    engine speed.
    """
    from_s, until_s = sorted((one.start_s, other.start_s))
    changes_s = [change.at_s for change in run.fan_changes if from_s < change.at_s <= until_s]
    return all(shows(run, at_s) for at_s in changes_s)


def shows(run: Run, at_s: float) -> bool:
    """Whether a change of stage comes while the compressor pumps and the engine holds its speed."""
    about = np.abs(run.time_s - at_s)
    pumps = run.pumping[about < REST_S].all()
    return bool(pumps) and float(np.ptp(run.channels["engine_rpm"][about < BESIDE_S])) <= SAME_RPM


def plateau_at(made: TrueSession, at_s: float | None) -> Plateau:
    """The plateau in which a window that starts at a moment lies."""
    assert at_s is not None, "a response names its windows"
    return min(
        made.run.plateaus,
        key=lambda one: max(one.start_s - at_s - 15.0, at_s + 15.0 - one.end_s, 0.0),
    )


def _name(response: Response) -> str:
    return f"{response.from_rpm:.0f} to {response.to_rpm:.0f} rpm"
