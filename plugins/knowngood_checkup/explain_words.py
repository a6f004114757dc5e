"""Explanations, their evidence and the next measurements in words, in the units of the screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood import formatting
from knowngood_checkup.core.explain.faults import Fault
from knowngood_checkup.core.explained import SHOWN, Standing
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from collections.abc import Iterator

    from knowngood.formatting import System
    from knowngood_checkup.core.explain.arguments import Argument
    from knowngood_checkup.core.explain.inference import Weighed
    from knowngood_checkup.core.explain.masked import LoadThatCan
    from knowngood_checkup.core.explain.measurements import Next
    from knowngood_checkup.core.explained import Explained

SLIGHT, LARGE, GROSS = 0.6, 1.5, 2.5
STRONG, FAIR = 3.0, 1.2


def explanation_lines(explained: Explained) -> Iterator[str]:
    """The ranking for a terminal: explanations, what stays hidden, what to measure next."""
    if explained.standing is Standing.NOTHING:
        return
    yield ""
    yield "Explanations"
    for one in explained.weighed:
        if one.probability >= SHOWN:
            yield f"  {percent(one.probability):>6}  {one.fault}{size_words(one, lead=', ')}"
    masked = hidden_words(explained)
    if masked:
        yield from (f"  {line}" for line in masked)
    if explained.next:
        yield f"Next: {explained.next[0].measurement.what}"
    yield ""


def percent(probability: float) -> str:
    """A probability as a person reads it: never 0 or 100.

    >>> percent(0.731), percent(0.9996), percent(0.002)
    ('73 %', '> 99 %', '< 1 %')
    """
    if probability > 0.99:
        return "> 99 %"
    if probability < 0.01:
        return "< 1 %"
    return f"{100.0 * probability:.0f} %"


def size_words(one: Weighed, lead: str = "") -> str:
    """How large a fault is, beside the size that is common; empty where it has none."""
    if one.size is None:
        return ""
    if one.size < SLIGHT:
        told = "slight"
    elif one.size < LARGE:
        told = "of common size"
    else:
        told = "large" if one.size < GROSS else "gross"
    return f"{lead}{told}"


def argument_words(one: Argument, system: System) -> str:
    """One value as evidence, beside what it should be under the explanation."""
    seen = _off(one.value_k, system)
    if one.expected_k == 0.0:
        return f"{one.window}: {one.signal} {seen}"
    return f"{one.window}: {one.signal} {seen}; with this, about {_off(one.expected_k, system)}"


def strength(one: Argument) -> str:
    """How much a value says, in a word."""
    size = abs(one.odds)
    return "strongly" if size >= STRONG else "clearly" if size >= FAIR else "a little"


def hidden_words(explained: Explained) -> tuple[str, ...]:
    """What this load cannot tell, and the load that can, a sentence each."""
    by_load: dict[LoadThatCan, list[str]] = {}
    for one in explained.hidden:
        by_load.setdefault(one.shows_at, []).append(str(one.fault))
    return tuple(
        f"This session cannot tell {_listed(names)}. What can: {load}." for load, names in by_load.items()
    )


def next_words(offer: Next) -> str:
    """Why a measurement is worth its effort."""
    parts = [str(one) for one in offer.parts if one is not Fault.NONE_OF_THESE]
    effort = offer.measurement.effort
    cost = "a few minutes" if effort <= 1.0 else "some time" if effort <= 2.0 else "the most effort"
    return f"Says most about {_listed(parts, 'and')}; takes {cost}."


def standing_words(explained: Explained | None) -> str:
    """How far the explanations have come apart, for the head of the list."""
    if explained is None or explained.standing is Standing.NOTHING:
        return (
            "Not enough is known: no steady window could be compared with known-good readings. "
            "Further measurements can still be answered here."
        )
    best = explained.weighed[0]
    if explained.standing is Standing.LIKELY:
        return f"{_capital(str(best.fault))} stands out ({percent(best.probability)})."
    if explained.standing is Standing.SEVERAL:
        return f"Not told apart yet: {_listed([str(one.fault) for one in explained.leading])}."
    return f"{_capital(explained.standing)} ({percent(best.probability)})."


def _off(value_k: float, system: System) -> str:
    text = formatting.text(abs(value_k), Kind.TEMPERATURE_DIFFERENCE, system)
    return f"{text} {'above' if value_k > 0.0 else 'below'} what is expected"


def _listed(names: list[str], last: str = "or") -> str:
    return ", ".join(names[:-1]) + f" {last} " + names[-1] if len(names) > 1 else "".join(names)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
