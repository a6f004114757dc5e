"""The row that names the columns, wherever it stands."""

from __future__ import annotations

import re
from collections import Counter
from typing import TYPE_CHECKING

from knowngood_specs.core.importing.recognise import recognised_count

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_specs.core.importing.recognise import Words

HEAD_ROWS = 80
_DIGITS = re.compile(r"\d")
_ENOUGH = 2


def find_header(rows: Sequence[Sequence[str]], words: Words) -> int | None:
    """The index of the header among the first rows, None when no row names columns.

    The row that names most things counts, the earliest of equals; where no word is known, the first row
    that is as wide as the table and holds different words without digits.
    """
    counts = [recognised_count(row, words) if _is_words(row) else 0 for row in rows[:HEAD_ROWS]]
    best = max(counts, default=0)
    if best >= _ENOUGH:
        return counts.index(best)
    width = usual_width(rows)
    for index, row in enumerate(rows[:HEAD_ROWS]):
        if filled(row) >= max(width - 1, 2):
            return index if _is_words(row) and not any(map(_DIGITS.search, row)) else None
    return None


def usual_width(rows: Sequence[Sequence[str]]) -> int:
    """The number of cells that most rows have, the larger of equals; 1 when there are none."""
    widths = Counter(len(row) for row in rows if filled(row) > 1)
    return max(widths, key=lambda one: (widths[one], one), default=1)


def filled(row: Sequence[str]) -> int:
    """How many cells hold something."""
    return sum(1 for cell in row if cell.strip())


def named(header: Sequence[str]) -> tuple[str, ...]:
    """The names of the columns: one that is empty or occurs again is numbered.

    >>> named(["Model", "", "Model"])
    ('Model', 'column 2', 'Model (2)')
    """
    seen: Counter[str] = Counter()
    names = []
    for index, cell in enumerate(header):
        name = " ".join(cell.split()) or f"column {index + 1}"
        seen[name] += 1
        names.append(name if seen[name] == 1 else f"{name} ({seen[name]})")
    return tuple(names)


def _is_words(row: Sequence[str]) -> bool:
    held = [cell.strip() for cell in row if cell.strip()]
    numbers = sum(cell.replace(".", "").replace(",", "").isdigit() for cell in held)
    return len(held) >= _ENOUGH and numbers * 4 <= len(held)
