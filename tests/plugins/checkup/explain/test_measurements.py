"""The next measurement: what it is worth, and that answers count."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from knowngood_checkup.core.explain.evidence import CarKind
from knowngood_checkup.core.explain.faults import PRIOR, Fault
from knowngood_checkup.core.explain.measurements import (
    MEASUREMENTS,
    answers_log_likelihood,
    measurement,
    next_measurements,
)
from knowngood_refdata.records import CompressorKind

CAR = CarKind(CompressorKind.EXTERNAL_VARIABLE)


def between(*faults: Fault) -> dict[str, float]:
    return {fault: 1.0 / len(faults) for fault in faults}


@pytest.mark.parametrize("fault", list(Fault))
def test_every_answer_can_come_and_all_of_them_add_up(fault: Fault) -> None:
    for one in MEASUREMENTS:
        chances = one.chances(fault)
        assert len(chances) == len(one.answers)
        assert sum(chances) == pytest.approx(1.0)
        assert all(0.0 < chance < 1.0 for chance in chances), one.name


@pytest.mark.parametrize(
    ("faults", "best"),
    [
        ((Fault.AIR, Fault.OVERCHARGE), "identifier"),
        ((Fault.BLEND_DOOR, Fault.HEALTHY), "pinch the heater hoses"),
        ((Fault.CONDENSER_AIR, Fault.OVERCHARGE), "airflow through the condenser"),
        ((Fault.EVAPORATOR_AIR, Fault.HEALTHY), "airflow at the vents"),
        ((Fault.RESERVE_LOW, Fault.HEALTHY), "recover and weigh"),
        ((Fault.VALVE_OPEN, Fault.HEALTHY), "warm and cool the valve's bulb"),
    ],
)
def test_the_measurement_that_separates_two_explanations_comes_first(
    faults: tuple[Fault, ...], best: str
) -> None:
    # Common practice, no source.
    assert next_measurements(between(*faults), CAR, {})[0].measurement.name == best


def test_what_it_is_worth_is_the_entropy_that_it_takes_away() -> None:
    # By hand, over all pairs of explanation and answer (Shannon 1948): sum of p log p / (p(f) p(a)).
    chances: dict[str, float] = {fault: PRIOR[fault] for fault in Fault}
    for offer in next_measurements(chances, CAR, {}):
        one = offer.measurement
        joint = {
            (fault, answer): chances[fault] * one.chances(fault)[answer]
            for fault, answer in itertools.product(chances, range(len(one.answers)))
        }
        overall = [sum(joint[fault, answer] for fault in chances) for answer in range(len(one.answers))]
        expected = sum(
            p * np.log2(p / (chances[fault] * overall[answer])) for (fault, answer), p in joint.items()
        )
        assert offer.bits == pytest.approx(expected)


def test_what_was_answered_is_not_asked_again_and_nothing_is_asked_when_all_is_known() -> None:
    names = {
        one.measurement.name
        for one in next_measurements(between(Fault.AIR, Fault.OVERCHARGE), CAR, {"identifier": "much air"})
    }
    assert "identifier" not in names
    assert next_measurements({Fault.AIR: 1.0}, CAR, {}) == ()


def test_a_fixed_compressor_is_asked_nothing_about_its_stroke() -> None:
    fixed = CarKind(CompressorKind.FIXED)
    chances: dict[str, float] = {fault: PRIOR[fault] for fault in Fault}
    names = {one.measurement.name for one in next_measurements(chances, fixed, {}, least_bits=0.0)}
    assert not {"full-stroke test", "command against answer", "engine-speed sweep at light load"} & names


def test_an_answer_speaks_for_the_explanation_that_foretells_it() -> None:
    answers = {"recover and weigh": "less than the label"}
    low, high = (answers_log_likelihood(fault, answers) for fault in (Fault.UNDERCHARGE, Fault.OVERCHARGE))
    assert low - high == pytest.approx(np.log(0.96 / 0.01))


def test_an_unknown_measurement_or_answer_is_refused() -> None:
    with pytest.raises(KeyError, match="no measurement"):
        measurement("look at it")
    with pytest.raises(KeyError, match="no answer"):
        answers_log_likelihood(Fault.AIR, {"identifier": "perhaps"})


def test_no_measurement_says_how_much_to_charge() -> None:
    for one in MEASUREMENTS:
        words = f"{one.name} {one.what}".casefold()
        assert not any(bad in words for bad in ("add refrigerant", "top up", "charge to", "bleed"))
