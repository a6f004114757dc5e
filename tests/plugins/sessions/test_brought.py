"""Channels that rules bring: worked out in the order they need one another, each at its own cost."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood.loader import Plugins, find_sources
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind
from knowngood_refdata.records import Channel, Recording, Role
from knowngood_sessions.core.channels.brought import known_channels, work_out
from knowngood_sessions.core.channels.derive import derive
from knowngood_sessions.own_channels import own_channels

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    from numpy.typing import NDArray

    Given = Mapping[str, NDArray[np.float64]]


@dataclass(frozen=True)
class Rule:
    name: str
    needs: tuple[str, ...]
    compute: Callable[[Given], NDArray[np.float64]]
    title: str = "a channel"
    kind: Kind | None = None


def recording(**channels: tuple[Role, str, bool, list[float]]) -> Recording:
    made = [
        Channel(name, role, symbol, gauge, np.array(values))
        for name, (role, symbol, gauge, values) in channels.items()
    ]
    return Recording(np.arange(float(made[0].values.size)), tuple(made))


# ASHRAE Handbook Fundamentals (2017), chapter 30, refrigerant 134a: saturated at 0 °C 292.80 kPa and at
# 40 °C 1016.6 kPa; from memory, to the digits given.
AT_0_C_PA, AT_40_C_PA = 292_800.0, 1_016_600.0


def test_own_channels_follow_from_saturation_at_published_points() -> None:
    made = recording(
        low=(Role.LOW_SIDE, "Pa", False, [AT_0_C_PA]),
        high=(Role.HIGH_SIDE, "Pa", False, [AT_40_C_PA]),
        suction=(Role.SUCTION_LINE, "°C", False, [6.0]),
        liquid=(Role.LIQUID_LINE, "°C", False, [33.0]),
        vent=(Role.VENT, "°C", False, [8.5]),
        ambient=(Role.AMBIENT, "°C", False, [27.0]),
    )
    plain = {
        role: value
        for role, value in known_channels(
            made, derive(made, "R-134a", STANDARD_ATMOSPHERE_PA), STANDARD_ATMOSPHERE_PA
        ).items()
        if role in set(Role)
    }
    found = {one.name: float(one.values[0]) for one in work_out(own_channels("R-134a"), plain).channels}
    assert found == {
        "evaporating temperature": pytest.approx(273.15, abs=0.02),
        "condensing temperature": pytest.approx(313.15, abs=0.02),
        "superheat": pytest.approx(6.0, abs=0.02),
        "subcooling": pytest.approx(7.0, abs=0.02),
        "condensing above ambient": pytest.approx(13.0, abs=0.02),
        "evaporating below vent": pytest.approx(8.5, abs=0.02),
        "pressure ratio": pytest.approx(AT_40_C_PA / AT_0_C_PA),
    }


def test_what_plugins_work_out_is_what_the_analysis_works_with() -> None:
    made = recording(
        low=(Role.LOW_SIDE, "psi", True, [28.0, 35.0, np.nan]),
        high=(Role.HIGH_SIDE, "psi", True, [150.0, np.nan, 220.0]),
        suction=(Role.SUCTION_LINE, "°F", False, [40.0, 50.0, 60.0]),
        vent=(Role.VENT, "°F", False, [48.0, 47.0, 46.0]),
    )
    derived = derive(made, "R-1234yf", 84_000.0)
    known = known_channels(made, derived, 84_000.0)
    recorded = {name: values for name, values in known.items() if name in set(Role)}
    again = {one.name: one.values for one in work_out(own_channels("R-1234yf"), recorded).channels}
    assert set(again) == set(known) - set(recorded)
    for name, values in again.items():
        np.testing.assert_allclose(values, known[name])


def test_the_sessions_plugin_brings_its_channels_by_the_hook_that_others_use(tmp_path: Path) -> None:
    sources = [one for one in find_sources(tmp_path) if one.name == "sessions"]
    plugins = Plugins(sources)
    titles = [one.title for one in plugins.derived_channels("R-134a")]
    assert titles[:4] == ["evaporating temperature", "condensing temperature", "superheat", "subcooling"]
    assert plugins.derived_channels("R-99") == ()
    assert all(one.failures == () for one in plugins.status())
    plugins.close()


def test_rules_are_worked_out_in_the_order_in_which_they_need_one_another() -> None:
    rules = [
        Rule("third", ("second", "first"), lambda given: given["second"] + given["first"]),
        Rule("second", ("first",), lambda given: 10.0 * given["first"]),
        Rule("first", ("vent",), lambda given: given["vent"] - 273.15),
    ]
    found = work_out(rules, {"vent": np.array([280.15])})
    assert [one.name for one in found.channels] == ["third", "second", "first"]
    assert found.channels[0].values == pytest.approx([77.0])


def test_a_rule_whose_channel_is_missing_is_left_out_without_a_word_and_one_that_fails_is_told() -> None:
    rules = [
        Rule("a", ("vent",), lambda given: 1 / 0),  # type: ignore[arg-type, return-value]
        Rule("b", ("a",), lambda given: given["a"]),
        Rule("c", ("ambient",), lambda given: given["ambient"]),
        Rule("d", ("e",), lambda given: given["e"]),
        Rule("e", ("d",), lambda given: given["d"]),
        Rule("f", ("vent",), lambda given: given["vent"]),
    ]
    found = work_out(rules, {"vent": np.array([280.15])})
    assert [one.name for one in found.channels] == ["f"]
    assert found.problems == ("'a channel' is missing. division by zero",)


def test_a_channel_that_is_known_is_taken_and_not_worked_out_again() -> None:
    asked: list[Given] = []
    rule = Rule("superheat", ("vent",), lambda given: asked.append(given) or given["vent"])  # type: ignore[func-returns-value]
    found = work_out([rule], {"vent": np.array([1.0]), "superheat": np.array([6.0])})
    assert asked == []
    assert found.channels[0].values.tolist() == [6.0]


def test_roles_without_a_kind_and_units_that_do_not_fit_are_no_obstacle() -> None:
    made = recording(
        low=(Role.LOW_SIDE, "psi", True, [30.0]),
        fan=(Role.FAN_COMMAND, "%", False, [40.0]),
        humidity=(Role.HUMIDITY, "psi", False, [0.4]),
        discharge=(Role.DISCHARGE_LINE, "°C", False, [60.0]),
    )
    known = known_channels(made, derive(made, "R-134a", 101_325.0), 101_325.0)
    assert known["fan command"].tolist() == [40.0]
    assert known["discharge line"] == pytest.approx([333.15])
    assert known["low side"] == pytest.approx([30.0 * 6_894.757 + 101_325.0], rel=1e-6)
    assert "relative humidity" not in known
