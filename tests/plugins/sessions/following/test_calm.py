"""Findings of a growing session: what was shown keeps its name, comes once and does not flicker."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.records import (
    Conditions,
    Event,
    EventKind,
    Findings,
    Instruments,
    Recording,
    SteadyWindow,
)
from knowngood_sessions.core.finding.analysis import analyse
from knowngood_sessions.core.following.pace import LEAST_S, REST, Pace
from knowngood_sessions.core.following.shown import Calm

if TYPE_CHECKING:
    from ..conftest import Kit


def window(start_s: float, end_s: float, label: str = "idle") -> SteadyWindow:
    return SteadyWindow(start_s, end_s, 750.0, None, label, {})


def found(*windows: SteadyWindow, events: tuple[Event, ...] = ()) -> Findings:
    return Findings(windows=windows, events=events)


def labels(findings: Findings) -> list[str]:
    return [one.label for one in findings.windows]


def test_what_lies_well_behind_the_end_is_shown_at_once() -> None:
    shown = Calm().take(found(window(10, 60), window(80, 99, "2000 rpm")), 100.0)
    assert labels(shown.findings) == ["idle"]


def test_a_window_at_the_end_is_shown_once_it_was_found_twice_and_keeps_its_number() -> None:
    calm = Calm()
    assert calm.take(found(window(10, 60)), 60.0).findings.windows == ()
    first = calm.take(found(window(10, 62)), 62.0)
    grown = calm.take(found(window(11, 90)), 90.0)
    assert first.keys == grown.keys
    assert grown.findings.windows[0].end_s == 90.0


def test_a_window_that_one_search_misses_stays_and_goes_with_the_second() -> None:
    calm = Calm()
    first = calm.take(found(window(10, 60)), 100.0)
    missed = calm.take(found(), 102.0)
    assert missed.keys == first.keys
    back = calm.take(found(window(10, 60)), 104.0)
    assert back.keys == first.keys
    calm.take(found(), 106.0)
    assert calm.take(found(), 108.0).findings.windows == ()


def test_a_window_that_was_split_gives_way_to_its_parts() -> None:
    calm = Calm()
    calm.take(found(window(10, 90)), 100.0)
    shown = calm.take(found(window(10, 40), window(50, 90, "idle (2)")), 102.0)
    assert [(one.start_s, one.end_s) for one in shown.findings.windows] == [(10, 40), (50, 90)]
    assert len(set(shown.keys)) == 2


def test_a_label_stays_while_the_mean_speed_wanders_and_no_label_stands_twice() -> None:
    calm = Calm()
    calm.take(found(window(10, 60, "1900 rpm"), window(80, 140, "idle")), 150.0)
    shown = calm.take(found(window(10, 60, "2000 rpm"), window(80, 140, "1900 rpm")), 152.0)
    assert labels(shown.findings) == ["1900 rpm", "idle"]
    shown = calm.take(
        found(window(10, 60, "2000 rpm"), window(80, 140, "1900 rpm"), window(150, 170, "idle")), 200.0
    )
    assert labels(shown.findings) == ["1900 rpm", "idle", "idle (2)"]


def test_an_event_at_the_end_is_shown_once_it_was_found_twice_and_does_not_wander() -> None:
    calm = Calm()
    step = Event(EventKind.FAN_STAGE_UP, 98.0, "fan switched to stage 2")
    later = Event(EventKind.FAN_STAGE_UP, 98.6, "fan switched to stage 2")
    old = Event(EventKind.ENGINE_SPEED_STEP, 40.0, "engine speed")
    assert calm.take(found(events=(old, step)), 100.0).findings.events == (old,)
    assert [one.at_s for one in calm.take(found(events=(old, later)), 102.0).findings.events] == [40.0, 98.0]


def test_findings_of_a_session_that_grows_end_as_those_of_the_whole_and_never_flicker(
    kit: type[Kit],
) -> None:
    idle = kit.targets(30.0, 150.0, 750.0)
    turns = [kit.Turn(0.0, "start", idle), kit.Turn(200.0, "engine", {**idle, "low": 27.0, "rpm": 2_000.0})]
    recording = kit.make(turns, 420.0).recording
    calm, seen = Calm(), []
    for end in range(30, 421, 2):
        cut = Recording(
            recording.time_s[:end],
            tuple(
                type(one)(one.name, one.role, one.unit, one.gauge, one.values[:end])
                for one in recording.channels
            ),
        )
        searched = analyse(cut, "R-134a", Conditions(), Instruments())
        seen.append(calm.take(searched, float(cut.time_s[-1])))
    assert seen[-1].findings.windows == searched.windows
    times_changed = sum(one.keys != other.keys for one, other in pairwise(seen))
    assert times_changed <= 4, "windows came and went"
    assert len(seen[-1].keys) == 2


def test_searches_take_at_most_a_fifth_of_the_time_however_long_they_are() -> None:
    pace, now, busy, sample_s = Pace(), 0.0, 0.0, 0.0
    for _ in range(4_000):
        now, sample_s = now + 0.2, sample_s + 0.2
        if pace.due(now, sample_s):
            taken = 0.05 + 1e-3 * sample_s
            pace.begin(now, sample_s)
            assert not pace.due(now, sample_s + 5.0)
            busy, now, sample_s = busy + taken, now + taken, sample_s + taken
            pace.end(now)
    assert busy / now <= 1.0 / (1.0 + REST) + 0.01


def test_a_search_waits_for_new_samples_and_for_its_pause() -> None:
    pace = Pace()
    for begun in (0.0, 0.1 + LEAST_S):
        # A session that has stopped growing is searched twice, so that what is new can be confirmed.
        assert pace.due(begun, 20.0)
        pace.begin(begun, 20.0)
        pace.end(begun + 0.1)
    assert not pace.due(10.0, 20.0)
    pace = Pace()
    pace.begin(-1.0, 20.0)
    pace.end(-0.9)
    pace.begin(0.0, 20.0)
    pace.end(0.1)
    assert not pace.due(0.1 + 0.5 * LEAST_S, 30.0)
    assert pace.due(0.1 + LEAST_S, 21.0)
    pace.begin(5.0, 21.0)
    pace.end(5.1)
    pace.anew()
    assert pace.due(5.2 + LEAST_S, np.float64(21.0))
