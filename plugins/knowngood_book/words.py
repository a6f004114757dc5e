"""The whole book in words and cells, in the units of the screen; no Qt."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from knowngood import formatting
from knowngood.formatting import MISSING
from knowngood_refdata.expected.calibration import LeftOut
from knowngood_refdata.expected.forecasts import Basis, Side, What
from knowngood_refdata.expected.suspects import MODELLED
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import CompressorKind, Quantity

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from knowngood.formatting import System
    from knowngood_book.gather import Calibrated
    from knowngood_refdata.expected.apart import Apart, Split
    from knowngood_refdata.expected.calibration import Tally
    from knowngood_refdata.expected.patterns import FamilyPattern, Group
    from knowngood_refdata.expected.spans import Span
    from knowngood_refdata.expected.suspects import Suspect
    from knowngood_refdata.records import Estimate

NO_READINGS = (
    "The book holds no known-good reading yet. Record a session on a healthy car that was charged by weight, "
    "and offer its steady windows to the book on the check-up page."
)
HELD_BETWEEN = 0.86, 0.94
"""A share of 90 % ranges that is called as it should be."""
SHORT = {
    Quantity.EVAPORATING: "evaporating (low side)",
    Quantity.CONDENSING_ABOVE_AMBIENT: "condensing above ambient (high side)",
    Side.LOW: "low side a doubling of engine speed",
    Side.HIGH: "high side a doubling of engine speed",
}
BRIEF = {
    CompressorKind.FIXED.value: "fixed",
    CompressorKind.INTERNAL_VARIABLE.value: "variable, internal",
    CompressorKind.EXTERNAL_VARIABLE.value: "variable, external",
    CompressorKind.ELECTRIC.value: "electric",
}
_DIFFERENCES = (Quantity.CONDENSING_ABOVE_AMBIENT, Quantity.SUPERHEAT, Quantity.SUBCOOLING)
_ANSWERS = (Side.LOW, Side.HIGH)
_SURE = 99.0
_SPANNED = (
    Quantity.SUBCOOLING,
    Quantity.SUPERHEAT,
    Quantity.CONDENSING_ABOVE_AMBIENT,
    Quantity.EVAPORATING,
)


def calibration_heads() -> list[str]:
    """Heads of the table of coverage."""
    return ["90 % ranges of", *(str(one) for one in LeftOut), "without a range"]


def calibration_rows(found: Calibrated) -> list[list[str]]:
    """A row a quantity: how many of the readings left out were held."""
    rows = [_tallied(SHORT.get(what, str(what)), found, what) for what in MODELLED]
    return [_tallied("all together", found, None), *rows]


def basis_rows(found: Calibrated) -> list[list[str]]:
    """A row a level: what the ranges stood on."""
    rows = []
    for basis in Basis:
        tallied = found.calibration.tally(basis=basis)
        if tallied.of:
            rows.append([str(basis), held_text(tallied), percent(tallied.inner_held, tallied.of)])
    return rows


def held_text(tallied: Tally) -> str:
    """How many were held: ``412 of 455 (91 %)``."""
    if not tallied.of:
        return MISSING
    return f"{tallied.held} of {tallied.of} ({percent(tallied.held, tallied.of)})"


def percent(part: int, whole: int) -> str:
    """A share in whole percent."""
    return f"{100.0 * part / whole:.0f} %" if whole else MISSING


def headline(found: Calibrated) -> str:
    """One sentence on how well the ranges hold, and where they fail."""
    every = found.calibration.tally()
    if not every.of:
        return "Too few cars for a test: nothing could be left out and still be told from the rest."
    low, high = HELD_BETWEEN
    judged = "as they should"
    if every.share < low:
        judged = "too few: the ranges are too narrow"
    elif every.share > high:
        judged = "more than they should: the ranges are wider than need be"
    share = percent(every.held, every.of)
    said = f"90 % ranges held {every.held} of {every.of} readings left out ({share}), {judged}."
    if found.failures:
        said += f" They fail in {len(found.failures)} groups, named below."
    return said


def failure_lines(found: Calibrated) -> list[str]:
    """Where the ranges fail, a sentence each."""
    return [f"{one.sentence} ({one.left_out})." for one in found.failures]


def family_heads(system: System) -> list[str]:
    """Heads of the table of families."""
    difference = formatting.label(Kind.TEMPERATURE_DIFFERENCE, system)
    temperature = formatting.label(Kind.TEMPERATURE, system)
    return [
        "Family",
        "Readings\n(cars)",
        f"Subcooling\n{difference}",
        f"Superheat\n{difference}",
        f"Condensing\nabove, {difference}",
        f"Evaporating\n{temperature}",
        "With engine speed",
    ]


def family_rows(families: Sequence[FamilyPattern], system: System) -> list[list[str]]:
    """A row a family: its levels at the middle of the book's conditions, and its rule."""
    return [
        [
            f"{one.name}, {BRIEF.get(one.compressor, 'compressor not on record')}",
            f"{one.readings} ({one.cars})",
            *(_level(one.levels.get(what), what, system) for what in _SPANNED),
            _rule(one),
        ]
        for one in families
    ]


