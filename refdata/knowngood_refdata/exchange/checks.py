"""What the fields of a record must say together, beyond each for itself."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Any

import zstandard

from knowngood_refdata.errors import UnfitValue
from knowngood_refdata.exchange.forms import Misfit
from knowngood_refdata.pictures import look_at
from knowngood_refdata.published.reading import from_document
from knowngood_refdata.published.terms import BadTable
from knowngood_refdata.queries.session_marks import KINDS
from knowngood_refdata.queries.vehicle_entry import EARLIEST, LATEST

if TYPE_CHECKING:
    from collections.abc import Callable

Row = dict[str, Any]
_MOST_DECIMALS = 6
_DOUBLES = -1
_LARGEST_CHUNK = 8 * 65_536
_LARGEST_LOG = 2_000_000_000


def check_row(kind: str, row: Row) -> None:
    """Refuse a record whose columns cannot be right together; raises `Misfit`."""
    check = _CHECKS.get(kind)
    if check:
        check(row)


def _maker(row: Row) -> None:
    if not row["name"].strip():
        raise Misfit("'name' is missing")


def _vehicle(row: Row) -> None:
    if not row["make"].strip() or not row["model"].strip():
        raise Misfit("a vehicle needs a make and a model")
    last = row["year_from"] if row["year_to"] is None else row["year_to"]
    if not EARLIEST <= row["year_from"] <= last <= LATEST:
        raise Misfit(f"the years {row['year_from']} to {last} make no range")


def _table(row: Row) -> None:
    if (row["configuration_id"] is None) == (row["family_id"] is None):
        raise Misfit("a performance table belongs to a vehicle or to a family, to one of them")
    try:
        from_document({name: row[name] for name in ("title", "circuit", "generic", "setup", "content")})
    except BadTable as error:
        raise Misfit(str(error)) from None


def _picture(row: Row) -> None:
    try:
        facts = look_at(row["content"])
        look_at(row["thumbnail"])
    except UnfitValue as error:
        raise Misfit(str(error).partition(" Nothing was stored")[0].rstrip(".")) from None
    if (facts.media_type.value, facts.width, facts.height) != (
        row["media_type"],
        row["width"],
        row["height"],
    ):
        raise Misfit("the picture is of another kind or size than the record says")
    _see_hash(row["content"], row["sha256"])


def _log_file(row: Row) -> None:
    if _unfolded_size(row["content"]) != row["size"] or row["size"] > _LARGEST_LOG:
        raise Misfit(f"'content' is no log file of {row['size']} bytes compressed by Zstandard")
    digest = hashlib.sha256()
    try:
        for part in zstandard.ZstdDecompressor().read_to_iter(row["content"]):
            digest.update(part)
    except zstandard.ZstdError:
        raise Misfit("'content' is damaged") from None
    if digest.hexdigest() != row["sha256"]:
        raise Misfit("'content' is not what 'sha256' says")


def _session(row: Row) -> None:
    if row["sample_count"] < 0:
        raise Misfit("'sample_count' is negative")
    given = {row[name] is None for name in ("parent_id", "from_s", "until_s")}
    if len(given) > 1:
        raise Misfit("a cut names its original with 'cut of', 'from_s' and 'until_s', all of them")
    if row["parent_id"] is not None and row["until_s"] < row["from_s"]:
        raise Misfit("the cut ends before it begins")


def _channel(row: Row) -> None:
    if not _DOUBLES <= row["decimals"] <= _MOST_DECIMALS:
        raise Misfit(
            f"'decimals' lies from {_DOUBLES} to {_MOST_DECIMALS}, and {row['decimals']} stands there"
        )
    if (row["position"] == 0) != (row["role"] == "time"):
        raise Misfit("the time axis, and it alone, is at position 0")


def _samples(row: Row) -> None:
    if not 0 <= _unfolded_size(row["content"]) <= _LARGEST_CHUNK:
        raise Misfit("'content' is no chunk of samples compressed by Zstandard")


def _hand_window(row: Row) -> None:
    if row["end_s"] <= row["start_s"]:
        raise Misfit("the window ends before it begins")


def _steady_window(row: Row) -> None:
    if row["by_hand"] != (row["hand_window_id"] is not None):
        raise Misfit("a steady window is 'by_hand' where it names its 'window set by hand', and only there")


def _note(row: Row) -> None:
    if row["kind"] not in KINDS:
        raise Misfit(f"'{row['kind']}' is not noted by hand")


def _spread(row: Row) -> None:
    if row["standard_uncertainty"] < 0:
        raise Misfit("'standard_uncertainty' is negative")


def samples_in(content: bytes, decimals: int) -> int:
    """How many samples a chunk holds; raises `Misfit` when it is damaged."""
    try:
        raw = zstandard.ZstdDecompressor().decompress(content, max_output_size=_LARGEST_CHUNK)
    except zstandard.ZstdError:
        raise Misfit("'content' is damaged") from None
    count, rest = divmod(len(raw), 8 if decimals == _DOUBLES else 4)
    if rest:
        raise Misfit("'content' is no whole number of samples")
    return count


def _unfolded_size(content: bytes) -> int:
    """The size that a compressed content says it has, -1 when it says none or is no such content."""
    try:
        return int(zstandard.frame_content_size(content))
    except zstandard.ZstdError:
        return -1


def _see_hash(content: bytes, sha256: str) -> None:
    if hashlib.sha256(content).hexdigest() != sha256:
        raise Misfit("'content' is not what 'sha256' says")


_CHECKS: dict[str, Callable[[Row], None]] = {
    "maker": _maker,
    "family": _maker,
    "vehicle": _vehicle,
    "shop field": _maker,
    "performance table": _table,
    "picture": _picture,
    "log file": _log_file,
    "session": _session,
    "channel": _channel,
    "samples": _samples,
    "note": _note,
    "window set by hand": _hand_window,
    "steady window": _steady_window,
    "window value": _spread,
    "reading value": _spread,
}
