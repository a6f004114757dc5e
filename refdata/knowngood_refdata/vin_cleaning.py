"""From what somebody typed, pasted or scanned to the characters of a VIN; nothing is changed in silence."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from enum import StrEnum

from knowngood_refdata.vin_characters import ALPHABET, LENGTH

TAIL = 8
"""How many characters from the end are a part people quote; fewer tell nothing."""

_LONGEST_TEXT = 80
_UPPER = str.maketrans("abcdefghijklmnopqrstuvwxyz", "ABCDEFGHIJKLMNOPQRSTUVWXYZ")
_HEADING = re.compile(r"^\s*VIN(?:\s*[:#=]\s*|\s+)", re.ASCII | re.IGNORECASE)
_MISTAKEN = {"I": "1", "O": "0", "Q": "0"}
_DIGITS = frozenset("0123456789")


class Part(StrEnum):
    """How much of a VIN was given."""

    WHOLE = "whole"
    FRONT = "front"
    TAIL = "last eight"
    NOTHING = "nothing"


@dataclass(frozen=True, slots=True)
class Cleaned:
    """The characters read, what is wrong with them, and what was probably meant."""

    characters: str
    suggestion: str = ""
    problems: tuple[str, ...] = ()


def clean(text: str) -> Cleaned:
    """Drop spaces, dashes and the stars around a stamped VIN, and read small letters as capitals.

    A character that no VIN holds is named and left; where it is plain what was meant (the letters I, O
    and Q stand for 1 and 0) ``suggestion`` holds the mended VIN for the reader to accept.

    >>> clean("1g4ah59h4-5g118341").characters
    '1G4AH59H45G118341'
    >>> clean("1G4AH59H45G11834I").suggestion
    '1G4AH59H45G118341'
    """
    if len(text) > _LONGEST_TEXT:
        return Cleaned("", problems=(f"{len(text)} characters were given, a VIN has 17. Nothing was read.",))
    bare = "".join(character for character in _HEADING.sub("", text) if not _is_separator(character))
    characters = bare.translate(_UPPER)
    if not characters:
        return Cleaned("", problems=("No VIN was given. Type its 17 characters, or the last 8.",))
    problems = tuple(_forbidden(characters)) + tuple(_length(characters))
    return Cleaned(characters, _suggestion(characters) if problems else "", problems)


def part_of(characters: str) -> Part:
    """Which part of a VIN 8 to 17 allowed characters are.

    Eight that end in four digits are the last eight: positions 14 to 17 are digits, and among positions 5
    to 8 of a light North American vehicle one is a letter (49 CFR 565.25(b), 565.15(b)).

    >>> part_of("5G118341"), part_of("1G4AH59H")
    (<Part.TAIL: 'last eight'>, <Part.FRONT: 'front'>)
    """
    if len(characters) == LENGTH:
        return Part.WHOLE
    if len(characters) == TAIL and _DIGITS.issuperset(characters[-4:]):
        return Part.TAIL
    return Part.FRONT


def _is_separator(character: str) -> bool:
    return character == "*" or character.isspace() or unicodedata.category(character) in ("Pd", "Cf")


def _forbidden(characters: str) -> list[str]:
    places: dict[str, list[str]] = {}
    for place, character in enumerate(characters, start=1):
        if character not in ALPHABET:
            places.setdefault(character, []).append(str(place))
    return [
        f"A VIN holds no {_name(character)} (character {', '.join(where)}){_meant(character)}."
        for character, where in places.items()
    ]


def _name(character: str) -> str:
    """The character in words, so that markup and invisible characters can be shown anywhere."""
    if character in _MISTAKEN:
        return f"letter {character}"
    name = unicodedata.name(character, "")
    return f'"{name.lower()}"' if name else f"character U+{ord(character):04X}"


def _meant(character: str) -> str:
    return f"; {_MISTAKEN[character]} was probably meant" if character in _MISTAKEN else ""


def _length(characters: str) -> list[str]:
    if len(characters) > LENGTH:
        return [
            f"{len(characters)} characters were given, {len(characters) - LENGTH} too many: a VIN has 17."
        ]
    if len(characters) < TAIL:
        return [f"{len(characters)} characters are too few. Type all 17, or at least the last 8."]
    return []


def _suggestion(characters: str) -> str:
    # From memory: scanners put an I ahead of the VIN of imported vehicles.
    if len(characters) == LENGTH + 1 and characters[0] == "I":
        characters = characters[1:]
    mended = "".join(_plain(character) for character in characters)
    fits = TAIL <= len(mended) <= LENGTH and all(character in ALPHABET for character in mended)
    return mended if fits else ""


def _plain(character: str) -> str:
    digit = unicodedata.digit(character, None)
    if digit is not None:
        return str(digit)
    plain = unicodedata.normalize("NFKC", character).translate(_UPPER)
    return _MISTAKEN.get(plain, plain)
