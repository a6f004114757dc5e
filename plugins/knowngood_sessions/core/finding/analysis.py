"""A recorded session from samples to findings: steady windows, events, response to engine speed."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.quantities import local_barometer_pa
from knowngood_refdata.records import Findings, Role
from knowngood_refdata.refrigerants import saturation
from knowngood_sessions.core.channels.derive import channel_si, derive, derived_of

from .by_hand import is_typed
from .by_hand_findings import typed_findings
from .events import FanHistory, Happenings, happenings
from .fan_logged import logged_fan_steps
from .fan_thresholds import fan_thresholds
from .grid import grids, without_spikes
from .held import left_before_engine
from .measured import measured
from .noted import with_doubt
from .recovery import recoveries
from .response import responses
from .settling import settling_channels
from .steady import steady_stretches
from .stroke import stroke_finding
from .telling import as_events
from .transient import low_side_dip
from .unsettled import unsettled
from .windows import speed_name, taking_part, windows_by_hand, windows_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.records import CompressorKind, Conditions, Event, Instruments, Recording
    from knowngood_refdata.refrigerants import SaturationCurve
    from knowngood_sessions.core.channels.derive import Derived

    from .fan_step import FanStep
    from .grid import Grid
    from .settling import Settling
    from .steady import Stretch


@dataclass(frozen=True, slots=True, eq=False)
class _Searched:
    """A stretch of the recording without a long gap, and what was seen in it."""

    grid: Grid
    happened: Happenings
    channels: tuple[Settling, ...]
    stretches: tuple[Stretch, ...]


def analyse(
    recording: Recording,
    refrigerant: str,
    conditions: Conditions,
    instruments: Instruments,
    *,
    compressor: CompressorKind | None = None,
    by_hand: Sequence[tuple[float, float, str]] = (),
    noted: Sequence[Event] = (),
) -> Findings:
    """Find the steady windows, the events and the responses to engine speed of a session.

    Pure: the same samples give the same findings. Nothing is found, and nothing raised, where a session
    is too short, never settles or holds no pressure.

    Parameters
    ----------
    compressor
        Its kind, where the vehicle's record tells.
    by_hand
        Steady windows that a person set: start and end in seconds from the first sample, and the person's
        word. They stand beside the program's; responses take a person's where the two overlap.
    noted
        What a person noted: a fan step that may be what was noted is not counted as a change of stage.

    Raises
    ------
    knowngood_refdata.refrigerants.UnknownRefrigerant
        When there is no saturation curve for the refrigerant.
    knowngood_refdata.quantities.UnknownUnit
        When a channel's unit does not fit its role.
    """
    if recording.time_s.size == 0:
        return Findings()
    barometer_pa = barometer_of(recording, conditions)
    curve = saturation(refrigerant)
    if is_typed(recording):
        typed = _with_noted_ambient(derive(recording, refrigerant, barometer_pa), conditions, curve)
        return typed_findings(recording, typed, curve, instruments, speed_name)
    derived = derive(recording, refrigerant, barometer_pa, without_spikes)
    derived = _with_noted_ambient(derived, conditions, curve)
    logged = logged_fan_steps(recording)
    searched = [_search(grid, derived, logged, noted) for grid in grids(derived, spiky=False)]
    return _findings(searched, derived, curve, conditions, instruments, compressor, by_hand)


def _findings(
    searched: Sequence[_Searched],
    derived: Derived,
    curve: SaturationCurve,
    conditions: Conditions,
    instruments: Instruments,
    compressor: CompressorKind | None,
    by_hand: Sequence[tuple[float, float, str]],
) -> Findings:
    happened = _together([one.happened for one in searched])
    fan = FanHistory(happened.fan, conditions.fan_stage)
    held = [
        found for one in searched for found in measured(one.grid, derived, one.stretches, curve, instruments)
    ]
    here = [one.grid for one in searched]
    program = windows_of(held, fan)
    hand = windows_by_hand(by_hand, here, derived, fan, curve, instruments)
    settled = taking_part(program, hand)
    engine_s = [step.at_s for step in happened.engine]
    answers = responses(settled, fan, instruments, partial(left_before_engine, here, engine_s))
    events = as_events(happened, fan, derived)
    return Findings(
        windows=tuple(sorted((one.window for one in (*program, *hand)), key=lambda one: one.start_s)),
        events=events,
        responses=answers,
        unsettled=tuple(
            part
            for one in searched
            for part in unsettled(one.grid, one.channels, one.stretches, one.happened.moments_s)
        ),
        fan=fan_thresholds(here, fan, instruments),
        recoveries=recoveries([stretch for one in searched for stretch in one.stretches], events),
        stroke=stroke_finding(settled, answers, compressor, partial(low_side_dip, here, settled)),
    )


def barometer_of(recording: Recording, conditions: Conditions) -> float:
    """The local air pressure in pascals: as noted, as recorded, from the altitude, or the standard one."""
    recorded = channel_si(recording, Role.BAROMETER)
    noted = conditions.barometer_pa
    if noted is None and recorded is not None and np.isfinite(recorded).any():
        noted = float(np.nanmedian(recorded))
    return local_barometer_pa(noted, conditions.altitude_m)


def _with_noted_ambient(derived: Derived, conditions: Conditions, curve: SaturationCurve) -> Derived:
    """The noted ambient temperature throughout, where none was recorded."""
    noted = conditions.ambient_k
    if noted is None or derived.ambient_k is not None:
        return derived
    return derived_of(replace(derived, ambient_k=np.full(derived.time_s.size, noted)), curve)


def _search(
    grid: Grid, derived: Derived, logged: tuple[FanStep, ...] | None, noted: Sequence[Event]
) -> _Searched:
    happened = happenings(grid, derived, logged)
    happened = replace(happened, fan=with_doubt(happened.fan, noted))
    channels = settling_channels(grid)
    return _Searched(grid, happened, channels, steady_stretches(grid, happened.moments_s, channels))


def _together(happened: Sequence[Happenings]) -> Happenings:
    kinds = [one.name for one in fields(Happenings)]
    return Happenings(**{kind: tuple(x for part in happened for x in getattr(part, kind)) for kind in kinds})
