"""How sure worked-out channels are: against published tables, a Monte Carlo calculation and what cancels."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_refdata.records import Instruments, PressureInstrument, Quantity, Role, Thermometer
from knowngood_refdata.refrigerants import saturation
from knowngood_refdata.uncertainty import superheat_estimate
from knowngood_sessions.core.channels.brought import CONDENSING, PRESSURE_RATIO
from knowngood_sessions.core.channels.propagated import propagated, standard_uncertainties
from knowngood_sessions.own_channels import own_channels

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from numpy.typing import NDArray

    Given = Mapping[str, NDArray[np.float64]]

INSTRUMENTS = Instruments(
    low=PressureInstrument(1.6, 10e5),
    high=PressureInstrument(1.0, 35e5),
    line=Thermometer(1.5),
    air=Thermometer(0.5),
)
STANDARD = standard_uncertainties(INSTRUMENTS)


@dataclass(frozen=True)
class Rule:
    name: str
    needs: tuple[str, ...]
    compute: Callable[[Given], NDArray[np.float64]]
    title: str = "a channel"
    kind: None = None


# ASHRAE Handbook Fundamentals (2017), chapter 30, refrigerant 134a: saturated at 0 °C 292.80 kPa, at 2 °C
# 314.62 kPa, at 40 °C 1016.6 kPa, at 42 °C 1072.2 kPa; from memory, to the digits given.
LOW_PA, LOW_K_PER_PA = 303_710.0, 2.0 / 21_820.0
HIGH_PA, HIGH_K_PER_PA = 1_044_400.0, 2.0 / 55_600.0


def test_own_channels_are_as_sure_as_published_tables_and_the_instruments_make_them() -> None:
    recorded = {
        Role.LOW_SIDE.value: np.array([LOW_PA]),
        Role.HIGH_SIDE.value: np.array([HIGH_PA]),
        Role.SUCTION_LINE.value: np.array([280.0]),
        Role.LIQUID_LINE.value: np.array([305.0]),
        Role.AMBIENT.value: np.array([298.0]),
    }
    # A class is a limit of error: any error within is equally likely, JCGM 100:2008, 4.3.7.
    low, high, line, air = (limit / math.sqrt(3.0) for limit in (16_000.0, 35_000.0, 1.5, 0.5))
    evaporating, condensing = low * LOW_K_PER_PA, high * HIGH_K_PER_PA
    found = {
        name: float(one[0]) for name, one in propagated(own_channels("R-134a"), recorded, STANDARD).items()
    }
    assert found == {
        Quantity.EVAPORATING.value: pytest.approx(evaporating, rel=0.01),
        CONDENSING: pytest.approx(condensing, rel=0.01),
        Quantity.SUPERHEAT.value: pytest.approx(math.hypot(evaporating, line), rel=0.01),
        Quantity.SUBCOOLING.value: pytest.approx(math.hypot(condensing, line), rel=0.01),
        Quantity.CONDENSING_ABOVE_AMBIENT.value: pytest.approx(math.hypot(condensing, air), rel=0.01),
        PRESSURE_RATIO: pytest.approx(HIGH_PA / LOW_PA * math.hypot(low / LOW_PA, high / HIGH_PA), rel=0.01),
    }


def test_superheat_at_a_sample_is_as_sure_as_at_a_point_typed_by_hand() -> None:
    recorded = {"low side": np.array([180e3, 350e3]), "suction line": np.array([270.0, 285.0])}
    found = propagated(own_channels("R-1234yf"), recorded, STANDARD)["superheat"]
    curve = saturation("R-1234yf")
    for place, (low_pa, line_k) in enumerate(zip(*recorded.values(), strict=True)):
        typed = superheat_estimate(curve, float(low_pa), float(line_k), INSTRUMENTS)
        assert found[place] == pytest.approx(typed.standard_uncertainty, rel=0.01)


def test_a_bent_rule_is_as_sure_as_a_monte_carlo_calculation_says() -> None:
    # JCGM 101:2008: draw the inputs, look at the spread of the output.
    def bent(given: Given) -> NDArray[np.float64]:
        return np.asarray((given["vent"] - 273.15) ** 2 * np.log(given["low side"]))

    recorded = {"vent": np.array([281.0]), "low side": np.array([300e3])}
    found = propagated([Rule("bent", ("vent", "low side"), bent)], recorded, STANDARD)["bent"]
    random = np.random.default_rng(5)
    drawn = {name: random.normal(one[0], STANDARD[name], 200_000) for name, one in recorded.items()}
    assert found[0] == pytest.approx(float(np.std(bent(drawn))), rel=0.02)


def test_an_error_that_two_steps_share_cancels_and_is_not_added() -> None:
    rules = [
        Rule("twice", ("vent",), lambda given: 2.0 * given["vent"]),
        Rule("nothing", ("twice", "vent"), lambda given: given["twice"] - 2.0 * given["vent"]),
        Rule("both", ("twice", "ambient"), lambda given: given["twice"] - given["ambient"]),
    ]
    recorded = {"vent": np.array([280.0, 281.0]), "ambient": np.array([300.0, np.nan])}
    found = propagated(rules, recorded, STANDARD)
    air = 0.5 / math.sqrt(3.0)
    assert found["nothing"] == pytest.approx([0.0, 0.0], abs=1e-9)
    assert found["both"] == pytest.approx([math.hypot(2.0 * air, air), np.nan], nan_ok=True)


def test_a_channel_that_no_instrument_stands_behind_is_left_out() -> None:
    rules = [Rule("double speed", ("engine speed",), lambda given: 2.0 * given["engine speed"])]
    assert propagated(rules, {"engine speed": np.array([900.0])}, STANDARD) == {}
