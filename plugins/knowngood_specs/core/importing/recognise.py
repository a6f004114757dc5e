"""From the words of a header to what its column may be."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

from knowngood_refdata.quantities import Kind, UnknownUnit, unit
from knowngood_specs.core import fields as known
from knowngood_specs.core.importing import vocabulary
from knowngood_specs.core.importing.targets import PARTS_OF_A_SOURCE, PARTS_OF_A_VALUE, Meaning, Target

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from knowngood_specs.core.fields import Field

EXACT, WITHIN = 0.95, 0.7
_SHORTEST_WITHIN = 3
_LONGEST_HEADER = 120
_BRACKETS = re.compile(r"[\[(]([^\])]*)[\])]")
_BESIDE = re.compile(r"(?<=[a-z])(?=[A-Z][a-z])")
_PLUS_MINUS = re.compile(r"±|\+\s*/?\s*-")
_OUT = re.compile(r"[^a-z0-9]+")
_JOINING = frozenset({"in", "of", "the", "each", "total"})
_UNITS = {
    name: symbol
    for symbol, names in {
        "g": "g gr gram grams gramm",
        "kg": "kg",
        "oz": "oz ounces",
        "lb": "lb lbs pounds",
        "mL": "ml",
        "cm³": "cc ccm cm3",
        "L": "l",
        "mm": "mm",
        "kPa": "kpa",
        "bar": "bar",
        "psi": "psi",
    }.items()
    for name in names.split()
}


@dataclass(frozen=True, slots=True)
class Recognised:
    """What a header is taken for, from 0 to 1 how surely, and the words that say so."""

    meaning: Meaning
    confidence: float
    phrase: str


class Words:
    """The phrases that are known, the shop's own fields among them.

    Parameters
    ----------
    fields
        The spec fields of the library.
    """

    def __init__(self, fields: Sequence[Field] = known.FIELDS) -> None:
        self.fields = tuple(fields)
        self._recognised = lru_cache(maxsize=4_000)(self._recognise)

    def recognise(self, header: str) -> Recognised | None:
        """What a header is taken for, None when no word of it is known.

        >>> found = Words().recognise("Füllmenge [g]")
        >>> found.meaning.words if found else None
        'charge: value as printed, in g'
        """
        return self._recognised(header)

    def field(self, name: str) -> Field:
        """The field of a name, a text when the library does not know it."""
        return next((one for one in self.fields if one.name == name), known.field_named(name))

    def field_called(self, text: str) -> str:
        """The name of the field that a cell names, itself in lower case when none is known."""
        name = " ".join(text.split())
        if any(one.name == name for one in self.fields):
            return name
        found = self._phrases.get(plain(text))
        return found.of if found and found.target is Target.PRINTED and found.of else name.casefold()

    @cached_property
    def _phrases(self) -> dict[str, Meaning]:
        phrases = dict(vocabulary.phrases())
        for field in self.fields:
            for called in (field.name, field.title):
                phrases.setdefault(plain(called), Meaning(Target.PRINTED, field.name))
        return phrases

    def _recognise(self, header: str) -> Recognised | None:
        if not header.strip() or len(header) > _LONGEST_HEADER:
            return None
        words, measured_in = _without_unit(header)
        if not words:
            return None
        if named := self._named(header):
            return named
        found = self._whole(words) or self._attribute(words) or self._part(words)
        if found is None:
            return None
        return Recognised(self._with_unit(found.meaning, measured_in), found.confidence, found.phrase)

    def _named(self, header: str) -> Recognised | None:
        """A header that names a field and, behind a colon, a part of its value."""
        name, colon, part = header.rpartition(":")
        if not colon or not name.strip():
            return None
        words, _, measured_in = " ".join(part.split()).partition(" in ")
        words = plain(words)
        attribute = next(
            (one for one in PARTS_OF_A_SOURCE | PARTS_OF_A_VALUE if words in (plain(one), _SHORT.get(one))),
            None,
        )
        if attribute is None:
            return None
        return Recognised(Meaning(attribute, self.field_called(name), measured_in), 1.0, header.strip())

    def _whole(self, words: tuple[str, ...]) -> Recognised | None:
        for phrase in (" ".join(words), " ".join(word for word in words if word not in _JOINING)):
            if found := self._phrases.get(phrase):
                return Recognised(found, EXACT, phrase)
        return None

    def _attribute(self, words: tuple[str, ...]) -> Recognised | None:
        """A tolerance, unit or source of one field: ``charge tolerance``, ``oil source``."""
        for cut in range(1, len(words)):
            for one, other in ((words[:cut], words[cut:]), (words[cut:], words[:cut])):
                field, part = self._phrases.get(" ".join(one)), self._phrases.get(" ".join(other))
                measured = field is not None and field.target is Target.PRINTED and field.of
                if field and measured and part and not part.of and part.target in _ATTRIBUTES:
                    return Recognised(Meaning(part.target, field.of), EXACT, " ".join(words))
        return None

    def _part(self, words: tuple[str, ...]) -> Recognised | None:
        """The longest phrase that is contained; short ones (``to``, ``de``) say nothing within others."""
        for phrase in _runs(words):
            found = self._phrases.get(phrase)
            if (
                found
                and len(phrase) >= _SHORTEST_WITHIN
                and found.target not in (Target.NUMBER, Target.FIELD)
            ):
                return Recognised(found, WITHIN, phrase)
        return None

    def _with_unit(self, meaning: Meaning, measured_in: str) -> Meaning:
        if not measured_in or meaning.target not in PARTS_OF_A_VALUE:
            return meaning
        kind = self.field(meaning.of).kind if meaning.of else None
        fits = kind is None or _is_of(measured_in, kind)
        return Meaning(meaning.target, meaning.of, measured_in if fits else "")


_ATTRIBUTES = PARTS_OF_A_SOURCE | PARTS_OF_A_VALUE - {Target.PRINTED}
_SHORT = {
    Target.PRINTED: "as printed",
    Target.NUMBER: "number",
    Target.TOLERANCE: "tolerance",
    Target.UNIT: "unit",
    Target.SOURCE_KIND: "source kind",
}
"""How the parts of a value are called behind a field's name."""


