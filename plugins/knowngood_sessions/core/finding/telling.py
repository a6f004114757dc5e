"""What happened, as records: in words for the list and the plot, each with the samples it comes from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_refdata.records import Event, EventKind, Evidence, Role

from .moments import inside

if TYPE_CHECKING:
    from collections.abc import Iterator

    from knowngood_sessions.core.channels.derive import Derived

    from .compressor import CompressorChange
    from .cycling import Cycling
    from .engine import EngineStep
    from .events import FanHistory, Happenings
    from .fan_step import FanStep
    from .valve_hunting import ValveHunting

PA_PER_PSI = 6_894.757
PA_PER_BAR = 1e5
COVERAGE_95 = 2.0
SIDES = (Role.LOW_SIDE, Role.HIGH_SIDE)
WITH_ENGINE = (*SIDES, Role.ENGINE_SPEED)

ENGINE_LOOKED_AT_S = (-8.0, 8.0)
COMPRESSOR_LOOKED_AT_S = (-5.0, 20.0)
FAN_LOOKED_AT_S = (-18.0, 14.0)
HIDDEN_FAN_LOOKED_AT_S = (-10.0, 45.0)
LOGGED_FAN_LOOKED_AT_S = (-2.0, 2.0)
"""From when to when, about its moment, a step is looked for in the samples."""


class _Samples:
    """Which channels there are and where they begin and end."""

    def __init__(self, derived: Derived | None) -> None:
        time_s = None if derived is None else derived.time_s
        known = time_s is not None and time_s.size > 0
        self.first_s, self.last_s = (
            (float(time_s[0]), float(time_s[-1])) if known and time_s is not None else (0.0, float("inf"))
        )
        self.missing = set() if derived is None else _missing(derived)

    def about(self, at_s: float, span_s: tuple[float, float], roles: tuple[Role, ...]) -> Evidence:
        return self.between(at_s + span_s[0], at_s + span_s[1], roles)

    def between(self, from_s: float, until_s: float, roles: tuple[Role, ...]) -> Evidence:
        held = tuple(one for one in roles if one not in self.missing)
        return Evidence(max(from_s, self.first_s), min(until_s, self.last_s), held)


def as_events(happened: Happenings, fan: FanHistory, derived: Derived | None = None) -> tuple[Event, ...]:
    """The happenings as records for the plot, in order of time.

    Parameters
    ----------
    derived
        The samples in which they were found; without them evidence names every channel that is looked at.
    """
    samples = _Samples(derived)
    cycled_s = [(one.from_s, one.until_s) for one in happened.cycling]
    events = [_engine(step, samples) for step in happened.engine]
    events += [_compressor(one, samples) for one in happened.compressor if not inside(cycled_s, one.at_s)]
    events += [_cycling(one, samples) for one in happened.cycling]
    events += [_hunting(one, samples) for one in happened.hunting]
    events += _fan(fan, samples)
    return tuple(sorted(events, key=lambda event: event.at_s))


def _missing(derived: Derived) -> set[Role]:
    channels = {
        Role.LOW_SIDE: derived.low_pa,
        Role.HIGH_SIDE: derived.high_pa,
        Role.ENGINE_SPEED: derived.engine_rpm,
    }
    return {role for role, values in channels.items() if values is None}


def _engine(step: EngineStep, samples: _Samples) -> Event:
    return Event(
        EventKind.ENGINE_SPEED_STEP,
        step.at_s,
        f"engine from {round(step.from_rpm, -1):.0f} to {round(step.to_rpm, -1):.0f} rpm",
        evidence=samples.about(step.at_s, ENGINE_LOOKED_AT_S, (Role.ENGINE_SPEED,)),
        within_s=step.within_s,
    )


def _compressor(change: CompressorChange, samples: _Samples) -> Event:
    return Event(
        EventKind.COMPRESSOR_ON_LINE if change.on else EventKind.COMPRESSOR_OFF_LINE,
        change.at_s,
        f"compressor {'on' if change.on else 'off'} line",
        evidence=samples.about(change.at_s, COMPRESSOR_LOOKED_AT_S, WITH_ENGINE),
        within_s=change.within_s,
    )


def _cycling(one: Cycling, samples: _Samples) -> Event:
    return Event(
        EventKind.CLUTCH_CYCLING,
        one.from_s,
        f"clutch cycles every {_seconds(one.period_s, one.period_uncertainty_s)}, on for "
        f"{100.0 * one.on_fraction:.0f} % of the time, {one.cycles} times",
        until_s=one.until_s,
        evidence=samples.between(one.from_s, one.until_s, WITH_ENGINE),
    )


def _hunting(one: ValveHunting, samples: _Samples) -> Event:
    return Event(
        EventKind.VALVE_HUNTING,
        one.from_s,
        f"expansion valve hunts every {_seconds(one.period_s, one.period_uncertainty_s)}, the low side by "
        f"\N{PLUS-MINUS SIGN}{one.low_pa / PA_PER_PSI:.1f} psi "
        f"(\N{PLUS-MINUS SIGN}{one.low_pa / PA_PER_BAR:.2f} bar)",
        until_s=one.until_s,
        evidence=samples.between(one.from_s, one.until_s, WITH_ENGINE),
    )


def _seconds(period_s: float, uncertainty_s: float) -> str:
    half = COVERAGE_95 * uncertainty_s
    digits = 1 if half < 2.0 else 0
    return f"{period_s:.{digits}f} \N{PLUS-MINUS SIGN} {max(half, 0.1):.{digits}f} s"


def _fan(fan: FanHistory, samples: _Samples) -> Iterator[Event]:
    for step, text in zip(fan.steps, fan.texts, strict=True):
        yield Event(
            EventKind.FAN_STAGE_UP if step.up else EventKind.FAN_STAGE_DOWN,
            step.at_s,
            f"{text}, seen by the high side going against the engine" if step.with_engine else text,
            evidence=_fan_evidence(step, samples),
            within_s=step.within_s,
        )


def _fan_evidence(step: FanStep, samples: _Samples) -> Evidence:
    if step.logged:
        return samples.about(step.at_s, LOGGED_FAN_LOOKED_AT_S, (Role.FAN_COMMAND,))
    span_s = HIDDEN_FAN_LOOKED_AT_S if step.with_engine else FAN_LOOKED_AT_S
    return samples.about(step.at_s, span_s, WITH_ENGINE)
