"""The evidence for and against, value by value."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_checkup.core.explain.arguments import arguments
from knowngood_checkup.core.explain.evidence import Signal
from knowngood_checkup.core.explain.faults import Fault
from knowngood_checkup.core.explain.inference import weigh
from knowngood_refdata.records import CompressorKind

from .conftest import OFF

if TYPE_CHECKING:
    from knowngood_checkup.core.explain.arguments import Argument
    from knowngood_checkup.core.explain.evidence import Observed

    from .conftest import Make


def of(observed: Observed, fault: Fault) -> dict[Signal, Argument]:
    weighed = weigh(observed)
    this = next(one for one in weighed if one.fault is fault)
    return {one.signal: one for one in arguments(observed, weighed, this)}


def test_superheat_up_and_subcooling_down_speak_for_undercharge(session: Make) -> None:
    found = of(session((0.0, -3.0, 6.0, -4.0, 1.5), None), Fault.UNDERCHARGE)
    assert found[Signal.SUBCOOLING].odds > 0.5
    assert found[Signal.SUBCOOLING].expected_k < -2.0


def test_subcooling_down_speaks_against_overcharge(session: Make) -> None:
    found = of(session((0.0, 3.0, 0.0, -4.0, 0.0), None, CompressorKind.FIXED), Fault.OVERCHARGE)
    assert found[Signal.SUBCOOLING].odds < -0.5
    assert found[Signal.SUBCOOLING].value_k == -4.0


def test_a_value_outside_speaks_against_healthy(session: Make) -> None:
    found = of(session((0.0, 6.0, 0.0, 0.0, 0.0), None), Fault.HEALTHY)
    assert found[Signal.HIGH].odds < -0.5


def test_the_strongest_comes_first(session: Make) -> None:
    observed = session((0.0, -3.0, 6.0, -4.0, 1.5), None)
    weighed = weigh(observed)
    odds = [abs(one.odds) for one in arguments(observed, weighed, weighed[0])]
    assert odds == sorted(odds, reverse=True)


def test_without_a_window_there_is_no_evidence(session: Make) -> None:
    observed = session(None)
    weighed = weigh(observed)
    assert arguments(observed, weighed, weighed[0]) == ()


def test_inside_all_ranges_nothing_speaks_against_healthy(session: Make) -> None:
    observed = session(OFF, OFF)
    assert all(one.odds > 0.0 for one in of(observed, Fault.HEALTHY).values())
