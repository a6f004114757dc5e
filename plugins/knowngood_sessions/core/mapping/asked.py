"""A question about the columns of a log, and the answers that can be given."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from .assignment import Assignment


@dataclass(frozen=True, slots=True)
class Choice:
    """An answer, and what it makes of the columns concerned."""

    label: str
    changes: Mapping[str, Assignment]


@dataclass(frozen=True, slots=True)
class Question:
    """A question about a column that must be answered, with the plausible answers, the likeliest first."""

    column: str
    text: str
    choices: tuple[Choice, ...]
