"""A recorded session from samples to findings: steady windows, events, response to engine speed."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.quantities import local_barometer_pa
from knowngood_refdata.records import Findings, Role, SteadyWindow
from knowngood_refdata.refrigerants import saturation

from .derive import channel_si, derive
from .events import FanHistory, Happenings, as_events, happenings
from .grid import grids
from .response import Settled, responses
from .settled import part_of, settled_means, settled_values
from .steady import Stretch, steady_stretches

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from knowngood_refdata.records import Conditions, Instruments, Recording

    from .derive import Derived

IDLE_BELOW_RPM = 1_100.0
ENGINE_OFF_BELOW_RPM = 300.0
ROUND_TO_RPM = 100.0


def analyse(
    recording: Recording, refrigerant: str, conditions: Conditions, instruments: Instruments
) -> Findings:
    """Find the steady windows, the events and the responses to engine speed of a session.

    Pure: the same samples give the same findings. Nothing is found, and nothing raised, where a session
    is too short, never settles or holds no pressure.

    Raises
    ------
    knowngood_refdata.refrigerants.UnknownRefrigerant
        When there is no saturation curve for the refrigerant.
    knowngood_refdata.quantities.UnknownUnit
        When a channel's unit does not fit its role.
    """
    if recording.time_s.size == 0:
        return Findings()
    derived = derive(recording, refrigerant, barometer_of(recording, conditions))
    derived = _with_noted_ambient(derived, conditions)
    happened, stretches = _search(derived)
    fan = FanHistory(happened.fan, conditions.fan_stage)
    curve = saturation(refrigerant)
    labels = _labelled([_engine_rpm(derived, stretch) for stretch in stretches])
    settled = []
    for stretch, (rpm, label) in zip(stretches, labels, strict=True):
        means = settled_means(derived, stretch)
        window = SteadyWindow(
            start_s=stretch.start_s,
            end_s=stretch.end_s,
            engine_rpm=rpm,
            fan_stage=fan.stage_at(stretch.start_s),
            label=label,
            values=settled_values(means, curve, instruments),
        )
        settled.append(Settled(window, {quantity: scatter for quantity, (_, scatter) in means.items()}))
    return Findings(
        windows=tuple(one.window for one in settled),
        events=as_events(happened, fan),
        responses=responses(settled, fan, instruments),
    )


def barometer_of(recording: Recording, conditions: Conditions) -> float:
    """The local air pressure in pascals: as noted, as recorded, from the altitude, or the standard one."""
    recorded = channel_si(recording, Role.BAROMETER)
    measured = conditions.barometer_pa
    if measured is None and recorded is not None and np.isfinite(recorded).any():
        measured = float(np.nanmedian(recorded))
    return local_barometer_pa(measured, conditions.altitude_m)


def _with_noted_ambient(derived: Derived, conditions: Conditions) -> Derived:
    """Condensing above ambient by the noted ambient temperature, where none was recorded."""
    noted, condensing = conditions.ambient_k, derived.condensing_k
    if noted is None or condensing is None or derived.condensing_above_ambient_k is not None:
        return derived
    return replace(derived, condensing_above_ambient_k=condensing - noted)


def _search(derived: Derived) -> tuple[Happenings, list[Stretch]]:
    happened: list[Happenings] = []
    stretches: list[Stretch] = []
    for grid in grids(derived):
        here = happenings(grid, derived)
        happened.append(here)
        stretches += steady_stretches(grid, here.moments_s)
    together = Happenings(
        engine=tuple(step for one in happened for step in one.engine),
        compressor=tuple(change for one in happened for change in one.compressor),
        fan=tuple(step for one in happened for step in one.fan),
    )
    return together, stretches


def _engine_rpm(derived: Derived, stretch: Stretch) -> float | None:
    if derived.engine_rpm is None:
        return None
    values = derived.engine_rpm[part_of(derived, stretch)]
    finite = values[np.isfinite(values)]
    return float(finite.mean()) if finite.size else None


def _labelled(speeds: Sequence[float | None]) -> Iterable[tuple[float | None, str]]:
    """Each engine speed with a label that is unique in the session: ``idle``, ``2000 rpm``, ``idle (2)``."""
    seen: dict[str, int] = {}
    for rpm in speeds:
        name = speed_name(rpm)
        seen[name] = seen.get(name, 0) + 1
        yield rpm, name if seen[name] == 1 else f"{name} ({seen[name]})"


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
