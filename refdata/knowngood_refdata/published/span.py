"""A printed range, and how one is read: ``120-190``, ``1,204–1,471``, ``6 to 8``, ``> 16``, ``max 12``."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from knowngood_refdata.published.terms import BadTable
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from knowngood_refdata.quantities import MeasuringUnit

_NUMBER = r"([+-]?(?:\d[\d.,]*|[.,]\d+))"
_RANGE = re.compile(rf"{_NUMBER}\s*(?:-|~|to|through|\.{{2,3}})\s*{_NUMBER}")
_TOLERANCE = re.compile(rf"{_NUMBER}\s*(?:±|\+/-|\+-)\s*{_NUMBER}")
_SINGLE = re.compile(_NUMBER)
_AT_LEAST = re.compile(
    rf"(?:>=|≥|min\.?|minimum|at least|from)\s*{_NUMBER}|{_NUMBER}\s*(?:min\.?|minimum|and above|or more|\+)"
)
_AT_MOST = re.compile(
    rf"(?:<=|≤|max\.?|maximum|at most|up to)\s*{_NUMBER}|{_NUMBER}\s*(?:max\.?|maximum|and below|or less)"
)
_ABOVE = re.compile(rf"(?:>|above|over|more than)\s*{_NUMBER}")
_BELOW = re.compile(rf"(?:<|below|under|less than)\s*{_NUMBER}")
_VACUUM = re.compile(r"\s*vac(?:uum|\.)?$")
_DIGIT_GAP = re.compile(
    r"(?<=\d)[ \N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}\N{THIN SPACE}'](?=\d{3}(?!\d))"
)
_GROUPED = re.compile(r"[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?")
_GROUPED_BY_POINTS = re.compile(r"[1-9]\d{0,2}(?:\.\d{3})+(?:,\d+)?")
_BLANKS = frozenset({"", "-", "--", "n/a", "n.a."})
_SAME_SIGN = str.maketrans({
    "\N{EN DASH}": "-", "\N{EM DASH}": "-", "\N{FIGURE DASH}": "-", "\N{MINUS SIGN}": "-",
    "\N{NON-BREAKING HYPHEN}": "-", "\N{HORIZONTAL ELLIPSIS}": "...",
})  # fmt: skip


@dataclass(frozen=True, slots=True)
class Span:
    """A range as printed, and its edges in SI; an edge that is not printed is ``None``.

    Attributes
    ----------
    printed
        The text of the publication, without its unit.
    low, high
        The edges in SI; pressures count from where the publication's do. Equal for one printed number.
    strict
        Whether a one-sided span leaves its edge out, as ``> 16`` does and ``min 16`` does not.
    """

    printed: str
    low: float | None
    high: float | None
    strict: bool = False

    def __post_init__(self) -> None:
        edges = [edge for edge in (self.low, self.high) if edge is not None]
        if not edges:
            raise BadTable(f"'{self.printed}' gives neither a lower nor an upper value")
        if not all(map(math.isfinite, edges)):
            raise BadTable(f"'{self.printed}' is no finite number")
        if self.low is not None and self.high is not None and self.low > self.high:
            raise BadTable(f"the range '{self.printed}' runs downwards: enter the lower value first")
        if self.strict and len(edges) == 2:
            raise BadTable(f"'{self.printed}' has two edges and cannot leave one out")

    @property
    def is_point(self) -> bool:
        """Whether one number is printed."""
        return self.low is not None and self.low == self.high

    @property
    def is_closed(self) -> bool:
        """Whether both edges are printed."""
        return self.low is not None and self.high is not None

    @property
    def edges(self) -> tuple[float, ...]:
        """The edges that are printed, in SI."""
        return tuple(edge for edge in (self.low, self.high) if edge is not None)


def is_blank(text: str) -> bool:
    """Whether a cell was left empty in print.

    >>> is_blank(" – "), is_blank("0")
    (True, False)
    """
    return _plain(text) in _BLANKS


def read_span(text: str, unit: MeasuringUnit, *, decimal_comma: bool = False) -> Span:
    """The span that a printed text means in a unit.

    Parameters
    ----------
    decimal_comma
        Read ``1,204`` as a number near one; else its comma groups thousands. ``13,5`` and ``0,500`` can
        mean one thing only and are read as it.

    Raises
    ------
    BadTable
        When the text is no number or range.

    >>> from knowngood_refdata.quantities import unit
    >>> read_span("1,204-1,471", unit("kPa", Kind.PRESSURE))
    Span(printed='1,204-1,471', low=1204000.0, high=1471000.0, strict=False)
    """
    plain = _plain(text)
    if unit.kind is Kind.PRESSURE and _VACUUM.search(plain):
        low, high, strict = _edges(_VACUUM.sub("", plain), text, decimal_comma=decimal_comma)
        low, high = (None if high is None else -high), (None if low is None else -low)
    else:
        low, high, strict = _edges(plain, text, decimal_comma=decimal_comma)
    return Span(
        text.strip(),
        None if low is None else unit.to_si(low),
        None if high is None else unit.to_si(high),
        strict,
    )


def agrees(span: Span, unit: MeasuringUnit) -> bool:
    """Whether the edges of a span are what its printed text says, with the comma taken either way."""
    for decimal_comma in (False, True):
        read = read_span(span.printed, unit, decimal_comma=decimal_comma)
        if replace(read, low=span.low, high=span.high) == span and all(
            _close(one, other) for one, other in ((read.low, span.low), (read.high, span.high))
        ):
            return True
    return False


def comma_is_decimal(texts: list[str]) -> bool | None:
    """What the comma means in the numbers of one publication; None when it never shows.

    >>> comma_is_decimal(["13,5", "1,204"]), comma_is_decimal(["1,204.5"]), comma_is_decimal(["1,204"])
    (True, False, None)
    """
    numbers = [found for text in texts for found in _SINGLE.findall(_plain(text))]
    if any("," in one and not _GROUPED.fullmatch(one.lstrip("+-")) for one in numbers):
        return True
    if any("." in one or one.count(",") > 1 for one in numbers):
        return False
    return None


def has_grouped_comma(text: str) -> bool:
    """Whether a text holds a number like ``1,204``, whose comma could be either."""
    return any(_GROUPED.fullmatch(one.lstrip("+-")) for one in _SINGLE.findall(_plain(text)))


def _plain(text: str) -> str:
    return _DIGIT_GAP.sub("", text.strip().translate(_SAME_SIGN)).casefold()


def _edges(plain: str, text: str, *, decimal_comma: bool) -> tuple[float | None, float | None, bool]:
    def number(found: str) -> float:
        return _number(found, decimal_comma=decimal_comma)

    if match := _RANGE.fullmatch(plain):
        return number(match[1]), number(match[2]), False
    if match := _TOLERANCE.fullmatch(plain):
        middle, width = number(match[1]), number(match[2])
        return middle - width, middle + width, False
    if match := _SINGLE.fullmatch(plain):
        return number(match[1]), number(match[1]), False
    for pattern, is_low, strict in (
        (_AT_LEAST, True, False), (_AT_MOST, False, False), (_ABOVE, True, True), (_BELOW, False, True),
    ):  # fmt: skip
        if match := pattern.fullmatch(plain):
            edge = number(next(group for group in match.groups() if group))
            return (edge, None, strict) if is_low else (None, edge, strict)
    raise BadTable(f"'{text.strip()}' is no number or range; write it as 120-190, 165 ± 25, max 12 or > 16")


def _number(text: str, *, decimal_comma: bool) -> float:
    bare = text.lstrip("+-")
    if decimal_comma and _GROUPED_BY_POINTS.fullmatch(bare):
        digits = text.replace(".", "").replace(",", ".")
    elif not decimal_comma and _GROUPED.fullmatch(bare):
        digits = text.replace(",", "")
    else:
        digits = text.replace(",", ".")
    try:
        return float(digits)
    except ValueError:
        raise BadTable(f"'{text}' is no number") from None


def _close(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-9)
