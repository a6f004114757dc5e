"""Read an exchange file record by record, with the place of each for what is said about it."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import dataclass
from typing import IO, TYPE_CHECKING, Any

from knowngood_refdata.exchange.forms import UnfitFile
from knowngood_refdata.exchange.writing import FORMAT, VERSION

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

LARGEST_WHOLE = 200_000_000
"""Bytes of a file that is read in one go, as it is not laid out with a record to each line."""

_LONGEST_LINE = 200_000_000
_OPEN = b'"records": ['
_END = "Nothing was imported. Correct the file, or export it anew where it comes from."


@dataclass(frozen=True, slots=True)
class Record:
    """One record as the file gives it, and where it stands there, for people."""

    place: str
    entries: Mapping[str, Any]


def unfit(place: str, what: str) -> UnfitFile:
    """The error for something at a place of a file."""
    return UnfitFile(f"{place}: {what}. {_END}")


def records(file: IO[bytes], size: int) -> Iterator[Record]:
    """Every record of a file, in order.

    A file laid out with one record to a line, as this program writes it, is never held as a whole; any other
    layout of the same JSON is read in one go up to 200 MB.

    Raises
    ------
    UnfitFile
        When the file is no exchange file, of a newer version, damaged or cut short.
    """
    first = file.readline(_LONGEST_LINE)
    if first.rstrip().endswith(_OPEN):
        _check_head(_parsed(first.rstrip() + b"]}", "The first line"))
        yield from _by_line(file)
    else:
        yield from _as_whole(first, file, size)


def _by_line(file: IO[bytes]) -> Iterator[Record]:
    counts: Counter[str] = Counter()
    number = 1
    while line := file.readline(_LONGEST_LINE):
        number += 1
        text = line.strip()
        if text.startswith(b"]"):
            tail = _parsed(b'{"records": [' + text, f"Line {number}")
            _check_counts(_named(tail, f"Line {number}").get("counts"), counts)
            _see_the_end(file, number)
            return
        if text:
            record = _record(_parsed(text.removesuffix(b","), f"Line {number}"), f"Line {number}")
            counts[str(record.entries.get("record"))] += 1
            yield record
    raise unfit(f"Line {number}", "the file ends in the middle; it was not written or copied to its end")


def _see_the_end(file: IO[bytes], number: int) -> None:
    if file.read(1_000).strip():
        raise unfit(f"Line {number + 1}", "something follows after the end of the records")


def _as_whole(first: bytes, file: IO[bytes], size: int) -> Iterator[Record]:
    if not first.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"{") and first.strip():
        raise unfit("The file", "it is no exchange file of this program, which begins with '{'")
    if size > LARGEST_WHOLE:
        raise unfit(
            "The file",
            f"it is not laid out with one record to a line, and so is read only up to "
            f"{LARGEST_WHOLE / 1e6:.0f} MB",
        )
    whole = _named(_parsed((first + file.read()).removeprefix(b"\xef\xbb\xbf"), "The file"), "The file")
    _check_head(whole)
    found = whole.get("records")
    if not isinstance(found, list):
        raise unfit("The file", "'records' is to be a list")
    counts: Counter[str] = Counter()
    for number, entries in enumerate(found, 1):
        record = _record(entries, f"Record {number}")
        counts[str(record.entries.get("record"))] += 1
        yield record
    _check_counts(whole.get("counts"), counts)


def _record(entries: object, place: str) -> Record:
    return Record(place, _named(entries, place))


def _check_head(head: object) -> None:
    named = _named(head, "The first line")
    if named.get("format") != FORMAT:
        raise unfit("The file", f"it does not say that it is a '{FORMAT}'")
    version = named.get("version")
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        raise unfit("The file", "it does not say in which version of the form it is written")
    if version > VERSION:
        raise UnfitFile(
            f"The file is written in version {version} of the form, and this program reads up to {VERSION}. "
            "Nothing was imported. Install the newer program, or have the file exported by this version."
        )


def _check_counts(told: object, found: Counter[str]) -> None:
    """See that no record was lost on the way; a file written by hand need not count."""
    if told is None:
        return
    for name, count in _named(told, "The counts at the end").items():
        if found[name] != count:
            raise unfit("The end of the file", f"it counts {count} of '{name[:40]}' and holds {found[name]}")


def _parsed(text: bytes, place: str) -> Any:
    try:
        return json.loads(text.decode("utf-8"), parse_constant=_refuse)
    except UnicodeDecodeError as error:
        raise unfit(place, f"it is no UTF-8 text at byte {error.start}") from None
    except json.JSONDecodeError as error:
        raise unfit(place, f"it is no JSON: {error.msg} at character {error.pos}") from None
    except RecursionError:
        raise unfit(place, "entries lie within one another too deep") from None
    except ValueError as error:
        raise unfit(place, f"a number cannot be read: {error}") from None


def _refuse(constant: str) -> float:
    raise ValueError(f"{constant} is not a finite number")


def _named(value: object, place: str) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise unfit(place, f"named entries were expected, and '{str(value)[:40]}' stands there")
    return value
