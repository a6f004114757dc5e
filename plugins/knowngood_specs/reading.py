"""Reads printed amounts; the unit is always in the text, so no unit system decides it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.formatting import System, parse_with_tolerance

if TYPE_CHECKING:
    from knowngood_refdata.quantities import Kind


def read_quantity(text: str, kind: Kind) -> tuple[float, float | None]:
    """Value and tolerance of a text in SI, a pressure absolute.

    Raises
    ------
    ParseError
        When the text is no such value.
    """
    return parse_with_tolerance(text, kind, System.SI)
