"""The form of a published table: what was typed becomes a table, and a stored table is typed again."""

from __future__ import annotations

import pytest

from knowngood.formatting import System
from knowngood_refdata.published.answering import answer
from knowngood_refdata.published.curves import Curves
from knowngood_refdata.published.set_up import Today
from knowngood_refdata.published.terms import Doors, Variable
from knowngood_refdata.records import AirSource, Conditions, MeteringDevice, SourceKind
from knowngood_specs.core.tables.blocks import BlockForm, cells_of, read_block, text_of
from knowngood_specs.core.tables.form import ReadForm, read_form, write_form
from knowngood_specs.core.tables.limits import read_limits
from knowngood_specs.core.tables.set_up import read_set_up
from knowngood_specs.table_words import converted, range_text, set_up_line, understood

# US Army TM 5-3805-291-23-1, work package 0018, table 1 (public document).
ARMY = """Ambient °C | High side psi | Low side psi
21 | 120-190 | 10-20
27 | 140-210 | 10-25
32 | 170-240 | 15-30
38 | 190-270 | 15-30
43 | 210-300 | 15-30"""
ENTRIES = {
    "title": "US Army TM 5-3805-291-23-1, table 1",
    "source_kind": "service information",
    "citation": "TM 5-3805-291-23-1",
    "revision": "",
    "page": "WP 0018",
    "generic": "yes",
    "set_up_refrigerant": "R-134a",
    "metering": "expansion valve or orifice tube",
    "run_time": "10 min",
}
CHART = """RH % | Intake °C | Lower vent °C | Upper vent °C
50-60 | 20 | 4 | 8
 | 35 | 12 | 20"""
CROSSWISE = "Vent °C\nRH % \\ Intake °C\t20\t25\n50-60\t6.0-8.0\t8.4-10.9\n60-70\t7.1-9.1\t10.9-13.4"


def words(read: ReadForm) -> str:
    return "\n".join(one.words for one in read.problems)


def test_the_army_table_is_read_with_its_publication_and_set_up() -> None:
    read = read_form(ENTRIES, [BlockForm(ARMY)])
    assert read.problems == ()
    assert read.table is not None
    assert read.publication is not None
    assert (read.publication.kind, read.publication.page) == (SourceKind.SERVICE_INFORMATION, "WP 0018")
    assert read.table.generic
    assert read.table.set_up.metering == (MeteringDevice.EXPANSION_VALVE, MeteringDevice.ORIFICE_TUBE)
    assert read.table.set_up.run_time_s == 600.0
    assert read.doubts == ("the pressures do not say gauge or absolute: they are taken as gauge",)


def test_a_stored_table_typed_again_is_the_same_table() -> None:
    entries = {
        **ENTRIES,
        "engine": "idle 700-800 rpm",
        "blower": "75 %",
        "air_source": "recirculation",
        "doors": "front open",
        "sun": "in the shade",
        "soak": "30 min",
        "limits": "ambient: 20-35 °C; relative humidity %: 50-80",
        "wider_when": "for vehicle variation",
        "notes": "slightly higher in very humid conditions",
    }
    blocks = [BlockForm(ARMY, "pressures", "RH %: 50-70"), BlockForm(CHART, wider=True)]
    first = read_form(entries, blocks)
    assert first.table is not None
    assert first.publication is not None
    again = read_form(*write_form(first.table, first.publication))
    assert (again.table, again.publication) == (first.table, first.publication)
    assert first.table.set_up.doors is Doors.FRONT_OPEN
    assert first.table.set_up.air_source is AirSource.RECIRCULATION
    assert first.table.set_up.blower == pytest.approx(0.75)


def test_everything_that_stands_against_saving_is_named_at_once() -> None:
    read = read_form(
        {"engine": "fast", "limits": "warm", "metering": "cork"}, [BlockForm("High psi\n190-120")]
    )
    assert read.table is None
    for part in (
        "title",
        "kind of source",
        "publication",
        "'fast'",
        "'warm'",
        "'cork'",
        "'190-120' runs downwards",
    ):
        assert part in words(read)


