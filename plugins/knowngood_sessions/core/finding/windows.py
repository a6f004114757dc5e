"""Steady windows as records: the program's and those set by hand, each with its own word."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_refdata.records import Quantity, SteadyWindow

from .measured import measured
from .response import Settled
from .steady import Stretch

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from knowngood_refdata.records import Instruments
    from knowngood_refdata.refrigerants import SaturationCurve
    from knowngood_sessions.core.channels.derive import Derived

    from .events import FanHistory
    from .grid import Grid
    from .measured import Measured

IDLE_BELOW_RPM = 1_100.0
ENGINE_OFF_BELOW_RPM = 300.0
ROUND_TO_RPM = 100.0
SIDES = (Quantity.LOW_SIDE, Quantity.HIGH_SIDE)


def windows_of(found: Iterable[Measured], fan: FanHistory) -> list[Settled]:
    """The program's windows, named by engine speed and numbered when it comes again."""
    held = list(found)
    labels = _labelled([one.engine_rpm for one in held])
    return [_settled(one, fan, label) for one, label in zip(held, labels, strict=True)]


def windows_by_hand(
    by_hand: Sequence[tuple[float, float, str]],
    grids: Sequence[Grid],
    derived: Derived,
    fan: FanHistory,
    curve: SaturationCurve,
    instruments: Instruments,
) -> list[Settled]:
    """What the windows that a person set hold, in order of time; one outside the samples holds nothing.

    Parameters
    ----------
    by_hand
        Start and end in seconds from the first sample, and the person's word; without a word the engine
        speed names the window.
    """
    found = []
    for start_s, end_s, word in sorted(by_hand):
        stretch = Stretch(start_s, end_s)
        grid = max(grids, key=lambda one: _shared_s(one, stretch), default=None)
        if grid is None or _shared_s(grid, stretch) <= 0.0:
            window = SteadyWindow(start_s, end_s, None, fan.stage_at(start_s), word, {}, by_hand=True)
            found.append(Settled(window, {}))
            continue
        inside = Stretch(max(start_s, float(grid.time_s[0])), min(end_s, float(grid.time_s[-1])))
        (held,) = measured(grid, derived, [inside], curve, instruments)
        found.append(_settled(held, fan, word or speed_name(held.engine_rpm), span=stretch))
    return found


def taking_part(program: Sequence[Settled], hand: Sequence[Settled]) -> list[Settled]:
    """The windows that count for comparisons: a person's, and the program's that overlap none of them."""
    kept = [
        one
        for one in program
        if not any(
            one.window.start_s < other.window.end_s and other.window.start_s < one.window.end_s
            for other in hand
        )
    ]
    return sorted((*kept, *hand), key=lambda one: one.window.start_s)


def speed_name(rpm: float | None) -> str:
    """An engine speed in words.

    >>> [speed_name(rpm) for rpm in (748.0, 1_985.0, 0.0, None)]
    ['idle', '2000 rpm', 'engine off', 'steady']
    """
    if rpm is None:
        return "steady"
    if rpm < ENGINE_OFF_BELOW_RPM:
        return "engine off"
    return "idle" if rpm < IDLE_BELOW_RPM else f"{ROUND_TO_RPM * round(rpm / ROUND_TO_RPM):.0f} rpm"


def _settled(one: Measured, fan: FanHistory, label: str, span: Stretch | None = None) -> Settled:
    window = SteadyWindow(
        start_s=(span or one.stretch).start_s,
        end_s=(span or one.stretch).end_s,
        engine_rpm=one.engine_rpm,
        fan_stage=fan.stage_at(one.stretch.start_s),
        label=label,
        values=one.values,
        by_hand=span is not None,
        behaviour=one.behaviour,
    )
    return Settled(window, {side: one.scatter[side] for side in SIDES if side in one.scatter})


def _shared_s(grid: Grid, stretch: Stretch) -> float:
    """How long a stretch and a grid overlap; a stretch may be shorter than a step."""
    half = 0.5 * grid.step_s
    start, end = max(stretch.start_s, grid.time_s[0] - half), min(stretch.end_s, grid.time_s[-1] + half)
    return float(end - start)


def _labelled(speeds: Sequence[float | None]) -> Iterator[str]:
    """A label for each engine speed, unique in the session: ``idle``, ``2000 rpm``, ``idle (2)``."""
    seen: dict[str, int] = {}
    for rpm in speeds:
        name = speed_name(rpm)
        seen[name] = seen.get(name, 0) + 1
        yield name if seen[name] == 1 else f"{name} ({seen[name]})"
