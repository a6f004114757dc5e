"""Facts of both refrigerants grouped by topic, and narrowed down by what is looked for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_comparison.core.names import BOTH, FIRST, SECOND
from knowngood_refdata.facts import AssessmentReport, FactStanding, Topic, gwp, laws, side_by_side

if TYPE_CHECKING:
    from collections.abc import Iterable

    from knowngood_refdata.facts import Fact, Law


@dataclass(frozen=True, slots=True)
class Cell:
    """What one refrigerant has under a name: the text, a remark, the source, and how the source stands."""

    text: str
    source: str
    from_memory: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """A name with what either refrigerant has under it; both hold one cell where it is true of both."""

    name: str
    first: Cell | None
    second: Cell | None

    @property
    def shared(self) -> bool:
        """Whether the same is said of both."""
        return self.first is not None and self.first == self.second

    def holds(self, words: Iterable[str]) -> bool:
        """Whether every word is found somewhere in the line."""
        cells = [one for one in (self.first, self.second) if one is not None]
        parts = [self.name, *(part for one in cells for part in (one.text, one.source, one.note))]
        parts += ["from memory"] * any(one.from_memory for one in cells)
        text = " ".join(parts).casefold()
        return all(word in text for word in words)


@dataclass(frozen=True, slots=True)
class Group:
    """Lines under a heading."""

    title: str
    lines: tuple[Line, ...]


def groups(wanted: str = "") -> tuple[Group, ...]:
    """All facts by topic, the warming potentials and the laws that use them; without empty groups.

    Words that are looked for may stand anywhere in a line, or in the heading of its group.

    >>> [group.title for group in groups("velocity")]
    ['Flammability']
    """
    words = wanted.casefold().split()
    narrowed = (_narrowed(group, words) for group in _all())
    return tuple(group for group in narrowed if group.lines)


def cautions() -> tuple[str, ...]:
    """The usual cautions in the refrigerants' order of facts, each a sentence without its full stop."""
    rows = (row for row in side_by_side(*BOTH) if row.topic is Topic.CAUTIONS)
    return tuple(f"{row.name}: {fact.text}" for row in rows if (fact := row.second or row.first) is not None)


def _narrowed(group: Group, words: list[str]) -> Group:
    left = [word for word in words if word not in group.title.casefold()]
    return Group(group.title, tuple(line for line in group.lines if line.holds(left)))


def _all() -> tuple[Group, ...]:
    rows = side_by_side(*BOTH)
    by_topic = [
        Group(
            _headed(topic),
            tuple(Line(row.name, _cell(row.first), _cell(row.second)) for row in rows if row.topic is topic),
        )
        for topic in Topic
    ]
    place = list(Topic).index(Topic.EXPOSURE)
    return (*by_topic[:place], _potentials(), _in_law(), *by_topic[place:])


def _potentials() -> Group:
    lines = (
        Line(f"{report}, {report.year}", _potential(FIRST, report), _potential(SECOND, report))
        for report in AssessmentReport
    )
    return Group("Global warming potential over 100 years, kg of CO2 per kg, by IPCC report", tuple(lines))


def _potential(refrigerant: str, report: AssessmentReport) -> Cell | None:
    found = gwp(refrigerant, report)
    if found is None:
        return None
    return Cell(found.text, found.source, found.standing is FactStanding.FROM_MEMORY, found.note)


def _in_law() -> Group:
    lines = (Line(law.name, _used(law, FIRST), _used(law, SECOND)) for law in laws())
    return Group("Which law counts with which global warming potential", tuple(lines))


def _used(law: Law, refrigerant: str) -> Cell | None:
    use = next((one for one in law.uses if one.refrigerant == refrigerant), None)
    if use is None:
        return None
    found = law.gwp(refrigerant)
    value = "" if found is None else f"{found.text}, "
    return Cell(f"{value}by {use.report}", law.source, use.standing is FactStanding.FROM_MEMORY, law.note)


def _cell(fact: Fact | None) -> Cell | None:
    if fact is None:
        return None
    return Cell(fact.text, fact.source, fact.standing is FactStanding.FROM_MEMORY, fact.note)


def _headed(topic: Topic) -> str:
    if topic is Topic.WORKSHOP:
        return "What changes for the technician"
    return f"{topic}".capitalize()
