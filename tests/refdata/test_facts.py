"""Facts about refrigerants: each with source and standing, and in agreement with one another."""

from __future__ import annotations

import tomllib

import pytest

from knowngood_refdata.facts import (
    DATA,
    AssessmentReport,
    Fact,
    FactStanding,
    Topic,
    facts,
    gwp,
    laws,
    side_by_side,
)

REFRIGERANTS = ("R-134a", "R-1234yf", "R-744", "R-152a", "R-12")
TAR, AR4, AR5, AR6 = AssessmentReport
RAW = tomllib.loads(DATA.read_text("utf-8"))

# Molar masses [kg/mol]: Tillner-Roth and Baehr 1994; Lemmon and Akasaka 2022; the others from memory.
MOLAR_MASS = {
    "R-134a": 0.102032,
    "R-1234yf": 0.1140416,
    "R-744": 0.04401,
    "R-152a": 0.066051,
    "R-12": 0.12091,
}
MOLAR_VOLUME_M3 = 8.314462618 * 298.15 / 101_325.0


def fact(refrigerant: str, name: str) -> Fact:
    (found,) = [one for one in facts(refrigerant) if one.name == name]
    return found


def test_every_fact_names_its_source_and_how_it_stands() -> None:
    rows = [*RAW["fact"], *RAW["gwp"]]
    assert len(rows) > 80
    for row in rows:
        assert RAW["sources"][row["source"]]
        assert row["standing"] in {"read", "from memory"}
    for law in laws():
        assert law.source
        assert law.uses


def test_every_source_stands_behind_something() -> None:
    used = {row["source"] for kind in ("fact", "gwp", "law") for row in RAW[kind]}
    assert used == set(RAW["sources"])


def test_no_refrigerant_has_two_facts_of_one_name() -> None:
    for refrigerant in REFRIGERANTS:
        names = [(one.topic, one.name) for one in facts(refrigerant)]
        assert len(names) == len(set(names))


def test_facts_come_in_the_order_of_their_topics() -> None:
    order = [list(Topic).index(one.topic) for one in facts("R-1234yf")]
    assert order == sorted(order)
    assert set(order) == set(range(len(Topic)))


def test_common_practice_is_never_passed_off_as_read() -> None:
    practice = [one for name in REFRIGERANTS for one in facts(name) if "no source" in one.source]
    assert practice
    assert {one.standing for one in practice} == {FactStanding.FROM_MEMORY}


def test_a_fact_from_memory_is_told_from_one_that_was_read() -> None:
    # International Mechanical Code, table 1103.1, read; ASHRAE 34 for R-1234yf, from memory.
    limit = "Occupational exposure limit, a working day (OEL)"
    assert fact("R-134a", limit).standing is FactStanding.READ
    assert fact("R-1234yf", limit).standing is FactStanding.FROM_MEMORY


@pytest.mark.parametrize(
    ("refrigerant", "name", "text", "value_si", "unit"),
    [
        # International Mechanical Code, table 1103.1.
        ("R-134a", "Concentration limit for an occupied space (RCL)", "50,000 ppm", 0.05, "m³/m³"),
        ("R-12", "Concentration limit as mass (RCL)", "90 g/m³", 0.09, "kg/m³"),
        # Process Safety Progress 2010; J. Hazardous Materials 172 (2009) 1329.
        ("R-1234yf", "Lower flammability limit in air", "6.2 vol-%", 0.062, "m³/m³"),
        ("R-1234yf", "Minimum ignition energy", "5,000 to 10,000 mJ", 5.0, "J"),
        ("R-1234yf", "Burning velocity, another laboratory", "1.2 ± 0.3 cm/s", 0.012, "m/s"),
    ],
)
def test_a_published_number_is_told_as_printed_and_in_si(
    refrigerant: str, name: str, text: str, value_si: float, unit: str
) -> None:
    found = fact(refrigerant, name)
    assert found.text == text
    assert found.value_si == pytest.approx(value_si)
    assert found.si_unit == unit


def test_a_range_keeps_its_upper_end() -> None:
    assert fact("R-1234yf", "Minimum ignition energy").up_to_si == pytest.approx(10.0)
    # Directive 2006/40/EC: 40 and 60 g a year.
    leak = fact("R-134a", "EU: leakage of a type")
    assert leak.value_si is not None
    assert leak.up_to_si == pytest.approx(1.5 * leak.value_si)


@pytest.mark.parametrize("refrigerant", REFRIGERANTS)
def test_a_concentration_limit_in_ppm_and_as_mass_agree(refrigerant: str) -> None:
    # Ideal gas at 25 °C and one atmosphere; the tables round to two figures.
    ppm = fact(refrigerant, "Concentration limit for an occupied space (RCL)").value_si
    mass = fact(refrigerant, "Concentration limit as mass (RCL)").value_si
    assert ppm is not None
    assert mass == pytest.approx(ppm * MOLAR_MASS[refrigerant] / MOLAR_VOLUME_M3, rel=0.02)