def span_lines(families: Sequence[FamilyPattern], system: System) -> list[str]:
    """What holds most configurations of a family, a line a family with enough of them."""
    lines = []
    for one in families:
        told = [
            f"{SHORT.get(what, str(what)).split(' (')[0]} {_span(one.spans[what], what, system)}"
            for what in _SPANNED
            if what in one.spans
        ]
        if told:
            count = max(span.configurations for span in one.spans.values())
            lines.append(f"{one.name}: {', '.join(told)}; from {count} configurations.")
    return lines


def group_lines(groups: Sequence[Group]) -> list[str]:
    """Families that behave alike, a line a group of several."""
    lines = []
    for one in groups:
        if len(one.families) > 1:
            marks = f": {', '.join(one.marks)}" if one.marks else ""
            lines.append(f"{', '.join(one.families)} behave alike{marks}.")
    return lines


def apart_lines(
    apart: Sequence[Apart], splits: Sequence[Split], names: dict[int, str], system: System
) -> list[str]:
    """Cars that stand apart from their family, and families that fall into two heaps."""
    return [
        *(_apart_line(one, system) for one in apart),
        *(_split_line(one, names, system) for one in splits),
    ]


def suspect_lines(found: Sequence[Suspect], system: System) -> list[str]:
    """A line a suspect: where, what is off and how far, how likely a mistake, and the likeliest reason."""
    together: dict[tuple[str, str], list[Suspect]] = {}
    for one in found:
        together.setdefault((one.name, one.reason), []).append(one)
    return [_suspect_line(of, system) for of in together.values()]


def _suspect_line(of: Sequence[Suspect], system: System) -> str:
    off = ", ".join(
        f"{SHORT.get(one.what, str(one.what))} {off_text(one.off, one.what, system)}" for one in of
    )
    likely = 100.0 * max(one.probability for one in of)
    share = "over 99 %" if likely > _SURE else f"{likely:.0f} %"
    name = f"{of[0].name[:1].upper()}{of[0].name[1:]}"
    return f"{name}: {off} off; a mistake with {share}: {of[0].reason}."


def off_text(off: float, what: What, system: System) -> str:
    """How far something is off, in the units of the screen; answers in percent a doubling."""
    if what in _ANSWERS:
        return f"{100.0 * math.expm1(off):+.0f} %"
    return formatting.text(off, Kind.TEMPERATURE_DIFFERENCE, system)


def _tallied(name: str, found: Calibrated, what: What | None) -> list[str]:
    unknown = found.calibration.tally(what=what).unknown
    return [name, *(held_text(found.calibration.tally(one, what)) for one in LeftOut), str(unknown)]


def _level(level: Estimate | None, what: Quantity, system: System) -> str:
    if level is None:
        return MISSING
    kind = Kind.TEMPERATURE_DIFFERENCE if what in _DIFFERENCES else Kind.TEMPERATURE
    return formatting.text(level.value, kind, system).removesuffix(formatting.label(kind, system)).strip()


def _span(span: Span, what: Quantity, system: System) -> str:
    kind = Kind.TEMPERATURE_DIFFERENCE if what in _DIFFERENCES else Kind.TEMPERATURE
    low, high = (formatting.text(end, kind, system) for end in (span.low, span.high))
    return f"{low.removesuffix(formatting.label(kind, system)).strip()} to {high}"


def _rule(one: FamilyPattern) -> str:
    return MISSING if one.plane is None else _brief(one.plane.rule)


def _brief(rule: str) -> str:
    """A rule in four words: ``low falls, high level``."""
    words = rule.removeprefix("with engine speed the ").replace(" and the ", ", ")
    return words.replace(" side", "").replace("stays level", "level")


def _apart_line(one: Apart, system: System) -> str:
    like = f" ({one.like})" if one.like else ""
    return (
        f"{one.name}, {one.what}: {off_text(one.off, one.what, system)} from {one.family}; {one.why}{like}."
    )


def _split_line(one: Split, names: dict[int, str], system: System) -> str:
    apart = formatting.text(one.apart, Kind.TEMPERATURE_DIFFERENCE, system)
    return (
        f"{one.family}, {one.what}: two heaps {apart} apart, a split that nobody recorded. "
        f"Lower: {_named(one.lower, names)}. Higher: {_named(one.upper, names)}."
    )


def _named(numbers: Sequence[int], names: dict[int, str]) -> str:
    return "; ".join(_names(numbers, names))


def _names(numbers: Sequence[int], names: dict[int, str]) -> Iterator[str]:
    return (names.get(one, f"vehicle {one}") for one in numbers)
