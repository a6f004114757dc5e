"""One reading of a vacuum on every scale, with what water does there."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from PySide6.QtGui import QGuiApplication

from knowngood_calculator.panels.evacuation_section import EvacuationSection

from .at_the_page import copy_button, number, opened

if TYPE_CHECKING:
    from knowngood_calculator.panels.page import CalculatorPage

    from .conftest import SmallHost


@pytest.fixture
def section(page: CalculatorPage) -> EvacuationSection:
    return opened(page, "evacuation", EvacuationSection)


@pytest.mark.parametrize(
    ("micron", "fahrenheit", "inches"),
    # A common service table (from memory), to the tolerance of a table rounded for use.
    [("355092", 176.0, 15.94), ("25400", 80.0, 28.92), ("7620", 45.0, 29.62), ("254", -24.0, 29.91)],
)
def test_a_reading_is_answered_with_depth_and_temperature_of_the_service_table(
    section: EvacuationSection, micron: str, fahrenheit: float, inches: float
) -> None:
    section.vacuum.reading.setText(micron)
    line = section.vacuum.frosts if fahrenheit < 32.0 else section.vacuum.boils
    assert number(line.text) == pytest.approx(fahrenheit, abs=1.6)
    assert float(section.vacuum.below_air.text.split()[0]) == pytest.approx(inches, abs=0.006)


def test_a_reading_stands_on_every_scale(section: EvacuationSection) -> None:
    section.vacuum.reading.setText("1 Torr")
    # 1 Torr is 101,325/760 Pa, by definition.
    texts = {symbol: line.text for symbol, line in section.vacuum.scales.items()}
    assert texts == {
        "micron": "1000 micron",
        "kPa": "0.1333 kPa abs",
        "mbar": "1.333 mbar abs",
        "Pa": "133.3 Pa",
    }


def test_below_the_triple_point_water_frosts_and_above_it_boils(section: EvacuationSection) -> None:
    # 4,588 micron: the triple point of water, 611.657 Pa (IAPWS R14-08).
    section.vacuum.reading.setText("4600 micron")
    assert section.vacuum.boils.isVisible()
    assert section.vacuum.frosts.isHidden()
    section.vacuum.reading.setText("4570 micron")
    assert section.vacuum.frosts.isVisible()
    assert section.vacuum.boils.isHidden()
    assert any("freezes" in remark.text() for remark in section.vacuum.remarks)


def test_a_dial_reading_counts_from_the_local_air(section: EvacuationSection, page: CalculatorPage) -> None:
    section.vacuum.reading.setText("24 inHg vac")
    page.head.barometer.setText("25 inHg")
    assert section.vacuum.scales["micron"].text == "25400 micron"
    assert section.vacuum.below_air.text == "24.000 inHg vac"


def test_the_coldest_part_decides_whether_water_leaves(section: EvacuationSection) -> None:
    section.vacuum.reading.setText("25400")
    section.vacuum.coldest.setText("60 F")
    assert "stays" in section.vacuum.remarks[2].text()
    section.vacuum.coldest.setText("90 F")
    assert "turns to vapour" in section.vacuum.remarks[2].text()


@pytest.mark.parametrize(
    ("typed", "words"), [("32 inHg vac", "below a perfect vacuum"), ("5 C", "'C'"), ("much", "no number")]
)
def test_a_reading_that_cannot_be_is_told_in_words(
    section: EvacuationSection, typed: str, words: str
) -> None:
    section.vacuum.reading.setText(typed)
    assert words in section.vacuum.told.text()
    assert section.vacuum.scales["Pa"].text == section.vacuum.boils.text == ""


def test_a_pressure_above_the_local_air_has_no_depth(section: EvacuationSection) -> None:
    section.vacuum.reading.setText("110 kPa")
    assert section.vacuum.below_air.text == ""
    assert "no vacuum" in section.vacuum.remarks[0].text()


def test_a_cold_part_that_is_no_temperature_is_named(section: EvacuationSection) -> None:
    section.vacuum.reading.setText("500")
    section.vacuum.coldest.setText("5 bar")
    assert section.vacuum.told.text().startswith("Coldest part: ")
    assert section.vacuum.scales["micron"].text == "500 micron"


def test_an_answer_is_copied_as_it_can_be_typed_again(section: EvacuationSection, host: SmallHost) -> None:
    section.vacuum.reading.setText("500 micron")
    for line in (section.vacuum.below_air, section.vacuum.scales["kPa"]):
        copy_button(line).click()
        copied = QGuiApplication.clipboard().text()
        assert host.said[-1] == f"Copied {copied}."
        section.vacuum.reading.setText(copied)
        assert section.vacuum.reading.si() == pytest.approx(66.66, abs=2.0)
