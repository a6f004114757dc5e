"""The section of evacuation: one reading on every scale, and the verdict on a decay test with its reason."""

from __future__ import annotations

import math
from html import escape
from typing import TYPE_CHECKING, cast

import pytest
from PySide6.QtWidgets import QFileDialog, QWidget

from knowngood.units import System
from knowngood_calculator.core.evacuation import STANDING_CAUTIONS
from knowngood_calculator.panels.evacuation_section import EvacuationSection
from knowngood_calculator.panels.page import CalculatorPage

from .at_the_page import median_keystroke_s, opened, visited_by_tab

if TYPE_CHECKING:
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.api import Host

    from .conftest import SmallHost

HEADER = "time (min); pressure (micron)"


@pytest.fixture
def section(page: CalculatorPage) -> EvacuationSection:
    return opened(page, "evacuation", EvacuationSection)


def record(plateau: float, start: float = 300.0, tau_min: float = 3.0, header: str = HEADER) -> str:
    """A reading a minute for 20 min, levelling off [micron]."""
    rows = (f"{t}; {plateau - (plateau - start) * math.exp(-t / tau_min):.0f}" for t in range(21))
    return "\n".join([header, *rows])


def rising(rate: float) -> str:
    """A straight rise [micron/min] from 300 micron."""
    return "\n".join([HEADER, *(f"{t}; {300 + rate * t:.0f}" for t in range(21))])


def paste(section: EvacuationSection, text: str) -> None:
    section.decay.record.columns.setPlainText(text)


def test_the_unit_switch_rewrites_the_reading_and_keeps_the_record(
    section: EvacuationSection, host: SmallHost
) -> None:
    section.vacuum.reading.setText("500 micron")
    pasted = record(1400.0, header="")
    paste(section, pasted)
    verdict, micron = section.decay.verdict.text, section.decay.level.text
    host.units.set_system(System.SI)
    assert section.vacuum.reading.text() == "0.667 mbar"
    assert section.vacuum.frosts.text == "\N{MINUS SIGN}24.5 °C"
    assert section.decay.record.text == pasted
    # What bare numbers mean does not change under a record.
    assert section.decay.record.pressure_unit == "micron"
    assert section.decay.verdict.text == verdict
    assert micron.endswith("micron")
    assert float(section.decay.level.text.split()[0]) == pytest.approx(
        float(micron.split()[0]) * 133.322387e-5, abs=0.002
    )


@pytest.mark.parametrize(
    ("text", "verdict"),
    # Practice of the building trade: to 1,000 micron and steady is good, to 2,000 and steady moist, beyond
    # or rising a leak.
    [
        (record(600.0, tau_min=1.0), "tight"),
        (record(1400.0), "moisture"),
        (rising(200.0), "leak"),
        ("1; 300\n2; 310", "cannot tell"),
    ],
)
def test_a_pasted_record_is_judged_with_its_reason(
    section: EvacuationSection, text: str, verdict: str
) -> None:
    paste(section, text)
    assert section.decay.verdict.text == verdict
    assert len(section.decay.verdict.remark) > 40


def test_the_coldest_part_moves_the_reach_of_water(section: EvacuationSection) -> None:
    paste(section, record(12_000.0))
    assert section.decay.verdict.text == "moisture"
    assert "68.0 °F, taken where none is known" in section.decay.basis.text()
    # Over ice at -10 °C water reaches 260 Pa, 1,950 micron: 12,000 micron are beyond it.
    section.vacuum.coldest.setText("-10 C")
    assert section.decay.verdict.text != "moisture"
    assert "14.0 °F." in section.decay.basis.text()


def test_units_chosen_for_bare_columns_count(section: EvacuationSection) -> None:
    paste(section, "\n".join(f"{60 * t}; {0.5 + 0.001 * t:.3f}" for t in range(21)))
    section.decay.record.times.setCurrentText("s")
    section.decay.record.pressures.setCurrentText("mbar")
    assert section.decay.verdict.text == "tight"
    assert section.decay.level.text == "390 micron"
    assert "were read as mbar" in section.decay.notices.text()


def test_of_many_lines_left_out_two_are_shown_and_what_was_taken_for_granted_stays(
    section: EvacuationSection,
) -> None:
    paste(section, record(600.0, header="") + "\nx; y" * 40)
    lines = section.decay.notices.text().splitlines()
    assert lines[2] == "38 more lines were left out."
    assert any("pressures were read as micron" in line for line in lines)
    assert "21 of 61 lines were kept as readings." in lines


def test_the_curve_is_drawn_in_the_units_shown_with_the_levels(
    section: EvacuationSection, host: SmallHost
) -> None:
    assert section.decay.curve.plot is None
    paste(section, record(1400.0))
    plot = section.decay.curve.plot
    assert plot is not None
    plot.move_to(20.0)
    assert dict(plot.values()) == {
        "pressure": pytest.approx(1399.0, abs=1.0),
        "1000 micron": pytest.approx(1000.0),
        "2000 micron": pytest.approx(2000.0),
    }
    assert section.decay.curve.readout.text() == "At 20.0 min: pressure 1399 micron"
    host.units.set_system(System.SI)
    assert dict(plot.values())["2.666 mbar"] == pytest.approx(2.666, abs=0.001)


