"""Cells that a spreadsheet would take for a formula, kept harmless in text files and restored from them.

A text that begins like a formula is written with an apostrophe before it, the mark for text in
spreadsheets. So that reading gives back what was written, a text that begins with apostrophes before such
a beginning gets one more; reading takes away one.
"""

from __future__ import annotations

import re

_LIKE_FORMULA = re.compile(
    r"[\s']*[=+\-@|%\N{FULLWIDTH EQUALS SIGN}\N{FULLWIDTH PLUS SIGN}\N{FULLWIDTH HYPHEN-MINUS}"
    r"\N{FULLWIDTH COMMERCIAL AT}\N{MINUS SIGN}]|'*[\t\r\n]"
)


def is_like_formula(text: str) -> bool:
    """Whether some spreadsheet might execute a cell, or would once it stripped blanks or apostrophes."""
    return _LIKE_FORMULA.match(text) is not None


def guarded(text: str) -> str:
    """The text as it is written to a text file.

    >>> [guarded(text) for text in ("=1+1", "'=1+1", "-5 %", "PAG 46")]
    ["'=1+1", "''=1+1", "'-5 %", 'PAG 46']
    """
    return f"'{text}" if is_like_formula(text) else text


def restored(text: str) -> str:
    """The text that `guarded` was given.

    >>> [restored(text) for text in ("'=1+1", "''=1+1", "'21 model")]
    ['=1+1', "'=1+1", "'21 model"]
    """
    return text[1:] if text.startswith("'") and is_like_formula(text[1:]) else text
