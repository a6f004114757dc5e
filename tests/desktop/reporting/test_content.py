"""What the report says: conditions, sources, comparisons, cautions, and what stayed untested."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from knowngood.api import ReportSection
from knowngood.reporting.conditions import condition_rows, not_tested
from knowngood.reporting.content import Content, Subject, compose
from knowngood.reporting.page import render
from knowngood.scales import System
from knowngood_refdata.records import AirSource, Conditions, Role

from .conftest import INFO, VEHICLE, spec

PRINTED = datetime(2026, 8, 14, 11, 30, tzinfo=UTC)


def content(subject: Subject, system: System = System.SI, *sections: ReportSection) -> Content:
    return compose(subject, sections, system, shop="Fjordside Auto Climate", printed_at=PRINTED)


def test_the_charge_weight_stands_with_its_source(subject: Subject) -> None:
    rows = dict(content(subject).vehicle)
    assert rows["charge weight"] == "470 ± 15 g"
    assert rows["its source"] == "under-hood label, label on the lock carrier, rev. B"


def test_the_charge_weight_is_given_in_the_readers_unit_beside_what_is_printed(subject: Subject) -> None:
    # 470 g / 28.349523 g = 16.58 oz, 15 g = 0.53 oz (NIST SP 811, appendix B, from memory)
    assert dict(content(subject, System.US).vehicle)["charge weight"] == "470 ± 15 g (16.6 ± 0.5 oz)"


def test_a_missing_charge_weight_is_said(subject: Subject) -> None:
    bare = replace(subject, vehicle=replace(VEHICLE, specs={}))
    assert dict(content(bare).vehicle)["charge weight"] == "not in the library"


def test_a_condition_that_was_not_recorded_says_so() -> None:
    rows = dict(condition_rows(Conditions(ambient_k=304.65, sun=False), System.US))
    assert rows["ambient"] == "88.7 °F"
    assert rows["in the sun"] == "no"
    assert rows["relative humidity"] == rows["fan stage at start"] == "not recorded"
    assert rows["barometer"] == "not recorded, sea level taken"


@pytest.mark.parametrize(
    ("missing", "sentence"),
    [
        (Role.SUCTION_LINE, "Superheat: no suction line was recorded."),
        (Role.LIQUID_LINE, "Subcooling: no liquid line was recorded."),
        (Role.VENT, "Vent temperature: no vent was recorded."),
        (Role.ENGINE_SPEED, "Response to engine speed: no engine speed was recorded."),
    ],
)
def test_a_missing_channel_is_named_with_what_it_leaves_untested(missing: Role, sentence: str) -> None:
    everything = set(Role)
    assert sentence in not_tested(everything - {missing}, Conditions())
    assert sentence not in not_tested(everything, Conditions())


def test_a_missing_condition_is_named_as_not_matched() -> None:
    said = " ".join(not_tested(set(Role), Conditions(ambient_k=300.0, fan_stage=1, blower=1.0)))
    assert "not matched: humidity and air source." in said


def test_a_recording_never_claims_to_have_tested_charge_refrigerant_or_leaks() -> None:
    (sentence,) = not_tested(
        set(Role),
        Conditions(
            ambient_k=300.0, relative_humidity=0.5, fan_stage=1, blower=1.0, air_source=AirSource.FRESH
        ),
    )
    assert "charge weight" in sentence
    assert "leaks" in sentence


def test_the_sessions_own_readings_are_no_evidence_for_it(subject: Subject) -> None:
    assert "3 known-good readings of 2 cars" in content(subject).compared[0]


def test_a_vehicle_without_known_good_readings_was_compared_with_nothing(subject: Subject) -> None:
    (sentence,) = content(replace(subject, known_good=())).compared
    assert sentence.startswith("Nothing was compared")


def test_an_unknown_vehicle_was_compared_with_nothing(subject: Subject) -> None:
    said = content(replace(subject, vehicle=None, unit=None))
    assert said.vehicle_name == "Vehicle not identified"
    assert "belongs to no vehicle" in said.compared[0]


def test_the_cautions_put_law_and_maker_first_and_forbid_charging_by_pressure(subject: Subject) -> None:
    # Common practice, no source: charge by weight; the maker's procedure and local law prevail.
    said = " ".join(content(subject).cautions)
    for words in ("licensed", "local law", "data sheet", "recovered, never vented", "by weight only"):
        assert words in said


def test_the_mildly_flammable_refrigerant_gets_its_own_caution(subject: Subject) -> None:
    # ISO 817: R-1234yf is of class A2L, R-134a of class A1 (from memory).
    assert any("A2L" in one for one in content(subject).cautions)
    other = replace(subject, info=replace(INFO, refrigerant="R-134a"))
    assert not any("A2L" in one for one in content(other).cautions)


def test_every_text_from_outside_is_escaped(subject: Subject) -> None:
    evil = "<script>alert('x')</script>"
    bad = Subject(
        replace(INFO, title=evil, technician=evil, source_name=evil),
        replace(VEHICLE, make=evil, specs={"charge": (spec("charge", evil),)}),
        subject.unit,
        subject.roles,
        subject.known_good,
    )
    page = render(replace(content(bad), shop=evil))
    assert "<script" not in page
    assert page.count("&lt;script&gt;") >= 6


def test_a_plugins_section_is_printed_as_it_is_under_its_escaped_title(subject: Subject) -> None:
    page = render(content(subject, System.SI, ReportSection("A & B", 1, "<b>low side</b>")))
    assert "<h2>A &amp; B</h2>" in page
    assert "<b>low side</b>" in page


def test_the_page_fetches_nothing_from_elsewhere(subject: Subject) -> None:
    page = render(content(subject))
    for words in ("http:", "https:", "src=", "@import", "<link", "url("):
        assert words not in page


def test_a_report_without_sections_says_that_nothing_was_found(subject: Subject) -> None:
    assert "Nothing was found in this session" in render(content(subject))


def test_a_recording_is_dated_in_local_time_with_english_months(subject: Subject) -> None:
    bare = replace(INFO, started_at=datetime(2026, 5, 3, 9, 5))  # noqa: DTZ001 - a logger's clock
    rows = dict(content(replace(subject, info=bare)).instruments)
    assert rows["recorded"] == "3 May 2026, 09:05"
