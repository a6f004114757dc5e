"""What the cells of a column say about it, whatever its header."""

from __future__ import annotations

import re
from itertools import islice
from typing import TYPE_CHECKING

from knowngood_refdata.records import CompressorKind, MeteringDevice, SourceKind
from knowngood_specs.core.form import FIRST_YEAR, LAST_YEAR
from knowngood_specs.core.importing.targets import Meaning, Target

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Sequence

LOOKED_AT = 300
ENOUGH = 0.6
_REFRIGERANT = re.compile(r"(?:r|hfc|hfo)?[\s-]*(?:134\s?a|1234\s?yf|744|12|152a|co2)", re.IGNORECASE)
_WEIGHT = re.compile(
    r"\d[\d.,]*(?:\s*(?:±|\+/?-)\s*[\d.,]+)?\s*(?:kg|g|gr|oz|lbs?)\.?(?:\s*(?:±|\+/?-).*)?", re.IGNORECASE
)
_VIN = re.compile(r"[A-HJ-NPR-Z0-9]{17}", re.IGNORECASE)
_YEAR_RANGE = re.compile(r"(\d{4})\s*[-\N{EN DASH}/+>].*|(?:19|20)\d{2}\s*(?:on|to|bis)\b.*", re.IGNORECASE)
_OIL = re.compile(r"\b(?:PAG|POE|PVE|ND\s?\d+|mineral)\b", re.IGNORECASE)
_UNIT = re.compile(r"(?:g|kg|oz|lbs?|ml|cc)\.?", re.IGNORECASE)
_FAN = re.compile(r"\b(?:stages?|stage fan|variable-?speed)\b", re.IGNORECASE)
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")

_WORDS: tuple[tuple[Meaning, str, Callable[[str], object]], ...] = (
    (Meaning(Target.VIN), "17 characters as in a VIN",
     lambda cell: _VIN.fullmatch(cell) and not cell.isdigit()),
    (Meaning(Target.YEARS), "model years", lambda cell: _is_year(cell) or _YEAR_RANGE.fullmatch(cell)),
    (Meaning(Target.PRINTED, "refrigerant"), "refrigerants", _REFRIGERANT.fullmatch),
    (Meaning(Target.PRINTED, "charge"), "weights with a unit", _WEIGHT.fullmatch),
    (Meaning(Target.PRINTED, "oil"), "kinds of oil", _OIL.search),
    (Meaning(Target.SOURCE_KIND), "kinds of source", lambda cell: cell.casefold() in set(SourceKind)),
    (Meaning(Target.PRINTED, "compressor"), "kinds of compressor",
     lambda cell: cell.casefold() in set(CompressorKind)),
    (Meaning(Target.PRINTED, "metering device"), "kinds of metering device",
     lambda cell: cell.casefold() in set(MeteringDevice)),
    (Meaning(Target.PRINTED, "fan"), "fan stages", _FAN.search),
    (Meaning(Target.UNIT), "units", _UNIT.fullmatch),
)  # fmt: skip


def told_by_cells(cells: Sequence[str]) -> tuple[Meaning, float, str] | None:
    """What most cells look like, the share of them, and the words for it; None when they tell nothing."""
    held = _held(cells)
    if not held:
        return None
    shares = [
        (sum(1 for cell in held if fits(cell)) / len(held), meaning, words) for meaning, words, fits in _WORDS
    ]
    share, meaning, words = max(shares, key=lambda one: one[0])
    return (meaning, share, words) if share >= ENOUGH else None


def told_by_names(cells: Sequence[str], makes: Collection[str], models: Collection[str]) -> Meaning | None:
    """Make or model, when most cells are ones that the library holds; names are in lower case."""
    held = [cell.casefold() for cell in _held(cells)]
    for meaning, names in ((Meaning(Target.MAKE), makes), (Meaning(Target.MODEL), models)):
        if held and sum(cell in names for cell in held) >= ENOUGH * len(held):
            return meaning
    return None


def likely_unit(cells: Sequence[str]) -> str:
    """The unit of weight that bare numbers of charges are in, empty when it cannot be told.

    Charges of cars are some hundreds of grams up to a few kilograms (common practice, no source): that
    tells grams from all else; ounces, pounds and kilograms overlap and are never told apart.
    """
    numbers = sorted(
        float(cell.strip().replace(",", ".")) for cell in cells[:LOOKED_AT] if _NUMBER.fullmatch(cell.strip())
    )
    if not numbers:
        return ""
    return "g" if 150.0 <= numbers[len(numbers) // 2] <= 5_000.0 else ""


def are_bare_numbers(cells: Sequence[str]) -> bool:
    """Whether most cells are numbers without a unit."""
    held = _held(cells)
    return bool(held) and sum(1 for cell in held if _NUMBER.fullmatch(cell)) >= ENOUGH * len(held)


def _held(cells: Sequence[str]) -> list[str]:
    """The first cells that hold something."""
    return list(islice((cell.strip() for cell in cells if cell.strip()), LOOKED_AT))


def _is_year(cell: str) -> bool:
    return len(cell) == 4 and cell.isdigit() and FIRST_YEAR <= int(cell) <= LAST_YEAR
