"""What was found in a session: steady windows, events, responses, thresholds, recoveries."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from knowngood_refdata.records.measuring import Estimate, Quantity, Role


class Verdict(StrEnum):
    """How one side answers a change of engine speed."""

    RISES = "rises"
    LEVEL = "stays level"
    FALLS = "falls"
    CANNOT_TELL = "cannot tell"


class EventKind(StrEnum):
    """What happened at one moment of a session."""

    FAN_STAGE_UP = "fan stage up"
    FAN_STAGE_DOWN = "fan stage down"
    ENGINE_SPEED_STEP = "engine speed step"
    COMPRESSOR_OFF_LINE = "compressor off line"
    COMPRESSOR_ON_LINE = "compressor on line"
    CLUTCH_CYCLING = "clutch cycling"
    VALVE_HUNTING = "expansion valve hunting"
    DOORS = "doors"
    BLOWER = "blower"
    AIR_SOURCE = "air source"
    NOTE = "note"


class Stroke(StrEnum):
    """How the compressor was working, as far as its answer to engine speed tells."""

    FULL = "at full stroke"
    REGULATING = "regulating"
    MINIMUM = "at minimum stroke"
    ELECTRIC = "not driven by the engine"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True)
class Behaviour:
    """How a quantity behaved in a steady window, in its SI unit.

    ``spread`` is the standard deviation of the samples about their trend, ``drift_per_s`` the trend with
    its standard error, ``independent`` how many independent samples the window is worth. ``amplitude`` is
    half the swing from peak to peak and ``period_s`` the time from peak to peak of a hunting; both None
    where there is none.
    """

    spread: float
    drift_per_s: Estimate
    independent: float
    amplitude: float | None = None
    period_s: float | None = None


@dataclass(frozen=True, slots=True)
class SteadyWindow:
    """A stretch in which the readings had settled, with the settled values.

    ``fan_stage`` is counted on from the conditions' stage through the fan events of the session, None
    when the stage at the start is not known. ``values`` holds one estimate a quantity; the standard
    uncertainty covers instrument and scatter. ``behaviour`` holds how each of them moved about its value.
    ``fan_doubted`` tells that a fan step before it may have been something else, and does not count; it
    follows from the notes of the session and is not stored.
    """

    start_s: float
    end_s: float
    engine_rpm: float | None
    fan_stage: int | None
    label: str
    values: Mapping[Quantity, Estimate]
    by_hand: bool = False
    id: int | None = None
    behaviour: Mapping[Quantity, Behaviour] = field(default_factory=dict)
    fan_doubted: bool = False


@dataclass(frozen=True, slots=True)
class Unsettled:
    """A stretch that is no steady window, with the reasons in words: ``high side still falls 9 psi/min``."""

    start_s: float
    end_s: float
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Evidence:
    """The samples that a finding comes from: a stretch of time, and the channels that were looked at."""

    from_s: float
    until_s: float
    channels: tuple[Role, ...]


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened in a session, in words for the plot and with its moment.

    ``until_s`` is the end of what lasts (clutch cycling, hunting), None for a moment. ``by_hand`` marks
    what a person noted; the program neither makes nor removes such an event. What the program found began
    within ``within_s`` of ``at_s`` with a probability of 95 %; None where that is not known.
    """

    kind: EventKind
    at_s: float
    text: str
    id: int | None = None
    until_s: float | None = None
    by_hand: bool = False
    evidence: Evidence | None = None
    within_s: float | None = None


@dataclass(frozen=True, slots=True)
class Response:
    """The answer of both sides to engine speed between two steady windows.

    Changes are in pascals. ``same_fan_stage`` is False when the fan ran at another stage in the second
    window: then the change is not the engine speed's alone, and ``remark`` says so. ``low_per_octave`` and
    ``high_per_octave`` are the changes of the logarithm of the absolute pressure a doubling of the engine
    speed. ``from_at_s`` and ``to_at_s`` are the starts of the two windows.
    """

    from_rpm: float
    to_rpm: float
    low_pa: Estimate
    high_pa: Estimate
    low: Verdict
    high: Verdict
    same_fan_stage: bool
    remark: str = ""
    id: int | None = None
    low_per_octave: Estimate | None = None
    high_per_octave: Estimate | None = None
    from_at_s: float | None = None
    to_at_s: float | None = None


@dataclass(frozen=True, slots=True)
class FanThreshold:
    """The absolute high-side pressures at which the fan changes between two stages, over several steps.

    ``up_pa`` is where it goes to ``stage`` from the one below, ``down_pa`` where it leaves it again; None
    where that was not seen. The difference is the hysteresis. Standard uncertainties cover the scatter
    from step to step and the instrument. ``stage`` is None when the stage at the start is not known.
    """

    stage: int | None
    up_pa: Estimate | None
    down_pa: Estimate | None
    ups: int
    downs: int
    evidence: Evidence | None = None


@dataclass(frozen=True, slots=True)
class Recovery:
    """How long the readings took to settle after a disturbance, up to the next steady window."""

    after: EventKind
    at_s: float
    seconds: float
    slowest: Role | None = None


@dataclass(frozen=True, slots=True)
class StrokeFinding:
    """How the compressor was working, with the evidence in sentences."""

    stroke: Stroke
    evidence: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Findings:
    """Everything that was found in one session."""

    windows: tuple[SteadyWindow, ...] = ()
    events: tuple[Event, ...] = ()
    responses: tuple[Response, ...] = ()
    unsettled: tuple[Unsettled, ...] = ()
    fan: tuple[FanThreshold, ...] = ()
    recoveries: tuple[Recovery, ...] = ()
    stroke: StrokeFinding | None = None
