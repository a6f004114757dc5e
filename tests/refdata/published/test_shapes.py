"""The other shapes that vehicle makers print, anonymised."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from knowngood_refdata.published.answering import BY_WEIGHT, GENERIC, Outcome, answer
from knowngood_refdata.published.axes import Column
from knowngood_refdata.published.curves import Band, Curves, Vertex
from knowngood_refdata.published.pasted import read_table
from knowngood_refdata.published.set_up import SetUp, Today
from knowngood_refdata.published.table import PerformanceTable
from knowngood_refdata.published.terms import Circuit, Figure, Variable
from knowngood_refdata.quantities import Kind, unit
from knowngood_refdata.records import Conditions

if TYPE_CHECKING:
    from knowngood_refdata.published.grid import Grid

SEA_LEVEL_PA = 101_325.0


def at(
    ambient: float | None = None, intake: float | None = None, humidity: float | None = None, **known: object
) -> Today:
    conditions = Conditions(
        ambient_k=None if ambient is None else ambient + 273.15,
        intake_k=None if intake is None else intake + 273.15,
        relative_humidity=None if humidity is None else humidity / 100,
        barometer_pa=SEA_LEVEL_PA,
    )
    return Today(conditions, **known)  # type: ignore[arg-type]


def only(table: PerformanceTable, today: Today, figure: Figure) -> Outcome:
    (outcome,) = (one for one in answer(table, today).outcomes if one.figure is figure)
    return outcome


def celsius(outcome: Outcome) -> tuple[float, float]:
    assert outcome.low is not None, outcome.refusal
    assert outcome.high is not None
    return outcome.low - 273.15, outcome.high - 273.15


def test_vent_and_pressures_go_by_different_inlet_variables(two_inlets: PerformanceTable) -> None:
    # By hand: intake 27 °C is two fifths from 25 (8.4-10.9) to 30 (14.5-17.5); ambient 30 is a row.
    today = at(ambient=30, intake=27, humidity=55)
    vent = only(two_inlets, today, Figure.VENT)
    assert celsius(vent) == pytest.approx((10.84, 13.54))
    assert vent.how == (
        "the bin 50-60 % relative humidity; between the rows for 25 and 30 °C cabin intake: "
        "interpolated linearly"
    )
    high = only(two_inlets, today, Figure.HIGH_SIDE)
    assert (high.low, high.high) == pytest.approx((1_300e3 + SEA_LEVEL_PA, 1_590e3 + SEA_LEVEL_PA))
    assert high.printed == "1,300-1,590 kPa"


def test_one_missing_variable_leaves_the_other_block_standing(two_inlets: PerformanceTable) -> None:
    today = at(ambient=30, humidity=55)
    assert "cabin intake, which is not recorded" in only(two_inlets, today, Figure.VENT).refusal
    assert only(two_inlets, today, Figure.LOW_SIDE).given


def test_a_step_of_humidity_is_no_slope(two_inlets: PerformanceTable) -> None:
    vents = [celsius(only(two_inlets, at(intake=25, humidity=rh), Figure.VENT)) for rh in (51, 59, 61, 69)]
    assert vents[0] == vents[1] == pytest.approx((8.4, 10.9))
    assert vents[2] == vents[3] == pytest.approx((10.9, 13.4))


def test_the_edge_that_two_bins_share_belongs_to_the_first_and_it_is_said(
    two_inlets: PerformanceTable,
) -> None:
    vent = only(two_inlets, at(intake=25, humidity=60), Figure.VENT)
    assert celsius(vent) == pytest.approx((8.4, 10.9))
    assert "on the edge of the bins 50-60 and 60-70 % relative humidity: the first counts" in vent.how


@pytest.mark.parametrize(("humidity", "verb"), [(45, "begins at 50 %"), (75, "ends at 70 %")])
def test_beyond_the_printed_humidity_there_is_no_vent_range(
    two_inlets: PerformanceTable, humidity: float, verb: str
) -> None:
    assert verb in only(two_inlets, at(intake=25, humidity=humidity), Figure.VENT).refusal


def test_a_limit_of_a_block_refuses_outside_and_is_told_when_unknown(two_inlets: PerformanceTable) -> None:
    dry = only(two_inlets, at(ambient=30, humidity=30), Figure.HIGH_SIDE)
    assert dry.refusal == "the table holds for 50-70 % relative humidity only, and today it is 30 %"
    unknown = answer(two_inlets, at(ambient=30))
    assert [one.figure for one in unknown.given] == [Figure.HIGH_SIDE, Figure.LOW_SIDE]
    assert (
        "the table holds for 50-70 % relative humidity only, which is not recorded today" in unknown.remarks
    )


def test_a_generic_range_says_that_it_is_not_of_this_vehicle(generic: PerformanceTable) -> None:
    given = answer(generic, at(intake=32))
    assert given.generic
    assert GENERIC in given.remarks
    assert [one.how for one in given.given] == ["the one range that is printed"] * 2
    assert GENERIC not in answer(replace(generic, generic=False), at(intake=32)).remarks


def test_a_generic_range_still_holds_only_where_it_was_printed_for(generic: PerformanceTable) -> None:
    assert answer(generic, at(intake=28)).given == ()


@pytest.mark.parametrize(
    ("ambient", "least"), [(16.5, 345e3), (24.0, 345e3), (24.1, 483e3), (33.5, 690e3), (48, 690e3)]
)
def test_the_least_pressure_at_rest_climbs_in_steps(
    static_gate: PerformanceTable, ambient: float, least: float
) -> None:
    outcome = only(static_gate, at(ambient=ambient, at_rest=True), Figure.AT_REST)
    assert outcome.low == pytest.approx(least + SEA_LEVEL_PA)
    assert outcome.high is None
    assert outcome.at_rest


@pytest.mark.parametrize("ambient", [10.0, 16.0])
def test_below_the_first_threshold_nothing_is_asked_for(
    static_gate: PerformanceTable, ambient: float
) -> None:
    refusal = only(static_gate, at(ambient=ambient, at_rest=True), Figure.AT_REST).refusal
    assert refusal == f"the table begins above 16 °C ambient, and today it is {ambient:g} °C"


def test_at_rest_only_what_the_system_holds_must_be_the_same(static_gate: PerformanceTable) -> None:
    table = replace(static_gate, set_up=SetUp(idle=True, blower=1.0, refrigerant="R-134a"))
    resting = at(ambient=25, at_rest=True, idle=False)
    assert only(table, replace(resting, refrigerant="R-134a"), Figure.AT_REST).given
    assert "refrigerant" in only(table, replace(resting, refrigerant="R-12"), Figure.AT_REST).refusal


def test_an_absolute_pressure_does_not_count_from_the_local_air() -> None:
    pasted = read_table("High side kPa abs\n1,000-1,500")
    assert pasted.grid is not None
    given = answer(PerformanceTable("Absolute", (pasted.grid,)), at())
    assert (given.outcomes[0].low, given.outcomes[0].high) == pytest.approx((1_000e3, 1_500e3))
    assert not any("gauge" in remark for remark in given.remarks)


def test_a_running_system_is_not_held_to_the_pressure_at_rest(static_gate: PerformanceTable) -> None:
    outcomes = answer(static_gate, at(ambient=25)).outcomes
    assert {one.figure for one in outcomes if one.given} == {Figure.HIGH_SIDE, Figure.VENT}


def test_a_second_wider_table_answers_beside_the_first(static_gate: PerformanceTable) -> None:
    given = answer(static_gate, at(ambient=25))
    first, wider = (
        next(one for one in outcomes if one.figure is Figure.HIGH_SIDE)
        for outcomes in (given.outcomes, given.wider)
    )
    assert (first.low, first.high) == pytest.approx((900e3 + SEA_LEVEL_PA, 1_300e3 + SEA_LEVEL_PA))
    assert (wider.low, wider.high) == pytest.approx((800e3 + SEA_LEVEL_PA, 1_900e3 + SEA_LEVEL_PA))
    assert "the second table is meant for vehicle variation and high ambient" in given.remarks


def test_a_greatest_vent_temperature_has_no_lower_edge(static_gate: PerformanceTable) -> None:
    vent = only(static_gate, at(ambient=25), Figure.VENT)
    assert vent.low is None
    assert vent.high == pytest.approx(283.15)


def test_a_chart_is_read_between_its_lines(chart: PerformanceTable) -> None:
    # By hand: at 30 °C the first lower line is halfway from 6 to 12, its upper two thirds from 8 to 20.
    vent = only(chart, at(intake=30, humidity=55), Figure.VENT)
    assert celsius(vent) == pytest.approx((9.0, 16.0))
    assert vent.how == (
        "on the printed lines at 30 °C cabin intake, straight between the points read off; "
        "the bin 50-60 % relative humidity"
    )
    assert celsius(only(chart, at(intake=30, humidity=65), Figure.VENT)) == pytest.approx((12.0, 18.0))


@pytest.mark.parametrize(("intake", "verb"), [(18, "begin at 20 °C"), (36, "end at 35 °C")])
def test_a_chart_ends_where_its_lines_end(chart: PerformanceTable, intake: float, verb: str) -> None:
    assert verb in only(chart, at(intake=intake, humidity=55), Figure.VENT).refusal


def test_a_chart_against_the_liquid_line_sends_to_the_scale() -> None:
    celsius_, kilopascal = unit("°C", Kind.TEMPERATURE), unit("kPa", Kind.PRESSURE)
    band = Band(
        (Vertex(303.15, 900e3), Vertex(323.15, 1_300e3)), (Vertex(303.15, 1_100e3), Vertex(323.15, 1_600e3))
    )
    chart = Curves(Column(Figure.HIGH_SIDE, kilopascal), Variable.LIQUID_LINE, celsius_, (band,))
    given = answer(PerformanceTable("Zone printed as proper", (chart,)), at(liquid_line_k=313.15))
    assert given.outcomes[0].low == pytest.approx(1_100e3 + SEA_LEVEL_PA)
    assert BY_WEIGHT in given.remarks


def test_a_gap_between_bins_is_refused_in_words() -> None:
    pasted = read_table("Ambient °C | High side kPa\n21-26 | 900-1,300\n27-32 | 1,100-1,600")
    assert pasted.grid is not None
    table = PerformanceTable("With a gap", (pasted.grid,))
    assert only(table, at(ambient=26.5), Figure.HIGH_SIDE).refusal == (
        "26.5 °C ambient lies between the bins 21-26 and 27-32 °C ambient: the table says nothing there"
    )
    assert only(table, at(ambient=26), Figure.HIGH_SIDE).given
    assert only(table, at(ambient=27), Figure.HIGH_SIDE).given


def test_an_empty_cell_is_not_filled_from_its_neighbours() -> None:
    pasted = read_table("Ambient °C | High side kPa\n20 | 900-1,300\n25 |\n30 | 1,100-1,600")
    assert pasted.grid is not None
    table = PerformanceTable("With a hole", (pasted.grid,))
    for ambient in (22, 25, 28):
        refusal = only(table, at(ambient=ambient), Figure.HIGH_SIDE).refusal
        assert refusal == "the table leaves the cell for 25 °C ambient empty"
    assert only(table, at(ambient=30), Figure.HIGH_SIDE).given


def test_an_edge_that_one_row_does_not_print_is_not_given_between_rows() -> None:
    pasted = read_table("Ambient °C | Vent °C\n20 | 6-10\n30 | max 14\n40 | min 12")
    assert pasted.grid is not None
    table = PerformanceTable("One-sided", (pasted.grid,))
    vent = only(table, at(ambient=25), Figure.VENT)
    assert vent.low is None
    assert vent.high == pytest.approx(285.15)
    assert "not every row prints the lower value, so none is given" in vent.how
    assert "nothing lies between them" in only(table, at(ambient=35), Figure.VENT).refusal


def test_a_reading_that_is_not_a_number_counts_as_not_recorded(generic: PerformanceTable) -> None:
    given = answer(generic, at(intake=float("nan")))
    assert any("cabin intake only, which is not recorded today" in remark for remark in given.remarks)


def test_the_rear_circuit_is_not_held_to_the_front_one(generic: PerformanceTable) -> None:
    front = replace(generic, circuit=Circuit.FRONT)
    assert answer(front, at(intake=32, circuit=Circuit.FRONT)).given
    refused = answer(front, at(intake=32, circuit=Circuit.REAR))
    assert refused.given == ()
    assert "circuit: front in the table, rear today" in refused.outcomes[0].refusal


def test_what_is_printed_for_a_fault_is_no_expectation() -> None:
    def block(text: str, fault: str = "") -> Grid:
        pasted = read_table(text)
        assert pasted.grid is not None
        return replace(pasted.grid, fault=fault)

    normal = block("Low kg/cm² | High kg/cm²\n1.5-3.3 | 13-19")
    air = block("Low kg/cm² | High kg/cm²\n2.5-3.5 | 20-25", "air in the system")
    given = answer(PerformanceTable("Gauge readings", (normal, air), SetUp()), at())
    # One kgf/cm² is 98,066.5 Pa (NIST SP 811, appendix B).
    assert [one.high for one in given.outcomes] == pytest.approx(
        [3.3 * 98_066.5 + SEA_LEVEL_PA, 19 * 98_066.5 + SEA_LEVEL_PA]
    )
    assert any("describes faults too" in remark for remark in given.remarks)
