"""What is known of how faults show: a pattern of each and the lumped cycle, neither of which is sure."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from knowngood_checkup.core.explain.cyclic import ALTERED
from knowngood_checkup.core.explain.signatures import SIGNATURES
from knowngood_checkup.core.explain.ways import COUNT

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from knowngood_checkup.core.explain.evidence import Load
    from knowngood_checkup.core.explain.signatures import Signature

BY_CYCLE = 0.5
"""How far the cycle is believed before a library has cases: as far as the patterns."""


@dataclass(frozen=True, slots=True)
class Known:
    """Patterns by load and fault, and how probable each way of the cycle is.

    The ``ways`` of a fault, (ways,), add up to the share of the cycle; the rest is that of the pattern. They
    are even where a fault has none here. What a plugin brings has a pattern alone.
    """

    signatures: Mapping[Load, Mapping[str, Signature]] = field(default_factory=lambda: SIGNATURES)
    ways: Mapping[str, NDArray[np.float64]] = field(default_factory=dict)

    def ways_of(self, fault: str) -> NDArray[np.float64]:
        """How probable each way of the cycle is, (ways,); empty where the cycle does not know the fault."""
        if fault not in ALTERED:
            return np.zeros(0)
        return self.ways.get(fault, np.full(COUNT, BY_CYCLE / COUNT))


KNOWN = Known()
