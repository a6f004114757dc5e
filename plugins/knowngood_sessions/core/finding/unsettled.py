"""Where a session is not steady, and why: in sentences with figures, see `figures`."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

from knowngood_refdata.records import Role, Unsettled

from .figures import pressure_figure, speed_figure, temperature_figure
from .settling import last_minute, swing_about_line, swings
from .steady import COARSEST_S, GUARD_S, SHORTEST_S, at_rest
from .trend import mean_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from .grid import Grid
    from .settling import Settling
    from .steady import Stretch

LEAST_S = 5.0
MOST_REASONS = 4
AT_ONCE_S = 3.0
FEW_STEPS = 4

NOT_WORKING = "the sides are equal: nothing is at work"
NO_SAMPLES = "a channel has no samples for {:.0f} s"
TOO_SHORT = "only {:.0f} s until something happens again"
ENDS_TOO_SOON = "only {:.0f} s to the end"
TOO_SLOW = "a sample every {:.0f} s is too few to tell whether it is steady"
NOT_SURE = "no channel clearly moves, but they do not stand still for long enough"


def unsettled(
    grid: Grid, channels: Sequence[Settling], stretches: Sequence[Stretch], disturbed_s: Sequence[float]
) -> tuple[Unsettled, ...]:
    """The parts of a grid of five seconds and more that no steady stretch covers, each with its reasons.

    Parameters
    ----------
    stretches
        The steady stretches of the grid, in order of time.
    disturbed_s
        The moments at which something happened, in order of time: each begins a part of its own.
    """
    if grid.low_pa is None and grid.high_pa is None:
        return ()
    begins_s, ends_s = float(grid.time_s[0]), float(grid.time_s[-1])
    edges = [begins_s, *(edge for one in stretches for edge in (one.start_s, one.end_s)), ends_s]
    found: list[Unsettled] = []
    for number, (from_s, until_s) in enumerate(zip(edges[::2], edges[1::2], strict=True)):
        if until_s - from_s >= LEAST_S:
            follows = stretches[number] if number < len(stretches) else None
            parts = _parts(grid, channels, (from_s, until_s), follows, disturbed_s)
            found += (one for one in parts if one.end_s - one.start_s >= LEAST_S)
    return tuple(found)


def _parts(
    grid: Grid,
    channels: Sequence[Settling],
    span: tuple[float, float],
    follows: Stretch | None,
    disturbed_s: Sequence[float],
) -> list[Unsettled]:
    """A gap between two steady stretches in parts, one from each disturbance; short ones become one."""
    first, last = (bisect_left(disturbed_s, at_s) for at_s in (span[0] + AT_ONCE_S, span[1] - AT_ONCE_S))
    cuts = [span[0], *disturbed_s[first:last], span[1]]
    parts: list[Unsettled] = []
    for from_s, until_s in pairwise(cuts):
        ends = until_s == span[1]
        reasons = _reasons(grid, channels, from_s, until_s, follows if ends else None, last=ends)
        short = until_s - from_s < SHORTEST_S + GUARD_S and not (ends and follows)
        if parts and short and parts[-1].reasons[0].startswith(TOO_SHORT[:5]):
            longest = max(parts[-1].reasons[0], reasons[0], key=_seconds_in)
            parts[-1] = replace(parts[-1], end_s=until_s, reasons=(longest,))
        else:
            parts.append(Unsettled(from_s, until_s, reasons))
    return parts


def _seconds_in(reason: str) -> float:
    return float(next((word for word in reason.split() if word.isdigit()), "0"))


def _reasons(
    grid: Grid,
    channels: Sequence[Settling],
    from_s: float,
    until_s: float,
    follows: Stretch | None,
    *,
    last: bool,
) -> tuple[str, ...]:
    start, end = grid.index(from_s), grid.index(until_s)
    if not grid.known[start : end + 1].all():
        silent_s = float((~grid.known[start : end + 1]).sum()) * grid.step_s
        return (NO_SAMPLES.format(silent_s),)
    if grid.step_s > COARSEST_S:
        return (TOO_SLOW.format(grid.step_s),)
    if follows is not None:
        reasons = tuple(_on_its_way(grid, channels, start, end, follows))
        return reasons[:MOST_REASONS] or (NOT_SURE,)
    if until_s - from_s < SHORTEST_S + GUARD_S:
        return ((ENDS_TOO_SOON if last else TOO_SHORT).format(until_s - from_s),)
    if at_rest(grid, start, end):
        return (NOT_WORKING,)
    return tuple(_still_moving(grid, channels, start, end))[:MOST_REASONS] or (NOT_SURE,)


def _on_its_way(
    grid: Grid, channels: Sequence[Settling], start: int, end: int, follows: Stretch
) -> Iterator[str]:
    """Which channels begin off the level at which they settle afterwards, the slowest first."""
    settled = slice(grid.index(follows.start_s), grid.index(follows.end_s) + 1)
    for channel in sorted(channels, key=lambda one: one.role is not follows.slowest):
        level = mean_of(channel.values[settled])
        off = channel.values[start : end + 1] - level
        away = max(mean_of(off[:FEW_STEPS]), float(off.max()), float(off.min()), key=abs)
        if abs(away) > channel.band(level):
            side = "above" if away > 0.0 else "below"
            yield f"{channel.role.value} is up to {_figure(channel.role, abs(away))} {side} where it settles"
        elif channel.role is follows.slowest:
            yield f"{channel.role.value} has not yet come to rest"


def _still_moving(grid: Grid, channels: Sequence[Settling], start: int, end: int) -> Iterator[str]:
    """Which channels swing, or go on moving at the end, each by how much."""
    half = start + (end - start) // 2
    for channel in channels:
        name = channel.role.value
        swing, line = swing_about_line(grid, channel, half, end), last_minute(grid, channel, start, end)
        gone = abs(line.slope) * min(60.0, (end - half) * grid.step_s)
        if swings(grid, channel, half, end) and gone < 2.0 * swing:
            yield f"{name} swings by {_figure(channel.role, swing)} about its mean"
            continue
        allowed = channel.band(float(channel.values[end])) / 60.0 if channel.drift is None else channel.drift
        if abs(line.slope) > allowed + min(line.standard_error, 2.0 * allowed):
            way = "rises" if line.slope > 0.0 else "falls"
            yield f"{name} still {way} {_figure(channel.role, 60.0 * abs(line.slope))} a minute"


def _figure(role: Role, value: float) -> str:
    if role in {Role.LOW_SIDE, Role.HIGH_SIDE}:
        return pressure_figure(value)
    return speed_figure(value) if role is Role.ENGINE_SPEED else temperature_figure(value)
