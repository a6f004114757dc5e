"""The two refrigerants that are compared."""

from __future__ import annotations

FIRST, SECOND = "R-134a", "R-1234yf"
BOTH = (FIRST, SECOND)