@pytest.mark.parametrize("refrigerant", ["R-1234yf", "R-152a"])
def test_a_flammability_limit_by_volume_and_as_mass_agree(refrigerant: str) -> None:
    volume = fact(refrigerant, "Lower flammability limit in air").value_si
    mass = fact(refrigerant, "Lower flammability limit, as mass in air").value_si
    assert volume is not None
    assert mass == pytest.approx(volume * MOLAR_MASS[refrigerant] / MOLAR_VOLUME_M3, rel=0.005)


@pytest.mark.parametrize("refrigerant", ["R-1234yf", "R-152a"])
def test_the_concentration_limit_of_a_flammable_gas_is_a_quarter_of_its_flammability_limit(
    refrigerant: str,
) -> None:
    # ASHRAE 34 (rule from memory); the table rounds 15,500 to 16,000 ppm.
    lower = fact(refrigerant, "Lower flammability limit in air").value_si
    limit = fact(refrigerant, "Concentration limit for an occupied space (RCL)").value_si
    assert lower is not None
    assert limit == pytest.approx(lower / 4.0, rel=0.04)


@pytest.mark.parametrize(
    ("refrigerant", "published"),
    [
        # IPCC reports of 2001, 2007, 2013 and 2021, over 100 years.
        ("R-134a", (1300, 1430, 1300, 1530)),
        ("R-152a", (120, 124, 138, 164)),
        ("R-12", (10_600, 10_900, 10_200, 12_500)),
        ("R-744", (1, 1, 1, 1)),
    ],
)
def test_the_warming_potential_is_that_of_the_report(refrigerant: str, published: tuple[int, ...]) -> None:
    found = [gwp(refrigerant, report) for report in AssessmentReport]
    assert tuple(one.value for one in found if one) == published
    assert not any(one.below for one in found if one)


def test_a_warming_potential_that_a_report_only_bounds_is_no_number() -> None:
    # Fifth report: less than 1 for HFO-1234yf.
    bound = gwp("R-1234yf", AR5)
    assert bound is not None
    assert bound.below
    assert bound.text == "less than 1"


def test_a_report_older_than_the_refrigerant_has_no_warming_potential() -> None:
    assert gwp("R-1234yf", TAR) is None
    listed = gwp("R-1234yf", AR4)
    assert listed is not None
    assert listed.value == 4
    assert "does not list it" in listed.note


def test_a_report_is_named_with_its_year() -> None:
    assert [report.year for report in AssessmentReport] == [2001, 2007, 2013, 2021]
    assert AR6.full_name == "IPCC sixth assessment report, 2021"


def test_the_directive_on_car_air_conditioning_counts_with_the_third_report() -> None:
    # Directive 2006/40/EC: limit of 150 with the values of 2001.
    (law,) = [one for one in laws() if "2006/40" in one.name]
    assert law.uses[0].report is TAR
    found = law.gwp("R-134a")
    assert found is not None
    assert found.value == 1300


def test_the_regulation_in_force_takes_two_reports() -> None:
    # Regulation (EU) 2024/573: annex I 1,430 and 124 (read), annex II newer (from memory).
    (law,) = [one for one in laws() if "2024/573" in one.name]
    values = {one.refrigerant: law.gwp(one.refrigerant) for one in law.uses}
    assert {name: one.value for name, one in values.items() if one} == {
        "R-134a": 1430,
        "R-152a": 124,
        "R-1234yf": 0.501,
    }
    assert [one.standing for one in law.uses if one.refrigerant == "R-1234yf"] == [FactStanding.FROM_MEMORY]


def test_a_law_that_does_not_name_a_refrigerant_gives_no_value() -> None:
    (law,) = [one for one in laws() if "40 CFR 84" in one.name]
    assert law.gwp("R-1234yf") is None


def test_two_refrigerants_stand_side_by_side_under_the_same_name() -> None:
    rows = {row.name: row for row in side_by_side("R-134a", "R-1234yf")}
    kind = rows["Class"]
    assert kind.first is not None
    assert kind.second is not None
    assert (kind.first.text[:2], kind.second.text[:3]) == ("A1", "A2L")
    assert rows["Burning velocity"].first is None
    assert rows["Older equipment standards"].second is None


def test_side_by_side_leaves_out_nothing_and_repeats_nothing() -> None:
    rows = side_by_side("R-134a", "R-1234yf")
    shown = [one for row in rows for one in (row.first, row.second) if one]
    assert len(shown) == len(facts("R-134a")) + len(facts("R-1234yf"))
    assert len({(row.topic, row.name) for row in rows}) == len(rows)


def test_what_an_a2l_refrigerant_asks_of_the_technician_is_told() -> None:
    told = " ".join(f"{one.name}: {one.text}" for one in facts("R-1234yf"))
    for words in (
        "Identify first", "Ventilation", "Ignition sources", "made for R-1234yf", "never repaired",
        "never with compressed air", "by weight alone", "local law prevail",
    ):  # fmt: skip
        assert words in told


def test_no_fact_gives_a_pressure_to_charge_to() -> None:
    for name in REFRIGERANTS:
        for one in facts(name):
            assert not {"psi", "bar", "kPa"} & set(one.text.split())


def test_an_unknown_refrigerant_has_no_facts() -> None:
    assert facts("R-999") == ()
    assert gwp("R-999", AR4) is None
