"""From the cells of a row to drafts, with everything that stands against them in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.drafts import SpecDraft, UnitDraft, VehicleDraft
from knowngood_refdata.records import SourceKind
from knowngood_refdata.vin_patterns import unreadable_in
from knowngood_specs.core.fields import REFRIGERANT
from knowngood_specs.core.form import designation
from knowngood_specs.core.importing.amounts import Amount, ReadQuantity, Written, read_value
from knowngood_specs.core.importing.existing import bare_vin
from knowngood_specs.core.importing.identity import evaporators_named
from knowngood_specs.core.importing.sources import Source, kind_called
from knowngood_specs.core.importing.targets import FEW_WORDS, PARTS_OF_A_SOURCE, Target
from knowngood_specs.core.importing.years import read_month, read_months, read_years

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from knowngood_specs.core.importing.mapping import ColumnMapping, ColumnUse
    from knowngood_specs.core.importing.recognise import Words
    from knowngood_specs.core.importing.table import Row

_LONGEST_NAME = 120
_LONGEST_VALUE = 2_000
_LONGEST_NOTES = 20_000
_NOTHING = frozenset({"-", "--", "---", "n/a", "na", "null", "#n/a", "?", "unknown", "unbekannt"})
_STILL_BUILT = frozenset({"on", "now", "present", "current", "today", "heute", "actual", "ongoing"})


@dataclass(frozen=True, slots=True)
class Understood:
    """A row that was read: drafts, what makes it unusable, and what is odd about it."""

    vehicle: VehicleDraft | None
    specs: tuple[SpecDraft, ...] = ()
    unit: UnitDraft | None = None
    problems: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()


class RowReader:
    """Reads rows by one mapping; values and names that occur again are read once.

    Parameters
    ----------
    mapping
        What each column means.
    read
        Reads a text with its unit; see `ReadQuantity`.
    words
        The fields of the library.
    this_year
        A model year more than two beyond is doubted.
    """

    def __init__(self, mapping: ColumnMapping, read: ReadQuantity, words: Words, this_year: int) -> None:
        self._mapping = mapping
        self._read = read
        self._words = words
        self._latest = this_year + 2
        self._columns = {use.meaning.target: use.column for use in mapping.uses if not use.meaning.of}
        self._many = {
            target: [use.column for use in mapping.columns(target) if not use.meaning.of]
            for target in (Target.NOTES, Target.CITATION)
        }
        self._of: dict[str, dict[Target, ColumnUse]] = {}
        for use in mapping.uses:
            if use.meaning.of:
                self._of.setdefault(use.meaning.of, {})[use.meaning.target] = use
        self._of_named = {use.meaning.target: use for use in mapping.uses if not use.meaning.of}
        self._filled = [use.column for use in mapping.uses if use.fill_down]
        self._above: dict[int, str] = {}
        self._kind = kind_called(mapping.source.kind)
        self._amounts: dict[tuple[str, Written], Amount | str] = {}

    def understood(self, row: Row) -> Understood:
        """The drafts of a row, or everything that stands against it."""
        cells = self._with_names_from_above(row.cells) if self._filled else row.cells
        problems: list[str] = []
        doubts: list[str] = [row.doubt] if row.doubt else []
        vehicle = self._vehicle(cells, problems, doubts)
        specs = tuple(self._specs(cells, problems, doubts))
        unit = self._unit(cells, doubts)
        if problems or vehicle is None:
            return Understood(None, problems=tuple(problems))
        return Understood(vehicle, specs, unit, doubts=tuple(doubts))

    def _with_names_from_above(self, cells: Sequence[str]) -> list[str]:
        filled = list(cells)
        for column in self._filled:
            if filled[column].strip():
                self._above[column] = filled[column]
            else:
                filled[column] = self._above.get(column, "")
        return filled

    def _cell(self, cells: Sequence[str], target: Target) -> str:
        column = self._columns.get(target)
        return _clean(cells[column]) if column is not None else ""

    def _measure(self, cells: Sequence[str], target: Target) -> str:
        """A cell that holds a number, a date or a code: marks for nothing are nothing there."""
        text = self._cell(cells, target)
        return "" if text.casefold() in _NOTHING else text

    def _vehicle(self, cells: Sequence[str], problems: list[str], doubts: list[str]) -> VehicleDraft | None:
        names = {target: self._cell(cells, target) for target in FEW_WORDS if target in self._columns}
        for target, words in ((Target.MAKE, "No make."), (Target.MODEL, "No model.")):
            if not names.get(target):
                problems.append(words)
        problems += [
            f"The {target} has {len(text):,} characters: its cells do not stand under their header."
            for target, text in names.items()
            if len(text) > _LONGEST_NAME
        ]
        notes = self._together(cells, Target.NOTES, "\n")
        if len(notes) > _LONGEST_NOTES:
            problems.append(f"The notes have {len(notes):,} characters; {_LONGEST_NOTES:,} can be kept.")
        patterns = self._measure(cells, Target.VIN_PATTERN).upper()
        problems += [
            f"'{one}' is no VIN pattern: up to 17 letters, digits and ? for any of them."
            for one in unreadable_in(patterns)
        ]
        years = self._years(cells, problems, doubts)
        build_from, build_to = self._builds(cells, problems, doubts)
        if years is None:
            return None
        return VehicleDraft(
            make=names.get(Target.MAKE, ""),
            model=names.get(Target.MODEL, ""),
            engine=names.get(Target.ENGINE, ""),
            year_from=years[0],
            year_to=years[1],
            market=names.get(Target.MARKET, ""),
            evaporators=evaporators_named(names.get(Target.EVAPORATORS, "")),
            maker=names.get(Target.MAKER, ""),
            family=names.get(Target.FAMILY, ""),
            notes=notes,
            build_from=build_from,
            build_to=build_to,
            generation=names.get(Target.GENERATION, ""),
            body=names.get(Target.BODY, ""),
            vin_pattern=patterns,
        )

    def _years(
        self, cells: Sequence[str], problems: list[str], doubts: list[str]
    ) -> tuple[int, int | None] | None:
        both = self._measure(cells, Target.YEARS)
        start, end = self._measure(cells, Target.YEAR_FROM), self._measure(cells, Target.YEAR_TO)
        try:
            if not start and not both:
                problems.append("No model year.")
                return None
            read = read_years(start or both)
            first, last = read.first, (None if start else read.last)
            doubt = read.doubt
            if end and end.casefold() not in _STILL_BUILT:
                until = read_years(end)
                last, doubt = until.last or until.first, doubt or until.doubt
        except ValueError as error:
            problems.append(str(error))
            return None
        assert first is not None
        if last is not None and last < first:
            problems.append(f"The last year, {last}, lies before the first, {first}.")
            return None
        if doubt:
            doubts.append(doubt)
        if max(first, last or first) > self._latest:
            doubts.append(f"The model year {max(first, last or first)} lies in the future.")
        return first, last

    def _builds(self, cells: Sequence[str], problems: list[str], doubts: list[str]) -> tuple[str, str]:
        both = self._measure(cells, Target.BUILDS)
        start, end = self._measure(cells, Target.BUILD_FROM), self._measure(cells, Target.BUILD_TO)
        if not (both or start or end):
            return "", ""
        try:
            read = [
                read_months(both) if both else None,
                read_month(start) if start else None,
                read_month(end) if end else None,
            ]
        except ValueError as error:
            problems.append(str(error))
            return "", ""
        whole, first, last = read
        doubts.extend(one.doubt for one in read if one and one.doubt)
        build_from = first.first if first else (whole.first if whole else "")
        build_to = last.last if last else (whole.last if whole else "")
        if build_from and build_to and build_to < build_from:
            problems.append(f"The last build month, {build_to}, lies before the first, {build_from}.")
        return build_from, build_to

    def _specs(self, cells: Sequence[str], problems: list[str], doubts: list[str]) -> Iterator[SpecDraft]:
        of_row: Source | str | None = None
        for field, uses in (*self._of.items(), *self._named(cells, doubts)):
            written = _written(cells, uses)
            if not written.printed and not written.number:
                if written.tolerance:
                    doubts.append(f"A tolerance of the {field} without a value.")
                continue
            if uses.keys() & PARTS_OF_A_SOURCE and field in self._of:
                source = self._source(cells, uses)
            else:
                source = of_row = of_row or self._source(cells, {})
            yield from self._spec(field, written, source, problems)

    def _named(
        self, cells: Sequence[str], doubts: list[str]
    ) -> Iterator[tuple[str, dict[Target, ColumnUse]]]:
        """The field that the row itself names, with the columns of its value."""
        called = self._cell(cells, Target.FIELD)
        if not called:
            return
        written = _written(cells, self._of_named)
        if written.printed or written.number:
            yield self._words.field_called(called), self._of_named
        else:
            doubts.append(f"No value of the field '{called}'.")

    def _spec(
        self, field: str, written: Written, source: Source | str, problems: list[str]
    ) -> Iterator[SpecDraft]:
        amount = self._amount(field, written)
        for fault in (amount, source):
            if isinstance(fault, str) and fault not in problems:
                problems.append(fault)
        if isinstance(amount, str) or isinstance(source, str):
            return
        if max(len(amount.as_printed), len(source.citation)) > _LONGEST_VALUE:
            problems.append(f"The {field} or its source has more than {_LONGEST_VALUE:,} characters.")
            return
        printed = designation(amount.as_printed) if field == REFRIGERANT.name else amount.as_printed
        yield SpecDraft(
            field=field,
            value=amount.value,
            as_printed=printed,
            source_kind=source.kind,
            citation=source.citation,
            tolerance=amount.tolerance,
            revision=source.revision,
            reviewed_by=source.reviewed_by,
            page=source.page,
        )

    def _amount(self, field: str, written: Written) -> Amount | str:
        """The value of a field, or the sentence that says why there is none."""
        key = field, written
        known = self._amounts.get(key)
        if known is None:
            try:
                known = read_value(self._words.field(field), written, self._read)
            except ValueError as error:
                known = str(error)
            self._amounts[key] = known
        return known

    def _source(self, cells: Sequence[str], uses: dict[Target, ColumnUse]) -> Source | str:
        """The source of a value: its own columns, the row's, or the one for the whole file."""

        def part(target: Target) -> str:
            own = uses.get(target)
            return (_clean(cells[own.column]) if own else "") or self._cell(cells, target)

        kind_cell = part(Target.SOURCE_KIND)
        kind = kind_called(kind_cell) if kind_cell else self._kind
        if kind is None:
            named = f"'{kind_cell}' is no kind of source" if kind_cell else "No kind of source"
            return f"{named}: {', '.join(SourceKind)}."
        own = uses.get(Target.CITATION)
        citation = (_clean(cells[own.column]) if own else "") or self._together(cells, Target.CITATION, "; ")
        default = self._mapping.source
        from_file = not citation and not kind_cell
        citation = citation or default.citation
        if not citation:
            return "No source: say where the values can be found."
        revision = part(Target.REVISION) or (default.revision if from_file else "")
        page = part(Target.PAGE) or (default.page if from_file else "")
        return Source(kind, citation, revision, page, part(Target.REVIEWED_BY))

    def _unit(self, cells: Sequence[str], doubts: list[str]) -> UnitDraft | None:
        vin, fleet_number = self._measure(cells, Target.VIN), self._measure(cells, Target.FLEET_NUMBER)
        if not vin and not fleet_number:
            return None
        bare = bare_vin(vin)
        if vin and (len(bare) != 17 or set(bare) & set("IOQ") or not bare.isascii()):
            doubts.append(f"'{vin}' is no VIN: 17 letters and digits without I, O and Q (ISO 3779).")
        return UnitDraft(bare or vin, fleet_number)

    def _together(self, cells: Sequence[str], target: Target, between: str) -> str:
        texts = (cells[column].strip() for column in self._many[target])
        return between.join(text for text in texts if text)


def _written(cells: Sequence[str], uses: dict[Target, ColumnUse]) -> Written:
    def text(target: Target) -> str:
        use = uses.get(target)
        found = _clean(cells[use.column]) if use else ""
        return "" if found.casefold() in _NOTHING else found

    def unit(target: Target) -> str:
        use = uses.get(target)
        return use.meaning.unit if use else ""

    tolerance = text(Target.TOLERANCE)
    measured_in = text(Target.UNIT) or unit(Target.PRINTED) or unit(Target.NUMBER)
    if tolerance and unit(Target.TOLERANCE) not in ("", measured_in):
        tolerance = f"{tolerance} {unit(Target.TOLERANCE)}"
    return Written(text(Target.PRINTED), text(Target.NUMBER), tolerance, measured_in)


def _clean(text: str) -> str:
    return " ".join(text.split())
