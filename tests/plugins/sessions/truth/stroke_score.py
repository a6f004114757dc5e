"""How the compressor worked, against the truth: told right, withheld, or told wrong."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from tests.plugins.sessions.truth.response_score import plateau_at

from knowngood_refdata.records import CompressorKind, Stroke

if TYPE_CHECKING:
    from tests.plugins.sessions.truth.made import TrueSession
    from tests.plugins.sessions.truth.runs import Plateau

    from knowngood_refdata.records import Findings, Response

FULL_FROM = 0.97
LEAST_STROKE = 0.06
FALLS_AS_AT_FULL = -0.1
"""The lagged sessions hold no stroke: at full stroke the low side follows this power of the speed or less."""


@dataclass
class StrokeScore:
    """What was said of the compressor, over the sessions with a response at one fan stage.

    Where the stroke is full at one speed and not at the other, both patterns are there and either is right.
    """

    right: dict[Stroke, int] = field(default_factory=dict)
    withheld: int = 0
    wrong: list[str] = field(default_factory=list)

    def add(self, made: TrueSession, found: Findings) -> None:
        """Count one session in."""
        able = [one for one in found.responses if one.same_fan_stage]
        if not able or found.stroke is None:
            return
        said = found.stroke.stroke
        widest = max(able, key=lambda one: one.to_rpm / one.from_rpm)
        if said is Stroke.CANNOT_TELL:
            self.withheld += 1
        elif said in true_strokes(made, widest):
            self.right[said] = self.right.get(said, 0) + 1
        else:
            self.wrong.append(f"{made.name}: {made.run.kind} said to be {said}")

    def lines(self) -> list[str]:
        """The scores as a table."""
        told = ", ".join(f"{count} {stroke}" for stroke, count in sorted(self.right.items()))
        figures = f"{sum(self.right.values())} / {self.withheld} / {len(self.wrong)}"
        return [f"stroke right / withheld / wrong  {figures} ({told})"]


def true_strokes(made: TrueSession, response: Response) -> set[Stroke]:
    """What may be said of the compressor between two windows."""
    if made.run.kind is CompressorKind.ELECTRIC:
        return {Stroke.ELECTRIC}
    ends = [plateau_at(made, at_s) for at_s in (response.from_at_s, response.to_at_s)]
    if "stroke" not in made.run.channels:
        return {Stroke.FULL} if _falls_as_at_full(*ends) else {Stroke.REGULATING}
    strokes = [one.settled["stroke"] for one in ends]
    if min(strokes) >= FULL_FROM:
        return {Stroke.FULL}
    if max(strokes) < FULL_FROM:
        return {Stroke.REGULATING, Stroke.MINIMUM} if max(strokes) <= LEAST_STROKE else {Stroke.REGULATING}
    return {Stroke.FULL, Stroke.REGULATING}


def _falls_as_at_full(start: Plateau, end: Plateau) -> bool:
    ratio = end.settled["low_pa"] / start.settled["low_pa"]
    return bool(ratio < (end.engine_rpm / start.engine_rpm) ** FALLS_AS_AT_FULL)
