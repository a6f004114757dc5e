"""Measurements that tell explanations apart: what each can answer, how often, and what it costs.

How often a measurement gives an answer under an explanation: common practice, no source; the figures are
judgements that hold for a measurement done with care, and none is 0 or 1, because any can mislead.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_checkup.core.explain.faults import Fault
from knowngood_refdata.explaining import Measurement
from knowngood_refdata.records import CompressorKind

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from knowngood_checkup.core.explain.evidence import CarKind

_VARIABLE = frozenset(
    {CompressorKind.INTERNAL_VARIABLE, CompressorKind.EXTERNAL_VARIABLE, CompressorKind.ELECTRIC}
)


MEASUREMENTS: tuple[Measurement, ...] = (
    Measurement(
        "recover and weigh",
        "Recover the refrigerant completely and weigh it against the under-hood label.",
        ("less than the label", "as the label says", "more than the label"),
        (0.06, 0.88, 0.06),
        {
            Fault.UNDERCHARGE: (0.96, 0.03, 0.01),
            Fault.RESERVE_LOW: (0.93, 0.06, 0.01),
            Fault.OVERCHARGE: (0.01, 0.04, 0.95),
            Fault.HEALTHY: (0.03, 0.94, 0.03),
        },
        effort=4.0,
    ),
    Measurement(
        "engine-off check",
        "Let the car stand until all parts have one temperature, and compare both pressures with saturation.",
        ("at saturation", "above saturation", "below saturation"),
        (0.95, 0.03, 0.02),
        {Fault.AIR: (0.08, 0.90, 0.02), Fault.UNDERCHARGE: (0.90, 0.02, 0.08)},
        effort=2.5,
    ),
    Measurement(
        "identifier",
        "Identify the refrigerant and its share of air with an identifier.",
        ("the label's refrigerant, little air", "much air", "another gas"),
        (0.96, 0.03, 0.01),
        {Fault.AIR: (0.06, 0.76, 0.18), Fault.NONE_OF_THESE: (0.60, 0.15, 0.25)},
        effort=1.0,
    ),
    Measurement(
        "water mist on the condenser",
        "Spray a fine mist of water on the condenser from the front and watch the high side.",
        ("falls at once into the range", "falls a little", "stays"),
        (0.10, 0.75, 0.15),
        {
            Fault.CONDENSER_AIR: (0.82, 0.15, 0.03),
            Fault.OVERCHARGE: (0.12, 0.60, 0.28),
            Fault.AIR: (0.15, 0.60, 0.25),
        },
        effort=1.0,
    ),
    Measurement(
        "full-stroke test",
        "Ask for full cooling at idle with doors open, blower at full speed and the command at its highest.",
        ("low side comes down and high side climbs", "both sides hardly move"),
        (0.93, 0.07),
        {
            Fault.MINIMUM_STROKE: (0.05, 0.95),
            Fault.WEAK_COMPRESSOR: (0.15, 0.85),
            Fault.VALVE_OPEN: (0.60, 0.40),
        },
        effort=2.0,
        compressors=_VARIABLE,
    ),
    Measurement(
        "command against answer",
        "Read the compressor's command with a scan tool, change the load, and see whether pressures follow.",
        ("the pressures follow the command", "they do not follow", "no command is given"),
        (0.93, 0.03, 0.04),
        {
            Fault.MINIMUM_STROKE: (0.03, 0.57, 0.40),
            Fault.MAXIMUM_STROKE: (0.08, 0.87, 0.05),
            Fault.WEAK_COMPRESSOR: (0.55, 0.43, 0.02),
            Fault.SET_POINT: (0.80, 0.17, 0.03),
        },
        effort=1.5,
        compressors=_VARIABLE,
    ),
    Measurement(
        "engine-speed sweep at light load",
        "With a cool cabin and the blower low, raise the engine speed slowly and watch both sides.",
        ("both sides stay level", "low side falls and high side climbs"),
        (0.85, 0.15),
        {Fault.MAXIMUM_STROKE: (0.05, 0.95), Fault.MINIMUM_STROKE: (0.92, 0.08)},
        effort=1.0,
        compressors=_VARIABLE,
    ),
    Measurement(
        "line temperature across the drier",
        "Take the temperature of the liquid line before and after drier, filter and joints.",
        ("no step", "a cold step"),
        (0.96, 0.04),
        {Fault.RESTRICTION: (0.35, 0.65)},
        effort=1.0,
    ),
    Measurement(
        "warm and cool the valve's bulb",
        "Warm, then cool the expansion valve's sensing place and watch the superheat.",
        ("superheat answers", "superheat does not answer"),
        (0.94, 0.06),
        {Fault.VALVE_OPEN: (0.10, 0.90), Fault.RESTRICTION: (0.35, 0.65)},
        effort=1.5,
    ),
    Measurement(
        "pinch the heater hoses",
        "Shut off the coolant to the heater and watch the vent temperature.",
        ("vent temperature falls", "no change"),
        (0.04, 0.96),
        {Fault.BLEND_DOOR: (0.90, 0.10)},
        effort=1.0,
    ),
    Measurement(
        "airflow at the vents",
        "Look at the cabin filter and the evaporator's face, and measure the air speed at the vents.",
        ("as it should be", "weak"),
        (0.95, 0.05),
        {Fault.EVAPORATOR_AIR: (0.06, 0.94)},
        effort=1.0,
    ),
    Measurement(
        "airflow through the condenser",
        "Look through the condenser's fins, and see that each fan stage runs and blows the right way.",
        ("as it should be", "blocked or weak"),
        (0.94, 0.06),
        {Fault.CONDENSER_AIR: (0.10, 0.90)},
        effort=1.0,
    ),
    Measurement(
        "time to equalise",
        "Stop the compressor and time how long both sides take to meet.",
        ("as long as usual", "much quicker"),
        (0.93, 0.07),
        {Fault.WEAK_COMPRESSOR: (0.40, 0.60), Fault.VALVE_OPEN: (0.45, 0.55)},
        effort=1.0,
    ),
)
"""Charge is corrected by weight alone: no measurement here tells how much to add or to take."""


@dataclass(frozen=True, slots=True)
class Next:
    """A measurement with what it is worth now: the bits it should tell, in all and for its effort."""

    measurement: Measurement
    bits: float
    bits_for_effort: float
    parts: tuple[str, ...]
    """The explanations whose probability it moves most."""


def next_measurements(
    probabilities: Mapping[str, float],
    car: CarKind,
    answered: Mapping[str, str],
    offered: Sequence[Measurement] = MEASUREMENTS,
    *,
    least_bits: float = 0.01,
) -> tuple[Next, ...]:
    """What to measure next, the most telling for its effort first; what was answered is left out.

    The worth is the mutual information of explanation and answer (Shannon 1948): the entropy of the answer
    less its entropy under each explanation.
    """
    offers = []
    for one in offered:
        if one.name in answered or not one.suits(car.compressor):
            continue
        bits = _information(probabilities, one)
        if bits >= least_bits:
            offers.append(Next(one, bits, bits / one.effort, _moved(probabilities, one)))
    return tuple(sorted(offers, key=lambda offer: -offer.bits_for_effort))


def answers_log_likelihood(
    fault: str, answers: Mapping[str, str], offered: Sequence[Measurement] = MEASUREMENTS
) -> float:
    """Logarithm of how probable the answers given are under an explanation.

    Raises
    ------
    KeyError
        When there is no such measurement or answer.
    """
    total = 0.0
    for name, answer in answers.items():
        one = measurement(name, offered)
        if answer not in one.answers:
            raise KeyError(f"The measurement '{name}' has no answer '{answer}'.")
        total += float(np.log(one.chances(fault)[one.answers.index(answer)]))
    return total


def measurement(name: str, offered: Sequence[Measurement] = MEASUREMENTS) -> Measurement:
    """The measurement of a name.

    Raises
    ------
    KeyError
        When there is none.
    """
    for one in offered:
        if one.name == name:
            return one
    raise KeyError(f"There is no measurement '{name}'.")


def _information(probabilities: Mapping[str, float], one: Measurement) -> float:
    weights = np.array(list(probabilities.values()))
    chances = np.array([one.chances(fault) for fault in probabilities])
    overall = weights @ chances
    return float(_entropy(overall) - weights @ np.array([_entropy(row) for row in chances]))


def _entropy(chances: NDArray[np.float64]) -> float:
    return float(-(chances * np.log2(np.maximum(chances, 1e-300))).sum())


def _moved(probabilities: Mapping[str, float], one: Measurement) -> tuple[str, ...]:
    """The explanations that gain or lose most, over the answers to be expected; at most two."""
    chances = {fault: np.array(one.chances(fault)) for fault in probabilities}
    overall = sum(probabilities[fault] * chance for fault, chance in chances.items())
    moves = {
        fault: probabilities[fault] * float(np.abs(chance - overall).sum())
        for fault, chance in chances.items()
    }
    return tuple(sorted(moves, key=lambda fault: -moves[fault])[:2])
