"""Samples as compressed bytes: exact, small, and fast both ways.

Loggers print few decimals. Whenever every sample is an integer count of 10^-d, the counts go into 32 bits,
their bytes are sorted by significance and compressed; otherwise the doubles themselves are. Either way the
samples come back to the last bit, missing ones as NaN. Each chunk carries a checksum.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import zstandard

if TYPE_CHECKING:
    from collections.abc import Iterator
    from typing import Any

    from numpy.typing import NDArray

CHUNK = 65_536
MOST_DECIMALS = 6
_LEVEL = 3
_MISSING = np.iinfo(np.int32).min
_LARGEST = float(np.iinfo(np.int32).max)
DOUBLES = -1
"""Stands for the number of decimals where counts cannot hold the samples."""


@dataclass(frozen=True, slots=True)
class Packed:
    """One channel as chunks of bytes; ``decimals`` is `DOUBLES` or the decimals of the counts."""

    decimals: int
    chunks: tuple[bytes, ...]


def pack(values: NDArray[np.float64]) -> Packed:
    """Compress samples, shape (n,)."""
    decimals = _decimals(values)
    squeeze = zstandard.ZstdCompressor(level=_LEVEL, write_checksum=True)
    chunks = (_encode(part, decimals) for part in _parts(values))
    return Packed(decimals, tuple(squeeze.compress(chunk) for chunk in chunks))


def unpack(packed: Packed) -> NDArray[np.float64]:
    """The samples again, shape (n,).

    Raises
    ------
    zstandard.ZstdError, ValueError
        When a chunk is damaged.
    """
    expand = zstandard.ZstdDecompressor()
    width = 8 if packed.decimals == DOUBLES else 4
    ends = np.cumsum([0, *(zstandard.frame_content_size(chunk) // width for chunk in packed.chunks)])
    # Each chunk goes to its place at once: parts put together afterwards would take the memory twice.
    values = np.empty(int(ends[-1]))
    for chunk, start, end in zip(packed.chunks, ends[:-1], ends[1:], strict=True):
        _decode(expand.decompress(chunk), packed.decimals, values[start:end])
    return values


def _parts(values: NDArray[np.float64]) -> Iterator[NDArray[np.float64]]:
    for start in range(0, len(values), CHUNK):
        yield values[start : start + CHUNK]


def _decimals(values: NDArray[np.float64]) -> int:
    """The least number of decimals that returns every sample exactly, or `DOUBLES`."""
    if np.isinf(values).any() or bool((np.signbit(values) & (values == 0.0)).any()):
        return DOUBLES
    candidates = [part[::97] for part in _parts(values)]
    sample = np.concatenate(candidates) if candidates else values
    for decimals in range(MOST_DECIMALS + 1):
        if _exact(sample, decimals) and _exact(values, decimals):
            return decimals
    return DOUBLES


def _exact(values: NDArray[np.float64], decimals: int) -> bool:
    scale = 10.0**decimals
    for part in _parts(values):
        with np.errstate(over="ignore"):
            counts = np.rint(part * scale)
        fits = (counts / scale == part) & (np.abs(counts) <= _LARGEST)
        if not (fits | np.isnan(part)).all():
            return False
    return True


def _encode(values: NDArray[np.float64], decimals: int) -> bytes:
    if decimals == DOUBLES:
        return _shuffled(values.astype("<f8"))
    counts = np.rint(values * 10.0**decimals)
    missing = np.isnan(counts)
    counts[missing] = _MISSING
    return _shuffled(counts.astype("<i4"))


def _decode(data: bytes, decimals: int, into: NDArray[np.float64]) -> None:
    if decimals == DOUBLES:
        into[:] = _unshuffled(data, 8).view(np.float64)
        return
    counts = _unshuffled(data, 4).view(np.int32)
    np.divide(counts, 10.0**decimals, out=into)
    into[counts == _MISSING] = np.nan


def _shuffled(values: NDArray[np.float64] | NDArray[np.int32]) -> bytes:
    """Bytes sorted by significance: neighbours of a slow signal then look alike."""
    return values.view(np.uint8).reshape(-1, values.itemsize).T.tobytes()


def _unshuffled(data: bytes, width: int) -> NDArray[np.unsignedinteger[Any]]:
    """The samples' bits; shifting rows into place is four times faster than turning the table of bytes."""
    lowest, *others = np.frombuffer(data, np.uint8).reshape(width, -1)
    bits = np.zeros(lowest.size, f"u{width}")
    for row in reversed(others):
        bits |= row
        bits <<= 8
    bits |= lowest
    return bits
