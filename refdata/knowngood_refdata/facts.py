"""Facts about the refrigerants that are no property of the fluid, each with its source and standing.

They live in ``data/refrigerant_facts.toml``. A fact that was read at its source stands as *read*; one
that was not read again stands as *from memory* and is to be shown as such.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

DATA = Path(__file__).parent / "data" / "refrigerant_facts.toml"

_SI: dict[str, tuple[float, str]] = {
    "vol-%": (1e-2, "m³/m³"),
    "wt-%": (1e-2, "kg/kg"),
    "ppm": (1e-6, "m³/m³"),
    "ppm by weight": (1e-6, "kg/kg"),
    "g/m³": (1e-3, "kg/m³"),
    "cm/s": (1e-2, "m/s"),
    "mJ": (1e-3, "J"),
    "kJ/g": (1e6, "J/kg"),
    "g": (1e-3, "kg"),
    "t": (1e3, "kg"),
    "g/year": (1e-3 / (365.25 * 86_400), "kg/s"),
}
"""How many SI units one unit of the file is, and the SI unit; a year is 365.25 days."""


class FactStanding(StrEnum):
    """Whether a fact was read at its source or is told from memory."""

    READ = "read"
    FROM_MEMORY = "from memory"


class Topic(StrEnum):
    """What a fact is about, in the order in which facts are shown."""

    SAFETY_CLASS = "safety class"
    FLAMMABILITY = "flammability"
    EXPOSURE = "exposure limits"
    OILS = "oils"
    FITTINGS = "fittings and hoses"
    EQUIPMENT = "service equipment"
    LABEL = "under-hood label"
    WORKSHOP = "in the workshop"
    CAUTIONS = "cautions"
    LAW = "law"


class AssessmentReport(StrEnum):
    """A report of the IPCC, which gives the set of warming potentials that a law counts with."""

    TAR = "TAR"
    AR4 = "AR4"
    AR5 = "AR5"
    AR6 = "AR6"

    @property
    def year(self) -> int:
        """The year of the report's part on the physical science."""
        return {"TAR": 2001, "AR4": 2007, "AR5": 2013, "AR6": 2021}[self]

    @property
    def full_name(self) -> str:
        """The report in words: ``IPCC fourth assessment report, 2007``."""
        which = {"TAR": "third", "AR4": "fourth", "AR5": "fifth", "AR6": "sixth"}[self]
        return f"IPCC {which} assessment report, {self.year}"


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact about one or several refrigerants.

    Attributes
    ----------
    refrigerants
        Designations of those it holds for.
    topic, name
        What it is about; the same pair for two refrigerants makes them comparable.
    text
        The fact with its unit, as published.
    value_si, up_to_si, si_unit
        The number of a numeric fact in SI, the upper end when it is a range, and the SI unit's symbol.
    source
        Standard, law or paper in words.
    note
        A remark; empty when none is needed.
    """

    refrigerants: tuple[str, ...]
    topic: Topic
    name: str
    text: str
    source: str
    standing: FactStanding
    value_si: float | None = None
    up_to_si: float | None = None
    si_unit: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class FactRow:
    """What two refrigerants have under one name; None where nothing is on record for one of them."""

    topic: Topic
    name: str
    first: Fact | None
    second: Fact | None


@dataclass(frozen=True, slots=True)
class Gwp:
    """Global warming potential over 100 years [kg CO2 per kg]; with ``below`` it is only an upper bound."""

    refrigerant: str
    report: AssessmentReport
    value: float
    source: str
    standing: FactStanding
    below: bool = False
    note: str = ""

    @property
    def text(self) -> str:
        """The value as published: ``1,430``, ``0.501``, ``less than 1``."""
        return f"less than {self.value:g}" if self.below else f"{self.value:,.10g}"


@dataclass(frozen=True, slots=True)
class LawUse:
    """The report whose warming potential a law takes for one refrigerant."""

    refrigerant: str
    report: AssessmentReport
    standing: FactStanding


@dataclass(frozen=True, slots=True)
class Law:
    """A law that counts with warming potentials, and the report it takes for each refrigerant."""

    name: str
    source: str
    uses: tuple[LawUse, ...]
    note: str = ""

    def gwp(self, refrigerant: str) -> Gwp | None:
        """The warming potential that counts for a refrigerant; None when the law names none."""
        for use in self.uses:
            if use.refrigerant == refrigerant:
                return gwp(refrigerant, use.report)
        return None


def facts(refrigerant: str) -> tuple[Fact, ...]:
    """Every fact that holds for a refrigerant, by topic; empty for an unknown one.

    >>> [fact.text for fact in facts("R-1234yf") if fact.topic is Topic.SAFETY_CLASS]
    ['A2L: lower toxicity, lower flammability with a slow flame']
    """
    return tuple(fact for fact in _all_facts() if refrigerant in fact.refrigerants)


def side_by_side(first: str, second: str) -> tuple[FactRow, ...]:
    """The facts of two refrigerants paired by topic and name, in the order of the topics.

    >>> row = side_by_side("R-134a", "R-152a")[0]
    >>> row.name, row.first.text[:2], row.second.text[:2]
    ('Class', 'A1', 'A2')
    """
    left, right = (_by_name(facts(name)) for name in (first, second))
    pairs = dict.fromkeys((fact.topic, fact.name) for fact in _all_facts())
    return tuple(
        FactRow(*pair, left.get(pair), right.get(pair)) for pair in pairs if pair in left or pair in right
    )


def gwp(refrigerant: str, report: AssessmentReport) -> Gwp | None:
    """The warming potential of a refrigerant in a report; None when that report's set has none.

    >>> gwp("R-134a", AssessmentReport.AR4).text, gwp("R-1234yf", AssessmentReport.AR5).text
    ('1,430', 'less than 1')
    >>> gwp("R-1234yf", AssessmentReport.TAR) is None
    True
    """
    return _all_gwps().get((refrigerant, report))


def laws() -> tuple[Law, ...]:
    """The laws that count with warming potentials.

    >>> [law.gwp("R-134a").text for law in laws()][:2]
    ['1,300', '1,430']
    """
    sources = _file()["sources"]
    return tuple(
        Law(
            row["name"],
            sources[row["source"]],
            tuple(
                LawUse(use["refrigerant"], AssessmentReport(use["report"]), FactStanding(use["standing"]))
                for use in row["uses"]
            ),
            row.get("note", ""),
        )
        for row in _file()["law"]
    )


@cache
def _file() -> Mapping[str, Any]:
    return tomllib.loads(DATA.read_text("utf-8"))


@cache
def _all_facts() -> tuple[Fact, ...]:
    order = list(Topic)
    found = [_fact(row, _file()["sources"]) for row in _file()["fact"]]
    return tuple(sorted(found, key=lambda fact: order.index(fact.topic)))


@cache
def _all_gwps() -> Mapping[tuple[str, AssessmentReport], Gwp]:
    return {
        (row["refrigerant"], AssessmentReport(report)): Gwp(
            row["refrigerant"],
            AssessmentReport(report),
            float(value),
            _file()["sources"][row["source"]],
            FactStanding(row["standing"]),
            row.get("below", False),
            row.get("note", ""),
        )
        for row in _file()["gwp"]
        for report, value in row["values"].items()
    }


def _by_name(found: Iterable[Fact]) -> dict[tuple[Topic, str], Fact]:
    return {(fact.topic, fact.name): fact for fact in found}


def _fact(row: Mapping[str, Any], sources: Mapping[str, str]) -> Fact:
    factor, si_unit = _SI[row["unit"]] if "unit" in row else (1.0, "")
    value, up_to = row.get("value"), row.get("up_to")
    return Fact(
        tuple(row["refrigerants"]),
        Topic(row["topic"]),
        row["name"],
        row.get("text") or _published(row),
        sources[row["source"]],
        FactStanding(row["standing"]),
        None if value is None else value * factor,
        None if up_to is None else up_to * factor,
        si_unit,
        row.get("note", ""),
    )


def _published(row: Mapping[str, Any]) -> str:
    """A number of the file in words: ``6.2 vol-%``, ``5,000 to 10,000 mJ``, ``1.2 ± 0.3 cm/s``."""
    number = f"{row['value']:,}"
    if "up_to" in row:
        number += f" to {row['up_to']:,}"
    if "plus_minus" in row:
        number += f" ± {row['plus_minus']:,}"
    return f"{number} {row['unit']}"
