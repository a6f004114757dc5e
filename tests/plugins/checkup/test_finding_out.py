"""What is found out about a car is entered on the page: answers, masses, the case, and what a plugin asks."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from knowngood.loader import Plugins, find_sources
from knowngood_checkup.core.explain.faults import Fault
from knowngood_refdata.queries import checkups
from knowngood_refdata.records import Weighed

from .shown_page import shown, texts

if TYPE_CHECKING:
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.host import WindowHost
    from knowngood_checkup.panels.page import CheckupPage


def test_an_answer_goes_into_the_library_and_the_ranking(
    qtbot: QtBot, host: WindowHost, session_id: int
) -> None:
    page = shown(qtbot, host, session_id)
    page.sections.show_section("explanations")
    section = page.sections.section("explanations")
    before = page.check
    section.next.which.setCurrentIndex(section.next.which.findData("identifier"))
    section.next.answer.setCurrentText("much air")
    section.next.keep.click()
    qtbot.waitUntil(lambda: page.check is not before)
    assert checkups.found_out(host.store, session_id).answers == {"identifier": "much air"}
    assert "Answered: identifier: much air." in texts(page)
    assert page.check is not None
    assert page.check.checkup.explained is not None
    assert before is not None
    assert before.checkup.explained is not None
    air = Fault.AIR
    assert page.check.checkup.explained.probability(air) > before.checkup.explained.probability(air)


def test_masses_are_kept_in_si_and_answer_the_way_into_the_book(
    qtbot: QtBot, host: WindowHost, session_id: int
) -> None:
    page = shown(qtbot, host, session_id)
    page.sections.show_section("explanations")
    card = page.sections.section("explanations").weighing
    card.masses[Weighed.CHARGED].setText("472 g")
    before = page.check
    card.keep.click()
    qtbot.waitUntil(lambda: page.check is not before)
    assert checkups.found_out(host.store, session_id).weighings[Weighed.CHARGED].value == pytest.approx(0.472)
    page.sections.show_section("book")
    qtbot.waitUntil(lambda: "met: as the under-hood label says: 470 ± 15 g" in texts(page))
    assert "missing: let the car stand" in texts(page)


def test_what_cannot_be_a_mass_is_said_and_nothing_is_stored(
    qtbot: QtBot, host: WindowHost, session_id: int
) -> None:
    page = shown(qtbot, host, session_id)
    page.sections.show_section("explanations")
    card = page.sections.section("explanations").weighing
    card.masses[Weighed.CHARGED].setText("a lot")
    card.keep.click()
    assert checkups.found_out(host.store, session_id).weighings == {}


def test_a_case_needs_to_say_how_it_was_found(qtbot: QtBot, host: WindowHost, session_id: int) -> None:
    page = shown(qtbot, host, session_id)
    page.sections.show_section("explanations")
    card = page.sections.section("explanations").case
    card.explanation.setCurrentText("undercharge")
    card.keep.click()
    assert checkups.cases(host.store) == ()
    card.how.setText("160 g missing on the scale")
    card.keep.click()
    assert [one.explanation for one in checkups.cases(host.store)] == ["undercharge"]


def chance(page: CheckupPage, name: str) -> float:
    assert page.check is not None
    assert page.check.checkup.explained is not None
    return page.check.checkup.explained.probability(name)


BROUGHT = """
from knowngood.api import Explanation, Load, Measurement, Pattern, Signal, hookimpl

@hookimpl
def explanations():
    return [Explanation("heater return left open", 0.01, {Load.FULL_STROKE: Pattern({Signal.VENT: 9.0})})]

@hookimpl
def measurements():
    answers = {"heater return left open": (0.05, 0.95)}
    return [Measurement("feel the return", "Feel it.", ("cold", "warm"), (0.97, 0.03), answers, effort=0.1)]
"""


def test_what_a_plugin_brings_can_be_answered_and_found_and_stays_when_it_is_gone(
    qtbot: QtBot, host: WindowHost, session_id: int, tmp_path: Path
) -> None:
    (tmp_path / "shop").mkdir()
    (tmp_path / "shop" / "fleet.py").write_text(BROUGHT, "utf-8")
    host.plugins = Plugins(one for one in find_sources(tmp_path / "shop") if one.name in ("fleet", "checkup"))
    page = shown(qtbot, host, session_id)
    page.sections.show_section("explanations")
    section = page.sections.section("explanations")
    before = chance(page, "heater return left open")
    card = section.next
    card.which.setCurrentIndex(card.which.findData("feel the return"))
    card.answer.setCurrentText("warm")
    card.keep.click()
    qtbot.waitUntil(lambda: "feel the return: warm" in texts(page))
    # By Bayes' rule the answer multiplies its odds by 0.95 / 0.03 against what answers as usual.
    assert chance(page, "heater return left open") > 20.0 * before > 0.0
    section.case.explanation.setCurrentText("heater return left open")
    section.case.how.setText("closed it, and the vents are cold")
    section.case.keep.click()
    found = checkups.found_out(host.store, session_id)
    assert found.case is not None
    assert found.case.explanation == "heater return left open"
    host.plugins.close()

    host.plugins = Plugins(())
    again = shown(qtbot, host, session_id)
    again.sections.show_section("explanations")
    section = again.sections.section("explanations")
    assert section.case.explanation.currentText() == "heater return left open"
    assert "feel the return: warm" in texts(again)
