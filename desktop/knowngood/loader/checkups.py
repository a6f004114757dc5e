"""What plugins add to a check-up, checked before it counts: notes, explanations, measurements."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from knowngood.api import CheckNote, Load, NoteLevel, Pattern, Signal
from knowngood.loader import rules
from knowngood.loader.status import PluginMistake
from knowngood_refdata.explaining import HEALTHY, NONE_OF_THESE
from knowngood_refdata.records import CompressorKind

if TYPE_CHECKING:
    from collections.abc import Iterable

    from knowngood.api import Explanation, Measurement
    from knowngood.loader.status import PluginFailed

LONGEST_NOTE = 400
"""A note is a sentence or two; what is longer would push the outcome off the page."""
LARGEST_K = 60.0
"""A fault of common size moves no reading further than this."""
MOST_PRIOR = 0.2
"""An explanation that were more frequent than this would drown all others."""
ALWAYS_WEIGHED = dict.fromkeys((HEALTHY, NONE_OF_THESE), "the program itself")
"""Names that no plugin's explanation can have."""
_LEVELS = list(NoteLevel)


def notes_of(answer: object, plugin: str) -> tuple[CheckNote, ...]:
    """The answer of ``session_checks``, each note with the plugin that says it.

    Raises
    ------
    PluginMistake
        When a part of it is of a wrong type, empty, or far too long.
    """
    notes = rules.all_of(answer, CheckNote, "session_checks")
    for note in notes:
        rules.want(note.level, NoteLevel, "the level of its note on a session")
        rules.want(note.text, str, "the text of its note on a session")
        if not note.text.strip():
            raise PluginMistake("its note on a session says nothing")
        if len(note.text) > LONGEST_NOTE:
            raise PluginMistake(
                f"its note on a session is {len(note.text)} characters long, {LONGEST_NOTE} at most fit"
            )
    return tuple(replace(note, source=plugin) for note in notes)


def missing_checks(failure: PluginFailed) -> CheckNote:
    """What stands in the place of the notes of a plugin that failed."""
    return CheckNote(
        NoteLevel.CAUTION,
        f"The checks of the plugin '{failure.name}' are missing: it failed. See the Plugins page.",
        failure.name,
    )


def in_order(notes: Iterable[CheckNote]) -> tuple[CheckNote, ...]:
    """Cautions first, each level in the order in which the plugins were asked."""
    return tuple(sorted(notes, key=lambda note: -_LEVELS.index(note.level)))


def check_explanation(one: Explanation, owners: dict[str, str]) -> None:
    """Refuse an explanation that cannot be weighed.

    Raises
    ------
    PluginMistake
        For such an explanation; ``owners`` names who has each name.
    """
    name = _named("explanation", one.name, owners)
    _want_number(one.prior, f"{name}: the prior")
    if not 0.0 < one.prior <= MOST_PRIOR:
        raise PluginMistake(
            f"{name}: the prior is {one.prior:g}, it must lie above 0 and not above {MOST_PRIOR:g}"
        )
    rules.want(one.patterns, Mapping, f"{name}: the patterns")
    if Load.FULL_STROKE not in one.patterns:
        raise PluginMistake(f"{name}: the pattern at full stroke is missing")
    for load, pattern in one.patterns.items():
        rules.want(load, Load, f"{name}: a load of its patterns")
        _check_pattern(pattern, f"{name}, {load}")
    _check_compressors(one.compressors, name)


def check_measurement(one: Measurement, owners: dict[str, str]) -> None:
    """Refuse a measurement that cannot be offered or whose answers cannot be weighed.

    Raises
    ------
    PluginMistake
        For such a measurement; ``owners`` names who has each name.
    """
    name = _named("measurement", one.name, owners)
    rules.want(one.what, str, f"{name}: what to do")
    rules.want(one.answers, tuple, f"{name}: the answers")
    for answer in one.answers:
        rules.want(answer, str, f"{name}: an answer")
    if len(set(one.answers)) < max(2, len(one.answers)) or not all(one.strip() for one in one.answers):
        raise PluginMistake(f"{name}: it needs two answers or more, all different and none empty")
    rules.want(one.under, Mapping, f"{name}: the answers under explanations")
    for under, chances in (("as usual", one.usual), *one.under.items()):
        rules.want(under, str, f"{name}: the name of an explanation")
        _check_chances(chances, len(one.answers), f"{name}, {under}")
    _want_number(one.effort, f"{name}: the effort")
    if one.effort <= 0.0:
        raise PluginMistake(f"{name}: the effort is {one.effort:g}, it must lie above 0")
    _check_compressors(one.compressors, name)


def _named(what: str, name: object, owners: dict[str, str]) -> str:
    rules.want(name, str, f"the name of its {what}")
    told = f"its {what} {name!r}"
    if not str(name).strip():
        raise PluginMistake(f"{told}: it needs a name")
    if str(name) in owners:
        raise PluginMistake(f"{told}: the name is used by {owners[str(name)]} already")
    return told


def _check_pattern(pattern: object, name: str) -> None:
    if not isinstance(pattern, Pattern):
        raise PluginMistake(f"{name}: the pattern is a {type(pattern).__name__}, not a Pattern")
    for what, least, most in (
        ("at_idle", -LARGEST_K, LARGEST_K),
        ("per_octave", -LARGEST_K, LARGEST_K),
        ("growth", 0.0, 4.0),
        ("scatter", 0.05, LARGEST_K),
    ):
        given = getattr(pattern, what)
        rules.want(given, Mapping, f"{name}: {what}")
        for signal, value in given.items():
            rules.want(signal, Signal, f"{name}: a name in {what}")
            _want_within(value, least, most, f"{name}: {signal} in {what}")
    for what, least, most in (
        ("least_k", 0.05, LARGEST_K),
        ("share", 0.0, 5.0),
        ("tied", -0.99, 0.99),
        ("size_sigma", 0.05, 3.0),
        ("shape", 0.0, 3.0),
    ):
        _want_within(getattr(pattern, what), least, most, f"{name}: {what}")


def _check_chances(chances: object, count: int, name: str) -> None:
    if not isinstance(chances, tuple) or len(chances) != count:
        raise PluginMistake(f"{name}: it needs a tuple of {count} numbers, one for each answer")
    for one in chances:
        _want_within(one, 0.0, 1.0, f"{name}: how often an answer comes")
    if min(chances) <= 0.0 or not math.isclose(sum(chances), 1.0, abs_tol=1e-3):
        raise PluginMistake(f"{name}: how often each answer comes must add up to 1, and none be 0")


def _check_compressors(compressors: object, name: str) -> None:
    if not isinstance(compressors, frozenset):
        raise PluginMistake(f"{name}: the compressors are a {type(compressors).__name__}, not a frozenset")
    for one in compressors:
        rules.want(one, CompressorKind, f"{name}: a compressor")


def _want_number(value: object, what: str) -> None:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise PluginMistake(f"{what} is {value!r}, not a finite number")


def _want_within(value: float, least: float, most: float, what: str) -> None:
    _want_number(value, what)
    if not least <= value <= most:
        raise PluginMistake(f"{what} is {value:g}, it must lie within {least:g} and {most:g}")
