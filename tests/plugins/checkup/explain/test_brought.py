"""What plugins bring is weighed, argued for, hidden, learnt and measured like our own."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_checkup.core.explain.arguments import arguments
from knowngood_checkup.core.explain.brought import Brought, added, own_explanations, pattern_of, signature_of
from knowngood_checkup.core.explain.evidence import SIGNALS
from knowngood_checkup.core.explain.faults import PRIOR, Fault
from knowngood_checkup.core.explain.inference import weigh
from knowngood_checkup.core.explain.known import KNOWN
from knowngood_checkup.core.explain.learned import Confirmed, learned
from knowngood_checkup.core.explain.masked import hidden
from knowngood_checkup.core.explain.measurements import MEASUREMENTS
from knowngood_checkup.core.explain.signatures import SIGNATURES
from knowngood_checkup.core.explained import explain
from knowngood_refdata.explaining import Explanation, Load, Measurement, Pattern, Signal
from knowngood_refdata.records import CompressorKind

if TYPE_CHECKING:
    from .conftest import Make

NAME = "heater return left open"
# A shape that no fault of ours has: high side and subcooling part, superheat falls.
MOVES = {Signal.HIGH: 9.0, Signal.SUPERHEAT: -6.0, Signal.SUBCOOLING: -8.0, Signal.VENT: -4.0}
HEATER = Explanation(NAME, 0.01, {Load.FULL_STROKE: Pattern(MOVES)})
LISTEN = Measurement(
    "listen at the valve", "Listen.", ("hiss", "gurgle"), (0.95, 0.05), {NAME: (0.1, 0.9)}, effort=0.5
)
SEEN = (0.0, 9.0, -6.0, -8.0, -4.0)
WITH = added(KNOWN, [HEATER])


@pytest.mark.parametrize("load", Load)
@pytest.mark.parametrize("fault", SIGNATURES[Load.FULL_STROKE])
def test_a_signature_survives_being_handed_on_as_a_record(load: Load, fault: str) -> None:
    own = SIGNATURES[load][fault]
    again = signature_of(pattern_of(own))
    for name in ("at_idle", "per_octave", "scatter", "growth"):
        np.testing.assert_array_equal(getattr(again, name), getattr(own, name))
    assert (again.either_way, again.tied, again.size_sigma, again.shape) == (
        own.either_way,
        own.tied,
        own.size_sigma,
        own.shape,
    )


def test_a_pattern_without_scatter_has_that_of_its_larger_move() -> None:
    # By hand: the root of 0.7^2 + (0.45 * 8)^2 with 6 K at idle and 2 K more an octave.
    one = signature_of(Pattern({Signal.LOW: 6.0}, {Signal.LOW: 2.0}))
    assert one.scatter[SIGNALS.index(Signal.LOW)] == pytest.approx(np.sqrt(0.49 + 12.96))
    assert one.scatter[SIGNALS.index(Signal.VENT)] == pytest.approx(0.7)


def test_our_own_are_all_handed_on_with_their_priors() -> None:
    told = {one.name: one.prior for one in own_explanations()}
    always = {Fault.HEALTHY, Fault.NONE_OF_THESE}
    assert told == {str(fault): prior for fault, prior in PRIOR.items() if fault not in always}


def test_our_own_come_back_through_the_hook_once() -> None:
    found = Brought.of([*own_explanations(), HEATER], [*MEASUREMENTS, LISTEN])
    assert found.explanations == (HEATER,)
    assert found.measurements == (*MEASUREMENTS, LISTEN)


def test_readings_of_its_shape_put_it_first(session: Make) -> None:
    seen = session(SEEN, SEEN)
    without = weigh(seen)
    ranked = weigh(replace(seen, brought=(HEATER,)), WITH)
    assert NAME not in {one.fault for one in without}
    assert ranked[0].fault == NAME
    assert sum(one.probability for one in ranked) == pytest.approx(1.0)


def test_other_readings_are_ranked_as_without_it(session: Make) -> None:
    seen = session((0.0, 8.0, 0.0, 7.0, 0.5), (0.0, 8.0, 0.0, 7.0, 0.5))
    without = {one.fault: one.probability for one in weigh(seen)}
    for one in weigh(replace(seen, brought=(HEATER,)), WITH):
        assert one.probability == pytest.approx(without.get(one.fault, 0.0), abs=0.01)


def test_its_evidence_is_told(session: Make) -> None:
    seen = replace(session(SEEN), brought=(HEATER,))
    ranked = weigh(seen, WITH)
    told = arguments(seen, ranked, next(one for one in ranked if one.fault == NAME), WITH)
    assert any(one.odds > 0.0 for one in told)


def test_a_car_that_cannot_have_it_is_not_told_of_it(session: Make) -> None:
    only = replace(HEATER, compressors=frozenset({CompressorKind.ELECTRIC}))
    seen = replace(session(SEEN, None, CompressorKind.FIXED), brought=(only,))
    assert NAME not in {one.fault for one in weigh(seen, WITH)}


def test_what_would_not_show_is_hidden(session: Make) -> None:
    slight = Explanation("a trifle", 0.01, {Load.FULL_STROKE: Pattern({Signal.VENT: 0.1})})
    seen = replace(session((0.0, 0.0, 0.0, 0.0, 0.0)), brought=(slight,))
    assert "a trifle" in {one.fault for one in hidden(seen, added(KNOWN, [slight]))}


def test_its_confirmed_cases_move_its_pattern(session: Make) -> None:
    seen = replace(session((0.0, 14.0, -6.0, -8.0, -4.0)), brought=(HEATER,))
    before = WITH.signatures[Load.FULL_STROKE][NAME].at_idle
    after = learned([Confirmed(NAME, seen)] * 8, WITH)
    moved = {load: after.signatures[load][NAME].at_idle - before for load in Load}
    assert any(abs(move[SIGNALS.index(Signal.HIGH)]) > 0.3 for move in moved.values())


def test_its_measurement_is_offered_and_its_answer_counts(session: Make) -> None:
    seen = replace(session(SEEN), brought=(HEATER,), offered=(*MEASUREMENTS, LISTEN))
    before = explain(seen, WITH)
    assert LISTEN in [one.measurement for one in before.next]
    gurgling = explain(replace(seen, answers={LISTEN.name: "gurgle"}), WITH)
    hissing = explain(replace(seen, answers={LISTEN.name: "hiss"}), WITH)
    # By Bayes' rule the odds against air, which answers as usual, change by 18 and by 0.1 / 0.95.
    odds = [one.probability(NAME) / one.probability(Fault.AIR) for one in (before, gurgling, hissing)]
    assert odds[1] / odds[0] == pytest.approx(18.0)
    assert odds[2] / odds[0] == pytest.approx(0.1 / 0.95)