def test_the_block_with_the_slip_is_named_and_the_other_is_still_understood() -> None:
    read = read_form(ENTRIES, [BlockForm(ARMY), BlockForm("Ambient °C | High psi\n21 | lots")])
    assert (
        words(read)
        == "Block 2: line 2: 'lots' is no number or range; write it as 120-190, 165 ± 25, max 12 or > 16"
    )
    assert read.blocks[0].part is not None


def test_a_form_whose_only_block_is_the_second_table_is_refused() -> None:
    assert "empty" in words(read_form(ENTRIES, [BlockForm(ARMY, wider=True)]))


def test_lower_and_upper_headings_make_a_chart() -> None:
    part = read_block(BlockForm(CHART)).part
    assert isinstance(part, Curves)
    assert part.along is Variable.INTAKE


def test_a_text_too_long_for_a_printed_table_is_not_looked_at() -> None:
    assert (
        "too long" in read_block(BlockForm("Ambient °C | High psi\n" + "21 | 120-190\n" * 2_000)).problems[0]
    )


def test_a_limit_without_a_unit_or_a_known_condition_is_refused_with_an_example() -> None:
    for text in ("ambient: 20-35", "noise dB: 3", "20-35 °C"):
        with pytest.raises(ValueError, match="write it as"):
            read_limits(text)


@pytest.mark.parametrize(
    ("text", "idle", "edges"),
    [("idle", True, None), ("1,500 rpm", False, (1500.0, 1500.0)), ("idle 700-800", True, (700.0, 800.0))],
)
def test_engine_speed_is_idle_a_number_or_both(
    text: str, idle: bool, edges: tuple[float, float] | None
) -> None:
    set_up, problems = read_set_up({"engine": text})
    assert problems == ()
    assert set_up is not None
    span = set_up.engine_rpm
    assert (set_up.idle, None if span is None else (span.low, span.high)) == (idle, edges)


@pytest.mark.parametrize("text", [ARMY.replace(" | ", "\t"), CROSSWISE, CHART.replace(" | ", "\t")])
def test_cells_of_a_text_give_the_same_block_again(text: str) -> None:
    room = [[*row, "", ""] for row in cells_of(text)]
    widest = max(map(len, room))
    typed = [[*row, *[""] * (widest - len(row))] for row in room]
    assert read_block(BlockForm(text_of([*typed, [""] * widest]))) == read_block(BlockForm(text))


def test_how_a_block_is_understood_is_told_in_words_and_in_the_units_of_the_screen() -> None:
    part = read_block(BlockForm(ARMY)).part
    assert part is not None
    said = " ".join(understood(part))
    assert "Goes by ambient (°C): 21, 27, 32, 38, 43" in said
    assert "high side (psi, taken as gauge)" in said
    heads, rows = converted(part, System.SI)
    assert heads == ["ambient °C", "high side bar g", "low side bar g"]
    # 120 psi and 190 psi are 8.27 bar and 13.10 bar (NIST SP 811, appendix B: 1 psi = 6.894757 kPa).
    assert rows[0] == ["21.0", "8.3 to 13.1", "0.7 to 1.4"]
    assert converted(part, System.US)[1][0][0] == "69.8"


def test_a_published_range_is_written_as_the_local_gauge_shows_it() -> None:
    read = read_form(ENTRIES, [BlockForm(ARMY)])
    assert read.table is not None
    at_altitude = Today(Conditions(ambient_k=305.15, barometer_pa=80_000.0), refrigerant="R-134a")
    high = answer(read.table, at_altitude).outcomes[0]
    assert range_text(high, System.US, 80_000.0) == "170.0 to 240.0 psig"


def test_a_set_up_is_written_in_one_line() -> None:
    set_up, _ = read_set_up({"engine": "idle", "doors": "closed"})
    assert set_up is not None
    assert set_up_line(set_up) == "engine speed idle, doors closed"
