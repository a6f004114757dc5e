"""The seam between the library and a file that is written: tables, exchange files, reports; no Qt."""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import dataclass, field
from enum import StrEnum
from typing import IO, TYPE_CHECKING, TextIO, cast

from knowngood_refdata.exchange import What, export_library
from knowngood_refdata.exchange.atomic import whole_file
from knowngood_refdata.queries import whole
from knowngood_refdata.queries.filters import ALL
from knowngood_specs.core.exporting.sheet import Sheet, value_lines, vehicle_lines
from knowngood_specs.core.exporting.writers import write_csv, write_xlsx
from knowngood_specs.import_words import REPORT_HEADER, Values, counted, report_lines
from knowngood_specs.record_data import all_fields

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping
    from pathlib import Path

    from knowngood.api import SpecField
    from knowngood.formatting import System
    from knowngood_refdata.queries.filters import Filters
    from knowngood_refdata.store import Store
    from knowngood_specs.library_import import DryRun

    Told = Callable[[float], None]


class Form(StrEnum):
    """In which form vehicles are written."""

    CSV = "CSV"
    XLSX = "XLSX"
    EXCHANGE = "Exchange file (JSON)"


class Lines(StrEnum):
    """What a line of a table is."""

    VALUES = "one line a value: every value with its source"
    VEHICLES = "one line a vehicle: the value that counts of each field"


@dataclass(frozen=True, slots=True)
class Search:
    """Which vehicles: those that hold the words, within the filters."""

    words: str = ""
    filters: Filters = ALL

    @property
    def narrows(self) -> bool:
        """Whether some vehicles may be left out."""
        return bool(self.words.strip()) or self.filters != ALL


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is to be written: which vehicles (None: all), in which form, and what goes with them.

    ``lines`` and ``delimiter`` are for tables, ``what`` is for exchange files.
    """

    form: Form
    search: Search | None = None
    lines: Lines = Lines.VALUES
    delimiter: str = ","
    what: What = field(default_factory=What)


def write(
    store: Store,
    path: Path,
    wanted: Wanted,
    told: Told = lambda _: None,
    *,
    brought: Iterable[SpecField] = (),
) -> str:
    """Write a file, whole or not at all; what it holds in words.

    ``brought`` are the fields that plugins bring.

    Raises
    ------
    StoreError, NotWritten
        When the library cannot be read, the file not be written, or the form not hold it.
    """
    ids = None
    if wanted.search is not None and wanted.search.narrows:
        ids = frozenset(whole.numbers(store, wanted.search.words, filters=wanted.search.filters))
    if wanted.form is Form.EXCHANGE:
        what = _narrowed(wanted.what, ids)
        counts = export_library(store, path, what=what, progress=told)
        return _counts_words(counts)
    vehicles = whole.vehicles(store, ids=ids, progress=lambda part: told(0.5 * part))
    fields = all_fields(store, brought)
    sheet = (value_lines if wanted.lines is Lines.VALUES else vehicle_lines)(vehicles, fields)
    expected = max(1, sum(map(_line_count(wanted.lines), (vehicle.specs for vehicle in vehicles))))

    def lines_told(count: int) -> None:
        told(0.5 + 0.5 * min(1.0, count / expected))

    with _binary(path) as file:
        if wanted.form is Form.CSV:
            count = write_csv(sheet, file, delimiter=wanted.delimiter, progress=lines_told)
        else:
            count = write_xlsx(sheet, file, lines_told)
    return f"{counted(len(vehicles), 'vehicle')} in {counted(count, 'line')}"


def write_report(
    path: Path,
    tried: DryRun,
    decisions: Mapping[int, int],
    system: System,
    told: Told = lambda _: None,
) -> None:
    """Write what a dry run says of each row as CSV.

    Raises
    ------
    StoreError
        When the file cannot be written.
    """
    rows = max(1, len(tried.plan.rows))
    lines = report_lines(tried.plan, Values(tried.opened.fields), decisions, tried.vehicles, system)
    with _binary(path) as file:
        write_csv(Sheet(tuple(REPORT_HEADER), lines), file, progress=lambda count: told(count / rows))


@contextmanager
def _binary(path: Path) -> Iterator[IO[bytes]]:
    with whole_file(path) as file:
        yield cast("TextIO", file).buffer


def _narrowed(what: What, ids: frozenset[int] | None) -> What:
    return What(ids, what.pictures, what.sessions, what.readings, what.removed, what.history and ids is None)


def _line_count(lines: Lines) -> Callable[[Mapping[str, tuple[object, ...]]], int]:
    if lines is Lines.VEHICLES:
        return lambda _: 1
    return lambda specs: max(1, sum(map(len, specs.values())))


def _counts_words(counts: Mapping[str, int]) -> str:
    said = [f"{count:,} \N{MULTIPLICATION SIGN} {name}" for name, count in counts.items() if count]
    return ", ".join(said) or "nothing"
