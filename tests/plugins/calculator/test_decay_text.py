"""Vacuum records as people type and instruments export them, and lines that cannot be read."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_calculator.core.decay import Verdict, judge_decay
from knowngood_calculator.core.decay_text import DecayUnreadable, read_decay
from knowngood_refdata.quantities import Kind, unit

MICRON_PA = 0.133322387415


def lines(*rows: str) -> str:
    return "\n".join(rows)


@pytest.mark.parametrize(
    "text",
    [
        lines("time (s); pressure (mbar)", "0; 0.5", "90; 1.25"),
        lines("time (s); pressure (mbar)", "0; 0,5", "90; 1,25"),
        lines("time [s]\tpressure [mbar]", "0\t0,5", "90\t1,25"),
        lines("s, mbar", "0, 0.5", "90, 1.25"),
        lines("s,mbar", "0,0.5", "90,1.25"),
        lines("t/s p/mbar", "0 0.5", "90 1,25"),
        lines("hh:mm:ss;hPa", "0:00:00;0.5", "0:01:30;1.25"),
        lines("mm:ss;mbar", "0:00;0.5", "1:30;1.25"),
        lines("min;kPa", "0;0.05", "1.5;0.125"),
        lines("0 s; 0.5 mbar", "1.5 min; 125 Pa"),
        lines("0 s 0.5 mbar", "90 s 1.25 mbar"),
        lines("\ufefftime (s);pressure (mbar abs)", "", "0;0.5;", "", "90;1.25;"),
        lines("Pulled on bay 2", "time (h); pressure (kPa)", "0; 5e-2", "0.025; 1.25e-1"),
        "time (s); pressure (mbar)\r\n0; 0.5\r\n90; 1.25\r\n",
    ],
)
def test_the_same_record_is_read_however_it_is_written(text: str) -> None:
    found = read_decay(text)
    assert found.times_s == pytest.approx([0.0, 90.0])
    assert found.pressures_pa == pytest.approx([50.0, 125.0])
    assert not found.notices


@pytest.mark.parametrize(
    ("name", "pascals"),
    [
        # Definitions and conventional values: NIST SP 811, appendix B (from memory).
        ("micron", 0.133322387415), ("microns", 0.133322387415), ("mTorr", 0.133322387415),
        ("µmHg", 0.133322387415), ("mbar", 100.0), ("hPa", 100.0), ("Pa", 1.0), ("kPa", 1000.0),
        ("Torr", 101_325.0 / 760.0), ("mmHg", 133.322387415), ("inHg abs", 3386.38864),
    ],
)  # fmt: skip
def test_every_unit_of_a_vacuum_gauge_is_known(name: str, pascals: float) -> None:
    assert read_decay(f"min; {name}\n0; 1").pressures_pa[0] == pytest.approx(pascals, rel=1e-9)
    assert read_decay(f"0 min; 1 {name}").pressures_pa[0] == pytest.approx(pascals, rel=1e-9)


@given(
    rows=st.lists(st.tuples(st.integers(0, 5_000), st.integers(0, 99_999)), min_size=1, max_size=20),
    separator=st.sampled_from([";", "; ", "\t", " ; "]),
    comma=st.booleans(),
)
def test_any_record_with_a_semicolon_or_tab_is_read_back(
    rows: list[tuple[int, int]], separator: str, comma: bool
) -> None:
    def written(number: str) -> str:
        return number.replace(".", ",") if comma else number

    text = lines(f"s{separator}Pa", *(f"{t}{separator}{written(f'{p / 100:.2f}')}" for t, p in rows))
    found = read_decay(text)
    assert found.times_s.tolist() == [float(t) for t, _ in rows]
    assert found.pressures_pa == pytest.approx([p / 100 for _, p in rows])
    assert found.resolution_pa == pytest.approx(0.01)
    assert not found.notices


@given(text=st.text(max_size=200))
def test_any_text_is_read_or_refused_with_words(text: str) -> None:
    try:
        found = read_decay(text)
    except DecayUnreadable:
        return
    assert found.times_s.shape == found.pressures_pa.shape
    assert len(found.times_s) > 0
    assert (found.pressures_pa >= 0.0).all()


@given(text=st.text(alphabet="0123456789.,;:\t\n -+e", max_size=120))
def test_of_any_digits_no_line_vanishes_silently(text: str) -> None:
    filled = [line for line in text.splitlines() if line.strip()]
    try:
        found = read_decay(text)
    except DecayUnreadable:
        return
    header = next(
        i for i, line in enumerate(filled) if line.strip(" \t").lstrip("+-").lstrip(".,")[:1].isdigit()
    )
    named = sum(notice.startswith("Line ") for notice in found.notices)
    assert len(found.times_s) + named == len(filled) - header


def test_a_bad_line_is_named_by_its_number_and_the_rest_is_kept() -> None:
    found = read_decay(lines("min; micron", "0; 350", "1; ----", "", "2; 400", "3", "4; -5", "5; 460"))
    assert found.times_s.tolist() == [0.0, 120.0, 300.0]
    assert len(found.notices) == 4
    assert found.notices[0].startswith("Line 3 ('1; ----') was left out")
    assert found.notices[1].startswith("Line 6 ('3') was left out: holds one column")
    assert found.notices[2].startswith(
        "Line 7 ('4; -5') was left out: an absolute pressure is never negative"
    )
    assert found.notices[3] == "3 of 6 lines were kept as readings."


def test_a_comma_that_could_be_either_is_not_guessed() -> None:
    found = read_decay(lines("min; micron", "0; 950", "1; 1,200"))
    assert found.pressures_pa.tolist() == pytest.approx([950.0 * MICRON_PA])
    assert "'1,200' can be read in two ways" in found.notices[0]


def test_other_numbers_tell_what_a_comma_means() -> None:
    thousands = read_decay(lines("min; micron", "0; 950.5", "1; 1,200"))
    assert thousands.pressures_pa[1] == pytest.approx(1_200.0 * MICRON_PA)
    decimal = read_decay(lines("min; mbar", "0; 0,95", "1; 1,200"))
    assert decimal.pressures_pa[1] == pytest.approx(120.0)


def test_a_space_inside_a_number_is_not_taken_for_a_column() -> None:
    found = read_decay(lines("min micron", "0 950", "1 1 200", "2 1400"))
    assert found.times_s.tolist() == [0.0, 120.0]
    assert "a number is parted" in found.notices[0]


def test_decimal_commas_between_commas_are_not_guessed() -> None:
    with pytest.raises(DecayUnreadable, match="part columns by semicolons"):
        read_decay(lines("0,5,300,2", "1,5,310,4"))


def test_units_taken_for_granted_are_told() -> None:
    found = read_decay(lines("0 350", "1 360"), time_unit="s", pressure_unit="Pa")
    assert found.times_s.tolist() == [0.0, 1.0]
    assert found.pressures_pa.tolist() == [350.0, 360.0]
    assert found.notices == (
        "No unit of time is named: times were read as s.",
        "No unit of pressure is named: pressures were read as Pa, absolute.",
    )


def test_further_columns_are_told() -> None:
    found = read_decay(lines("min; micron; °C", "0; 350; 21", "1; 360; 21"))
    assert found.pressures_pa == pytest.approx([350.0 * MICRON_PA, 360.0 * MICRON_PA])
    assert found.notices == ("Only the first two columns were read, as time and pressure.",)


def test_clock_times_count_from_the_first_and_pass_midnight() -> None:
    found = read_decay(lines("time;micron", "23:59:00;300", "00:00:30;310", "00:02:00;320"))
    assert found.times_s.tolist() == [0.0, 90.0, 180.0]


def test_hours_and_minutes_are_told_as_such() -> None:
    found = read_decay(lines("time;micron", "14:03;300", "14:05;310"))
    assert found.times_s.tolist() == [0.0, 120.0]
    assert found.notices == ("Times like 0:10 were read as hours and minutes.",)


def test_a_clock_that_does_not_exist_is_named() -> None:
    found = read_decay(lines("h:mm:ss;micron", "0:00:00;300", "0:00:75;310"))
    assert "'0:00:75' is no time" in found.notices[0]


@pytest.mark.parametrize(
    "header", ["min; inHg vac", "min; Vacuum (inHg)", "min; psig", "min; gauge pressure mbar"]
)
def test_readings_that_count_from_the_local_air_are_refused(header: str) -> None:
    with pytest.raises(DecayUnreadable, match="absolute pressures"):
        read_decay(lines(header, "0; 29.5", "1; 29.4"))


def test_inches_of_mercury_are_told_to_be_absolute() -> None:
    found = read_decay(lines("min; inHg", "0; 0.02", "1; 0.03"))
    assert found.notices == ("Readings in inHg were taken as absolute, not as a depth below the local air.",)


@pytest.mark.parametrize("text", ["", "  \n\n", "hello", "time;pressure", "a;b\nc;d"])
def test_a_text_without_readings_is_refused_with_words(text: str) -> None:
    with pytest.raises(DecayUnreadable, match=r"two columns|one reading a line"):
        read_decay(text)


def test_an_unknown_unit_is_named_with_the_known_ones() -> None:
    found = read_decay(lines("0 min; 5 furlong", "1 min; 350 micron"))
    assert "'furlong' is no unit of pressure; known are" in found.notices[0]


def test_the_last_digit_gives_the_step_of_the_gauge() -> None:
    assert read_decay("s; mbar\n0; 0,50\n1; 0,6").resolution_pa == pytest.approx(1.0)
    assert read_decay("s; inHg abs\n0; 1.5\n1; 2").resolution_pa == pytest.approx(338.638864)


def test_a_pasted_leak_is_judged_a_leak() -> None:
    rows = [f"{minute}; {400 + 250 * minute}" for minute in range(16)]
    found = judge_decay(read_decay(lines("min; micron", *rows)))
    assert found.verdict is Verdict.LEAK
    assert found.level_pa == pytest.approx(unit("micron", Kind.PRESSURE).to_si(4_150.0), rel=0.01)


def test_a_pasted_tight_hold_in_millibar_is_judged_tight() -> None:
    minutes = np.arange(16)
    pressures = 0.85 - 0.45 * np.exp(-minutes / 1.2)
    rows = [f"0:{m:02d}\t{p:.3f}".replace(".", ",") for m, p in zip(minutes, pressures, strict=True)]
    found = judge_decay(read_decay(lines("h:mm\tmbar", *rows)))
    assert found.verdict is Verdict.TIGHT