def test_times_that_run_back_are_told_and_not_drawn(section: EvacuationSection) -> None:
    paste(section, record(1400.0))
    paste(section, record(1400.0) + "\n3; 1400")
    assert section.decay.verdict.text == "cannot tell"
    assert section.decay.curve.plot is not None
    assert section.decay.curve.plot.isHidden()


def test_without_a_record_the_section_says_what_to_do_and_what_a_vacuum_does_not_tell(
    section: EvacuationSection, page: CalculatorPage
) -> None:
    assert section.decay.verdict.text == ""
    assert "at least 10 min" in section.decay.verdict.remark
    assert section.decay.level.isHidden()
    html = page.sheet().html
    assert all(escape(caution) in html for caution in STANDING_CAUTIONS)


def test_dial_readings_are_refused_in_words(section: EvacuationSection) -> None:
    paste(section, "time (min); inHg vac\n0; 29.9\n10; 29.8")
    assert section.decay.verdict.text == ""
    assert "count from the local air" in section.decay.verdict.problem


def press_import(section: EvacuationSection, path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))
    section.decay.record.open.click()


def test_an_imported_file_is_judged_and_what_stood_there_can_be_had_back(
    section: EvacuationSection, host: SmallHost, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "hold.csv"
    path.write_bytes(rising(200.0).replace("\n", "\r\n").encode("utf-16"))
    paste(section, "typed before")
    press_import(section, path, monkeypatch)
    assert section.decay.verdict.text == "leak"
    assert host.said[-1].startswith("Imported hold.csv.")
    section.decay.record.columns.undo()
    assert section.decay.record.text == "typed before"


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"\x00\x01\x02PNG", "holds no text"),
        (b"  \n", "is empty"),
        (b"name; colour\nskerry; grey", "No line holds a time and a pressure"),
        (b"1; 300\n" * 60_000, "kB"),
        (None, "cannot be read"),
    ],
)
def test_a_file_that_holds_no_record_leaves_what_was_typed(
    section: EvacuationSection,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    content: bytes | None,
    words: str,
) -> None:
    path = tmp_path / "wrong.bin"
    if content is not None:
        path.write_bytes(content)
    paste(section, rising(200.0))
    press_import(section, path, monkeypatch)
    assert section.decay.record.text == rising(200.0)
    assert section.decay.verdict.text == "leak"
    told = section.decay.record.told.text()
    assert told.startswith("Nothing was imported from wrong.bin. ")
    assert words in told
    assert told.endswith("was kept.")


def test_a_record_outlives_the_page(
    section: EvacuationSection, host: SmallHost, page: CalculatorPage, qtbot: QtBot
) -> None:
    pasted = record(600.0, tau_min=1.0, header="")
    paste(section, pasted)
    section.decay.record.times.setCurrentText("h")
    host.drafts.save()
    page.show_section("saturation")
    again = CalculatorPage(cast("Host", host))
    qtbot.addWidget(again)
    again.show_section("evacuation")
    other = again.section("evacuation")
    assert isinstance(other, EvacuationSection)
    assert other.decay.record.text == pasted
    assert other.decay.record.time_unit == "h"
    assert other.decay.verdict.text == "tight"


def test_an_emptied_record_is_kept_no_longer(section: EvacuationSection, host: SmallHost) -> None:
    paste(section, rising(1.0))
    host.drafts.save()
    assert "micron" in host.drafts._file.path.read_text("utf-8")
    paste(section, "")
    host.drafts.save()
    assert "micron" not in host.drafts._file.path.read_text("utf-8")


def test_the_sheet_holds_reading_verdict_reason_and_curve(
    section: EvacuationSection, page: CalculatorPage
) -> None:
    section.vacuum.reading.setText("500 micron")
    paste(section, record(1400.0))
    html = page.sheet().html
    assert "29.902 inHg vac" in html
    assert ">moisture<" in html
    assert "data:image/png;base64," in html
    assert "within its reach" in html


def test_the_keyboard_visits_the_fields_in_the_order_seen(section: EvacuationSection) -> None:
    fields: list[QWidget] = [
        section.vacuum.reading,
        section.vacuum.coldest,
        section.decay.record.times,
        section.decay.record.pressures,
        section.decay.record.open,
        section.decay.record.columns,
    ]
    assert visited_by_tab(fields) == fields


def test_a_keystroke_is_answered_within_twenty_milliseconds(section: EvacuationSection) -> None:
    paste(section, record(1400.0) + "\n")
    section.decay.record.columns.moveCursor(section.decay.record.columns.textCursor().MoveOperation.End)
    typed = median_keystroke_s(
        (section.vacuum.reading, "512.5 micron"),
        (section.decay.record.columns, "21; 1401"),
        (section.vacuum.coldest, "15.5 C"),
    )
    assert typed < 0.020
