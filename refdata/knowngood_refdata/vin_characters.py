"""The characters of a vehicle identification number and its check digit.

Source: 49 CFR 565.15(c), Tables III (values) and IV (weights).
"""

from __future__ import annotations

from dataclasses import dataclass

LENGTH = 17
ALPHABET = "ABCDEFGHJKLMNPRSTUVWXYZ0123456789"
"""Every character a VIN may hold: no I, O or Q."""

CHECK_POSITION = 9
WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
_REMAINDERS = "0123456789X"

VALUES = {
    **{digit: int(digit) for digit in "0123456789"},
    **dict(zip("ABCDEFGH", range(1, 9), strict=True)),
    **dict(zip("JKLMN", range(1, 6), strict=True)),
    "P": 7,
    "R": 9,
    **dict(zip("STUVWXYZ", range(2, 10), strict=True)),
}
"""What each character counts in the check digit."""


@dataclass(frozen=True, slots=True)
class CheckDigit:
    """The check digit of a whole VIN: what stands in position 9, and what the other characters give."""

    found: str
    computed: str
    weighted_sum: int

    @property
    def agrees(self) -> bool:
        """Whether position 9 holds the computed character."""
        return self.found == self.computed


def products(vin: str) -> tuple[int, ...]:
    """Value times weight at each of the 17 positions.

    The worked value is the sample VIN of 49 CFR 565, Table V.

    >>> products("1G4AH59H45G118341")
    (8, 49, 24, 5, 32, 15, 18, 80, 0, 45, 56, 7, 6, 40, 12, 12, 2)
    """
    return tuple(VALUES[character] * weight for character, weight in zip(vin, WEIGHTS, strict=True))


def check_digit(vin: str) -> CheckDigit:
    """The check digit of 17 allowed characters: the weighted sum modulo 11, with X for 10.

    Raises
    ------
    ValueError
        When there are not 17 characters.
    KeyError
        When one of them is not in the alphabet.

    >>> check_digit("1G4AH59H45G118341")
    CheckDigit(found='4', computed='4', weighted_sum=411)
    """
    total = sum(products(vin))
    return CheckDigit(vin[CHECK_POSITION - 1], _REMAINDERS[total % 11], total)