def plain(text: str) -> str:
    """Text in lower case without accents, signs and the seams of compound words.

    >>> plain("Année modèle"), plain("chargeWeight_g"), plain("+/-")
    ('annee modele', 'charge weight g', 'tolerance')
    """
    apart = _BESIDE.sub(" ", _PLUS_MINUS.sub(" tolerance ", text).replace("ß", "ss"))
    bare = "".join(
        letter for letter in unicodedata.normalize("NFKD", apart) if not unicodedata.combining(letter)
    )
    return _OUT.sub(" ", bare.casefold()).strip()


def _without_unit(header: str) -> tuple[tuple[str, ...], str]:
    """The words of a header and the unit that it names, in brackets or at the end."""
    measured_in = ""
    for brackets in _BRACKETS.finditer(header):
        if (name := _UNITS.get(plain(brackets[1]).replace(" ", ""))) is not None:
            measured_in = measured_in or name
            header = header.replace(brackets[0], " ")
    words = plain(header).split()
    if len(words) > 1 and (name := _UNITS.get(words[-1])) is not None:
        measured_in, words = measured_in or name, words[:-1]
        if words[-1:] == ["in"]:
            words = words[:-1]
    return tuple(words), measured_in


def _runs(words: tuple[str, ...]) -> Iterator[str]:
    for length in range(len(words), 0, -1):
        for start in range(len(words) - length + 1):
            yield " ".join(words[start : start + length])


def _is_of(name: str, kind: Kind) -> bool:
    try:
        unit(name, kind)
    except UnknownUnit:
        # Ounces of oil are fluid ounces.
        return kind is Kind.VOLUME and name == "oz"
    return True


def recognised_count(cells: Iterable[str], words: Words) -> int:
    """How many different things the cells of a row name, as a header does."""
    found = {one.meaning for cell in cells if (one := words.recognise(cell)) is not None}
    return len(found)
