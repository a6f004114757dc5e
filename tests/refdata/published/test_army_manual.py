"""US Army TM 5-3805-291-23-1, work package 0018, table 1 (public document): rows between 21 and 43 °C."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from knowngood_refdata.published.answering import Answer, answer
from knowngood_refdata.published.set_up import Today
from knowngood_refdata.published.terms import Figure
from knowngood_refdata.records import Conditions, MeteringDevice

if TYPE_CHECKING:
    from knowngood_refdata.published.table import PerformanceTable

PSI_PA = 6_894.757
SEA_LEVEL_PA = 101_325.0


def today(celsius: float | None, **known: object) -> Today:
    ambient = None if celsius is None else celsius + 273.15
    return Today(Conditions(ambient_k=ambient, barometer_pa=SEA_LEVEL_PA), **known)  # type: ignore[arg-type]


def psi_gauge(given: Answer, figure: Figure) -> tuple[float, float]:
    outcome = next(one for one in given.outcomes if one.figure is figure)
    assert outcome.low is not None, outcome.refusal
    assert outcome.high is not None
    return tuple((edge - SEA_LEVEL_PA) / PSI_PA for edge in (outcome.low, outcome.high))  # type: ignore[return-value]


@pytest.mark.parametrize(
    ("celsius", "high", "low"),
    [(21, (120, 190), (10, 20)), (32, (170, 240), (15, 30)), (43, (210, 300), (15, 30))],
)
def test_a_printed_row_is_given_as_printed(
    army: PerformanceTable, celsius: float, high: tuple[float, float], low: tuple[float, float]
) -> None:
    given = answer(army, today(celsius))
    assert psi_gauge(given, Figure.HIGH_SIDE) == pytest.approx(high, rel=1e-6)
    assert psi_gauge(given, Figure.LOW_SIDE) == pytest.approx(low, rel=1e-6)
    assert given.outcomes[0].printed == f"{high[0]}-{high[1]} psi"
    assert given.outcomes[0].how == f"the row for {celsius} °C ambient"


def test_between_two_rows_the_edges_are_interpolated_and_it_is_said(army: PerformanceTable) -> None:
    # By hand: 29.5 °C lies halfway from 27 °C (140-210, 10-25) to 32 °C (170-240, 15-30).
    given = answer(army, today(29.5))
    assert psi_gauge(given, Figure.HIGH_SIDE) == pytest.approx((155, 225), rel=1e-6)
    assert psi_gauge(given, Figure.LOW_SIDE) == pytest.approx((12.5, 27.5), rel=1e-6)
    assert given.outcomes[0].how == "between the rows for 27 and 32 °C ambient: interpolated linearly"
    assert given.outcomes[0].printed == ""


def test_the_middle_of_the_high_side_climbs_by_the_slope_of_the_printed_table(army: PerformanceTable) -> None:
    # Common practice, no source: 4.5 psi/K read off the whole table, (255 - 155) psi over 22 K.
    ends = [sum(psi_gauge(answer(army, today(celsius)), Figure.HIGH_SIDE)) / 2 for celsius in (21, 43)]
    assert (ends[1] - ends[0]) / 22 == pytest.approx(4.5, abs=0.05)


@pytest.mark.parametrize(
    ("celsius", "words"),
    [
        (45.0, "the table ends at 43 °C ambient, and today it is 45 °C"),
        (20.5, "the table begins at 21 °C ambient, and today it is 20.5 °C"),
        (None, "the table goes by ambient, which is not recorded today"),
    ],
)
def test_outside_its_rows_it_says_nothing_and_why(
    army: PerformanceTable, celsius: float | None, words: str
) -> None:
    given = answer(army, today(celsius))
    assert given.given == ()
    assert {one.refusal for one in given.outcomes} == {words}
    assert all(one.low is None and one.high is None for one in given.outcomes)


def test_another_refrigerant_is_refused(army: PerformanceTable) -> None:
    given = answer(army, today(30.0, refrigerant="R-1234yf"))
    assert given.given == ()
    assert "R-134a in the table, R-1234yf today" in given.outcomes[0].refusal


@pytest.mark.parametrize("written", ["R134A", "HFC-134a", "r-134a"])
def test_the_same_refrigerant_written_otherwise_is_accepted(army: PerformanceTable, written: str) -> None:
    assert len(answer(army, today(30.0, refrigerant=written)).given) == 2


def test_an_expansion_device_that_the_manual_does_not_name_is_refused(army: PerformanceTable) -> None:
    assert len(answer(army, today(30.0, metering=MeteringDevice.ORIFICE_TUBE)).given) == 2
    refused = answer(army, today(30.0, metering=MeteringDevice.ELECTRONIC_VALVE))
    assert refused.given == ()
    assert "expansion device" in refused.outcomes[0].refusal


def test_a_system_at_rest_gets_no_running_pressures(army: PerformanceTable) -> None:
    given = answer(army, today(30.0, at_rest=True))
    assert given.given == ()
    assert "at rest" in given.outcomes[0].refusal


def test_gauge_pressures_count_from_the_local_air(army: PerformanceTable) -> None:
    # ASHRAE Handbook, Fundamentals 2017, chapter 1, table 1: 79,495 Pa at 2,000 m.
    ambient_k = 32 + 273.15
    high = answer(army, Today(Conditions(ambient_k=ambient_k, altitude_m=2000.0))).outcomes[0]
    assert high.low == pytest.approx(170 * PSI_PA + 79_495, abs=5)
    remarks = answer(army, Today(Conditions(ambient_k=ambient_k, altitude_m=2000.0))).remarks
    assert any("altitude" in remark and "thinner air" in remark for remark in remarks)
    assert any("does not say gauge or absolute" in remark for remark in remarks)
