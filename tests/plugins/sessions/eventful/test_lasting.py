"""What lasts: clutch cycling with period and on-fraction, hunting of the expansion valve."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from tests.plugins.sessions.eventful.found import found_in
from tests.plugins.sessions.eventful.happened import DIAL, Eventful

from knowngood_refdata.records import EventKind
from knowngood_sessions.core.finding.compressor import CompressorChange
from knowngood_sessions.core.finding.cycling import clutch_cycling

if TYPE_CHECKING:
    from tests.plugins.sessions.conftest import Kit, Turn
    from tests.plugins.sessions.eventful.found import Found

    from knowngood_refdata.records import Recording

QUIET = ("rpm",)


def found(recording: Recording) -> Found:
    return found_in(Eventful(recording, "R-134a", (), DIAL))


def cycling_turns(kit: type[Kit], off_s: float, on_s: float, until_s: float) -> list[Turn]:
    """A clutch by the low side: the sides run together for ``off_s`` and apart for ``on_s``."""
    turns, at_s = [kit.Turn(0.0, "start", kit.targets(25.0, 150.0, 900.0))], 60.0
    while at_s < until_s:
        turns.append(kit.Turn(at_s, "off", kit.targets(75.0, 85.0, 900.0), {"low": 14.0, "high": 25.0}))
        back = kit.targets(18.0, 165.0, 900.0)
        turns.append(kit.Turn(at_s + off_s, "on", back, {"low": 9.0, "high": 12.0}))
        at_s += off_s + on_s
    return turns


@pytest.mark.parametrize(("off_s", "on_s"), [(10.0, 20.0), (16.0, 40.0), (8.0, 12.0)])
@pytest.mark.parametrize("sampling_s", [0.05, 1.0, 2.0])
def test_a_cycling_clutch_is_found_with_period_and_on_fraction(
    kit: type[Kit], off_s: float, on_s: float, sampling_s: float
) -> None:
    made = kit.make(cycling_turns(kit, off_s, on_s, 420.0), 430.0, sampling_s=sampling_s)
    told = found(made.recording)
    (cycling,) = told.happened.cycling
    assert cycling.period_s == pytest.approx(off_s + on_s, abs=max(0.5, 3.0 * cycling.period_uncertainty_s))
    assert cycling.on_fraction == pytest.approx(on_s / (off_s + on_s), abs=0.07)
    assert cycling.from_s == pytest.approx(60.0, abs=4.0)
    kinds = [event.kind for event in told.events]
    assert kinds == [EventKind.CLUTCH_CYCLING]


def test_the_text_of_cycling_names_period_and_on_fraction(kit: type[Kit]) -> None:
    (event,) = found(kit.make(cycling_turns(kit, 10.0, 30.0, 420.0), 430.0).recording).events
    assert event.text.startswith("clutch cycles every 40.")
    assert " on for 7" in event.text
    assert event.evidence is not None
    assert event.until_s is not None
    assert event.evidence.from_s == pytest.approx(event.at_s)


def changes(*moments_s: float) -> list[CompressorChange]:
    return [CompressorChange(at_s, i % 2 == 1) for i, at_s in enumerate(moments_s)]


def test_a_change_that_was_missed_spoils_neither_the_period_nor_the_rest() -> None:
    moments = [30.0 * i + part for i in range(12) if i != 5 for part in (0.0, 10.0)]
    (cycling,) = clutch_cycling(changes(*moments))
    assert cycling.period_s == pytest.approx(30.0)
    assert cycling.cycles == 11


def test_an_air_conditioner_that_somebody_turns_off_and_on_is_no_cycling() -> None:
    assert clutch_cycling(changes(60.0, 110.0, 230.0, 330.0)) == ()
    assert clutch_cycling(changes(60.0, 75.0, 160.0, 200.0, 215.0, 330.0, 440.0, 447.0)) == ()


@pytest.mark.parametrize("period_s", [20.0, 35.0, 60.0])
@pytest.mark.parametrize("sampling_s", [0.2, 1.0, 2.0])
def test_hunting_is_found_with_its_period_and_swing(
    kit: type[Kit], period_s: float, sampling_s: float
) -> None:
    turns = [kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0))]
    noise = kit.Noise(hunting_psi=1.5, hunting_period_s=period_s)
    told = found(kit.make(turns, 600.0, noise=noise, sampling_s=sampling_s).recording)
    (hunting,) = told.happened.hunting
    assert hunting.period_s == pytest.approx(period_s, abs=max(0.3, 3.0 * hunting.period_uncertainty_s))
    assert hunting.low_pa == pytest.approx(1.5 * kit.PSI, rel=0.1)
    assert hunting.until_s - hunting.from_s > 500.0
    (event,) = told.events
    assert event.text.startswith(f"expansion valve hunts every {hunting.period_s:.1f} ± ")
    assert "±1." in event.text


def test_hunting_goes_on_over_an_engine_step_and_is_told_once(kit: type[Kit]) -> None:
    turns = [
        kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0)),
        kit.Turn(300.0, "engine", kit.targets(27.0, 160.0, 1500.0)),
    ]
    noise = kit.Noise(hunting_psi=1.5)
    (hunting,) = found(kit.make(turns, 600.0, noise=noise).recording).happened.hunting
    assert hunting.from_s < 60.0
    assert hunting.until_s > 550.0


def test_a_low_side_that_only_follows_an_engine_that_hunts_is_no_hunting_valve(kit: type[Kit]) -> None:
    made = kit.make([kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0))], 600.0)
    swing = np.sin(2.0 * np.pi * made.recording.time_s / 30.0)
    made.recording.channels[0].values[:] -= 1.0 * swing
    assert len(found(made.recording).happened.hunting) == 1
    made.recording.channels[-1].values[:] += 60.0 * swing
    assert found(made.recording).happened.hunting == ()


def test_a_low_side_that_stands_still_hunts_nowhere(kit: type[Kit]) -> None:
    made = kit.make([kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0))], 400.0)
    made.recording.channels[0].values[:] = 30.0
    assert found(made.recording).events == ()
