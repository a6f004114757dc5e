"""Temperatures as textbooks print them."""

from __future__ import annotations

from knowngood_refdata.quantities import ZERO_CELSIUS_K


def kelvin(celsius: float) -> float:
    return celsius + ZERO_CELSIUS_K
