"""Words with a bound in them that is written in the reader's units."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood_refdata.quantities import Kind


@dataclass(frozen=True, slots=True)
class Words:
    """A sentence in which ``{bound}`` stands for a value in SI, a pressure absolute.

    >>> from knowngood_refdata.quantities import Kind
    >>> Words("above {bound}", 374.2, Kind.TEMPERATURE).written(lambda value, kind: f"{value:.0f} K")
    'above 374 K'
    """

    text: str
    bound: float | None = None
    kind: Kind | None = None

    def written(self, write: Callable[[float, Kind], str]) -> str:
        """The sentence with the bound written by ``write``."""
        if self.bound is None or self.kind is None:
            return self.text
        return self.text.format(bound=write(self.bound, self.kind))
