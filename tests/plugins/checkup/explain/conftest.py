"""Sessions against the book, written as differences in kelvins."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

import pytest

from knowngood_checkup.core.explain.evidence import CarKind, Deviation, Observed, Signal, WindowDeviations
from knowngood_refdata.records import CompressorKind

if TYPE_CHECKING:
    from collections.abc import Mapping

OFF = (0.0, 0.0, 0.0, 0.0, 0.0)


class Make(Protocol):
    """Makes a session; the deviations stand in the order low, high, superheat, subcooling, vent."""

    def __call__(
        self,
        idle: tuple[float, ...] | None,
        raised: tuple[float, ...] | None = None,
        compressor: CompressorKind | None = CompressorKind.INTERNAL_VARIABLE,
        full_stroke: tuple[float, float] = (0.45, 0.15),
        spread_k: float = 1.2,
        answers: Mapping[str, str] | None = None,
    ) -> Observed: ...


@pytest.fixture
def session() -> Make:
    def make(
        idle: tuple[float, ...] | None,
        raised: tuple[float, ...] | None = None,
        compressor: CompressorKind | None = CompressorKind.INTERNAL_VARIABLE,
        full_stroke: tuple[float, float] = (0.45, 0.15),
        spread_k: float = 1.2,
        answers: Mapping[str, str] | None = None,
    ) -> Observed:
        made = [("idle", 0.0, full_stroke[0], idle), ("2000 rpm", 1.3, full_stroke[1], raised)]
        windows = tuple(
            WindowDeviations(
                label,
                octaves,
                full,
                {signal: Deviation(value, spread_k) for signal, value in zip(Signal, values, strict=True)},
            )
            for label, octaves, full, values in made
            if values is not None
        )
        return Observed(CarKind(compressor), windows, answers or {})

    return make
