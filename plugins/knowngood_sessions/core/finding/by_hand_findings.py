"""What typed points say: each is a steady window set by hand; between engine speeds there is a response."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.records import Estimate, Event, EventKind, Findings, SteadyWindow
from knowngood_refdata.uncertainty import pressure_standard_uncertainty_pa

from .by_hand import points_of
from .events import FanHistory
from .fan_step import FanStep
from .response import Settled, responses
from .settled import part_of, settled_means, settled_values
from .steady import Stretch

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from knowngood_refdata.records import Instruments, PressureInstrument, Recording, Response
    from knowngood_refdata.refrigerants import SaturationCurve
    from knowngood_sessions.core.channels.derive import Derived

STAGE_UNKNOWN = "the fan's stage was not noted at both points: the change may not be the engine speed's alone"


@dataclass(frozen=True, slots=True)
class _Point:
    settled: Settled
    stage: int | None

    @property
    def start_s(self) -> float:
        return self.settled.window.start_s


def typed_findings(
    recording: Recording,
    derived: Derived,
    curve: SaturationCurve,
    instruments: Instruments,
    name_of: Callable[[float | None], str],
) -> Findings:
    """Windows, fan changes and responses of a recording of typed points.

    A response is the engine speed's alone only where the fan's stage was noted as the same at both ends;
    where it was not noted, that is said.

    Parameters
    ----------
    name_of
        Gives the words for an engine speed, None when none was typed.
    """
    points = [_point(derived, curve, instruments, spot, name_of) for spot in points_of(recording)]
    points = list(_named_apart(points))
    known = [one for one in points if one.stage is not None]
    fan = FanHistory(tuple(_steps(known)), known[0].stage if known else None)
    return Findings(
        windows=tuple(one.settled.window for one in points),
        events=tuple(_events(known)),
        responses=_responses(points, known, fan, instruments),
    )


def saturated_at(curve: SaturationCurve, pressure_pa: float, gauge: PressureInstrument) -> Estimate:
    """Saturation temperature [K] at a pressure with the uncertainty of its gauge; NaN off the curve."""
    return Estimate(
        float(curve.temperature_k(pressure_pa)),
        float(curve.slope_k_per_pa(pressure_pa)) * pressure_standard_uncertainty_pa(gauge),
    )


def _point(
    derived: Derived,
    curve: SaturationCurve,
    instruments: Instruments,
    spot: tuple[float, float, int | None],
    name_of: Callable[[float | None], str],
) -> _Point:
    start_s, end_s, stage = spot
    stretch = Stretch(start_s, end_s)
    means = settled_means(derived, stretch)
    rpm = None if derived.engine_rpm is None else float(derived.engine_rpm[part_of(derived, stretch)][0])
    rpm = None if rpm is None or not np.isfinite(rpm) else rpm
    window = SteadyWindow(
        start_s=start_s,
        end_s=end_s,
        engine_rpm=rpm,
        fan_stage=stage,
        label=name_of(rpm),
        values=settled_values(means, curve, instruments),
        by_hand=True,
    )
    # One reading tells nothing of its scatter; what comes anew with each reading is in the response's model.
    return _Point(Settled(window, {}), stage)


def _named_apart(points: Iterable[_Point]) -> Iterable[_Point]:
    """Every label unique in the session: ``idle``, ``idle (2)``."""
    seen: dict[str, int] = {}
    for one in points:
        name = one.settled.window.label
        seen[name] = seen.get(name, 0) + 1
        yield one if seen[name] == 1 else _named(one, f"{name} ({seen[name]})")


def _named(point: _Point, label: str) -> _Point:
    window = replace(point.settled.window, label=label)
    return replace(point, settled=replace(point.settled, window=window))


def _steps(known: Sequence[_Point]) -> Iterable[FanStep]:
    """The fan's way from each noted stage to the next, one stage at a time."""
    for before, after in pairwise(known):
        change = (after.stage or 0) - (before.stage or 0)
        at_s = 0.5 * (before.settled.window.end_s + after.start_s)
        yield from (FanStep(at_s, up=change > 0) for _ in range(abs(change)))


def _events(known: Sequence[_Point]) -> Iterable[Event]:
    for before, after in pairwise(known):
        if before.stage != after.stage and before.stage is not None and after.stage is not None:
            kind = EventKind.FAN_STAGE_UP if after.stage > before.stage else EventKind.FAN_STAGE_DOWN
            words = f"fan at stage {after.stage}" if after.stage else "fan off"
            yield Event(kind, 0.5 * (before.settled.window.end_s + after.start_s), f"{words}, as noted")


def _responses(
    points: Sequence[_Point], known: Sequence[_Point], fan: FanHistory, instruments: Instruments
) -> tuple[Response, ...]:
    sure = responses([one.settled for one in known], fan, instruments)
    reached = {one.to_rpm for one in sure}
    others = responses([one.settled for one in points], FanHistory((), None), instruments)
    doubtful = [
        replace(one, same_fan_stage=False, remark=STAGE_UNKNOWN)
        for one in others
        if one.to_rpm not in reached
    ]
    return tuple(sorted((*sure, *doubtful), key=lambda one: one.to_rpm))
