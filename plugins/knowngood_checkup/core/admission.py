"""Known-good, the way in: what speaks for taking a session's windows as known-good, and what is missing.

The program proposes; a named person decides. What is asked for is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from knowngood_checkup.core.explain.faults import Fault
from knowngood_checkup.core.explained import Standing, against_label
from knowngood_refdata.expected.outcome import Outcome
from knowngood_refdata.records import Quantity, Weighed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_checkup.core.explained import Explained
    from knowngood_refdata.expected.comparison import WindowComparison
    from knowngood_refdata.records import Conditions, FoundOut, SpecValue, SteadyWindow

LONG_ENOUGH_S = 60.0
ENGINE_OFF_CHECK = "engine-off check"
AT_SATURATION = "at saturation"


class Needed(StrEnum):
    """What is asked of a known-good reading."""

    CHARGED = "charged by weight, within the label's tolerance"
    ENGINE_OFF = "engine-off check passed"
    LONG = "steady long enough"
    CONDITIONS = "conditions complete"
    VENT = "vent temperature within its range"
    NO_FINDING = "no open finding"
    NOTE = "note of a check"


class State(StrEnum):
    """How a requirement stands."""

    MET = "met"
    MISSING = "missing"
    AGAINST = "speaks against it"
    NOT_KNOWN = "cannot be judged yet"
    REMARK = "worth knowing"


@dataclass(frozen=True, slots=True)
class OpenNote:
    """What a check of a plugin found in the session; ``caution`` tells that it doubts the outcome."""

    text: str
    plugin: str
    caution: bool


@dataclass(frozen=True, slots=True)
class Requirement:
    """One requirement, how it stands, and in words what it rests on or what to do."""

    needed: Needed
    state: State
    why: str


def proposed(requirements: Sequence[Requirement]) -> bool:
    """Whether the program proposes known-good: nothing is missing and nothing speaks against it."""
    return all(one.state in (State.MET, State.NOT_KNOWN, State.REMARK) for one in requirements)


def requirements(
    compared: WindowComparison,
    conditions: Conditions,
    found_out: FoundOut,
    label: SpecValue | None,
    explained: Explained | None,
    notes: Sequence[OpenNote] = (),
) -> tuple[Requirement, ...]:
    """How every requirement stands for one steady window of a session; every open note has a line."""
    return (
        _charged(found_out, label),
        _engine_off(found_out),
        _long(compared.window),
        _complete(compared.window, conditions),
        _vent(compared),
        _finding(compared, explained),
        *(_note(one) for one in notes),
    )


def _note(one: OpenNote) -> Requirement:
    said = f"{one.text} (plugin {one.plugin})" if one.plugin else one.text
    return Requirement(Needed.NOTE, State.AGAINST if one.caution else State.REMARK, said)


def _charged(found_out: FoundOut, label: SpecValue | None) -> Requirement:
    mass = found_out.weighings.get(Weighed.CHARGED)
    if mass is None:
        return Requirement(Needed.CHARGED, State.MISSING, "weigh the charge in and enter its mass")
    if label is None or label.value is None:
        return Requirement(Needed.CHARGED, State.MISSING, "the record holds no charge weight to compare with")
    if against_label(mass, label):
        return Requirement(
            Needed.CHARGED, State.AGAINST, "the mass weighed in lies outside the label's tolerance"
        )
    return Requirement(Needed.CHARGED, State.MET, f"as the {label.source_kind} says: {label.as_printed}")


def _engine_off(found_out: FoundOut) -> Requirement:
    said = found_out.answers.get(ENGINE_OFF_CHECK, "")
    if not said:
        return Requirement(
            Needed.ENGINE_OFF, State.MISSING, "let the car stand, and compare both pressures with saturation"
        )
    state = State.MET if said == AT_SATURATION else State.AGAINST
    return Requirement(Needed.ENGINE_OFF, state, said)


def _long(window: SteadyWindow) -> Requirement:
    seconds = window.end_s - window.start_s
    if seconds >= LONG_ENOUGH_S:
        return Requirement(Needed.LONG, State.MET, f"{seconds:.0f} s")
    return Requirement(
        Needed.LONG, State.MISSING, f"{seconds:.0f} s, and {LONG_ENOUGH_S:.0f} s are asked for"
    )


def _complete(window: SteadyWindow, now: Conditions) -> Requirement:
    recorded = {
        "ambient": now.ambient_k,
        "humidity": now.relative_humidity,
        "barometer or altitude": now.barometer_pa if now.altitude_m is None else now.altitude_m,
        "air source": now.air_source,
        "blower": now.blower,
        "doors": now.doors,
        "engine speed": window.engine_rpm,
        "fan stage": window.fan_stage,
    }
    lacking = [name for name, value in recorded.items() if value is None]
    if not lacking:
        return Requirement(Needed.CONDITIONS, State.MET, "all recorded")
    return Requirement(Needed.CONDITIONS, State.MISSING, "not recorded: " + ", ".join(lacking))


def _vent(compared: WindowComparison) -> Requirement:
    strip = next((one for one in compared.strips if one.quantity is Quantity.VENT), None)
    if strip is None:
        return Requirement(Needed.VENT, State.MISSING, "the vent temperature was not measured")
    if strip.outcome is Outcome.NOT_COMPARABLE:
        return Requirement(Needed.VENT, State.NOT_KNOWN, f"no range to compare with: {strip.reason}")
    if strip.outcome is Outcome.CANNOT_TELL:
        return Requirement(Needed.VENT, State.NOT_KNOWN, f"{strip.reason}, which is no finding")
    state = State.MET if strip.outcome is Outcome.INSIDE else State.AGAINST
    return Requirement(Needed.VENT, state, f"{strip.outcome} its range")


def _finding(compared: WindowComparison, explained: Explained | None) -> Requirement:
    outside = [one.quantity for one in compared.strips if one.outcome in (Outcome.BELOW, Outcome.ABOVE)]
    if outside:
        return Requirement(
            Needed.NO_FINDING, State.AGAINST, "outside the range: " + ", ".join(str(one) for one in outside)
        )
    if explained is None or explained.standing is Standing.NOTHING:
        return Requirement(Needed.NO_FINDING, State.NOT_KNOWN, "nothing is known to compare with")
    best = explained.weighed[0].fault
    if best is not Fault.HEALTHY:
        return Requirement(Needed.NO_FINDING, State.AGAINST, f"the likeliest explanation is {best}")
    return Requirement(Needed.NO_FINDING, State.MET, "the readings are those of a healthy car")
