"""What the heading of a printed column means: ``Ambient °F``, ``High side [psig]``, ``RH % (intake)``."""

from __future__ import annotations

import re
from dataclasses import dataclass

from knowngood_refdata.published.terms import Figure, Reference, Variable, kind_of
from knowngood_refdata.quantities import Kind, MeasuringUnit, UnknownUnit, unit

_NAMES: tuple[tuple[re.Pattern[str], Variable | Figure], ...] = tuple(
    (re.compile(pattern), what)
    for pattern, what in (
        (r"humid|\brh\b", Variable.HUMIDITY),
        (r"sub-?cool", Figure.SUBCOOLING),
        (r"super-?heat", Figure.SUPERHEAT),
        (r"liquid[ -]line", Variable.LIQUID_LINE),
        (r"\brest\b|static|standing", Figure.AT_REST),
        # Publications call the air at the vent discharge air, so it is looked for ahead of the high side.
        (r"vent|outlet|deliver|discharge air|duct", Figure.VENT),
        (r"\blow|suction", Figure.LOW_SIDE),
        (r"\bhigh|discharge", Figure.HIGH_SIDE),
        (r"ambient|outside|outdoor|condenser inlet", Variable.AMBIENT),
        (r"intake|inlet|cabin|return", Variable.INTAKE),
        (r"engine|\brpm\b", Variable.ENGINE_SPEED),
    )
)
_BRACKETED = re.compile(r"[(\[]([^)\]]*)[)\]]")
_TAIL = re.compile(r"(.*[\d.])\s*([^\d\s].*)")
_ENDINGS = (
    (Reference.ABSOLUTE, ("absolute", "abs.", "abs", "(a)", "a")),
    (Reference.GAUGE, ("gauge", "gage", "(g)", "g")),
)


@dataclass(frozen=True, slots=True)
class PrintedUnit:
    """A unit, and for a pressure what it counts from."""

    unit: MeasuringUnit
    reference: Reference = Reference.NOT_SAID


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading as printed, what it names, its unit if it has one, and what in it was not understood."""

    printed: str
    what: Variable | Figure
    unit: PrintedUnit | None
    left_over: str = ""


def read_heading(text: str) -> Heading | None:
    """What a heading means; None when it names nothing that a table goes by or gives.

    >>> heading = read_heading("High side [psig]")
    >>> heading.what, heading.unit.unit.symbol, heading.unit.reference
    (<Figure.HIGH_SIDE: 'high side'>, 'psi', <Reference.GAUGE: 'gauge'>)
    """
    bare = _BRACKETED.sub(" ", text)
    what = _named(bare) or _named(text)
    if what is None:
        return None
    brackets = [found.strip() for found in _BRACKETED.findall(text)]
    words = re.split(r"[\s,]+", bare.strip())
    candidates = [*brackets, " ".join(words[-2:]), words[-1], "%" if "%" in text else ""]
    units = ((candidate, printed_unit(candidate, kind_of(what))) for candidate in candidates)
    name, found = next((pair for pair in units if pair[1] is not None), ("", None))
    left_over = [one for one in brackets if one != name and re.search(r"\d", one)]
    return Heading(text.strip(), what, found, "; ".join(left_over))


def printed_unit(text: str, kind: Kind) -> PrintedUnit | None:
    """The unit of a kind that a text names, a pressure with or without gauge or absolute; None else."""
    name = text.strip().casefold()
    try:
        return PrintedUnit(unit(name, kind))
    except UnknownUnit:
        if kind is not Kind.PRESSURE:
            return None
    for reference, endings in _ENDINGS:
        for ending in endings:
            try:
                return PrintedUnit(unit(name.removesuffix(ending), kind), reference)
            except UnknownUnit:
                continue
    return None


def split_unit(text: str, kind: Kind) -> tuple[str, PrintedUnit | None]:
    """A cell's number and the unit printed behind it, None when there is none.

    >>> split_unit("120-190 psi", Kind.PRESSURE)[0]
    '120-190'
    """
    match = _TAIL.fullmatch(text.strip())
    found = printed_unit(match[2], kind) if match else None
    return (match[1].strip(), found) if match and found else (text.strip(), None)


def _named(text: str) -> Variable | Figure | None:
    folded = text.casefold()
    return next((what for pattern, what in _NAMES if pattern.search(folded)), None)
