"""What each column of a table probably is, how surely and why, and what only the user can answer."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from knowngood_refdata.quantities import Kind
from knowngood_specs.core.form import SourceForm
from knowngood_specs.core.importing import evidence
from knowngood_specs.core.importing.mapping import ColumnMapping, ColumnUse, reapplied
from knowngood_specs.core.importing.recognise import Words
from knowngood_specs.core.importing.targets import LEFT_OUT, PARTS_OF_A_VALUE, Meaning, Target

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from knowngood_specs.core.fields import Field
    from knowngood_specs.core.importing.table import Table

_BY_CELLS = 0.6
_MANY = {Target.CITATION, Target.NOTES, Target.LEAVE_OUT}
"""Several columns may be these; their texts are put together."""
_EXAMPLES = 4
WEIGHT_UNITS = ("g", "kg", "oz", "lb")


@dataclass(frozen=True, slots=True)
class ProposedColumn:
    """A column with what it probably is; ``confidence`` is 0 to 1, ``reason`` for the reader."""

    use: ColumnUse
    confidence: float
    reason: str
    examples: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Question:
    """What must or should be answered before rows can be used; ``column`` is None when it is about all.

    ``choices`` are offered answers: units, or nothing where a text is wanted.
    """

    words: str
    column: int | None = None
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Proposal:
    """Every column in order, the questions left open, and the mapping that answers none of them."""

    columns: tuple[ProposedColumn, ...]
    questions: tuple[Question, ...]
    mapping: ColumnMapping


def propose(
    table: Table,
    fields: Sequence[Field] | None = None,
    *,
    makes: Collection[str] = (),
    models: Collection[str] = (),
    remembered: ColumnMapping | None = None,
) -> Proposal:
    """Propose what each column is.

    Parameters
    ----------
    table
        The table as read.
    fields
        The spec fields of the library, the shop's own among them; the usual ones when not given.
    makes, models
        Names that the library holds, in lower case: they tell columns without a header.
    remembered
        The mapping of an earlier file of the same layout, which is taken over as it is.
    """
    words = Words(fields) if fields is not None else Words()
    if remembered is not None:
        columns = _remembered(table, remembered)
        source = remembered.source
    else:
        columns = _fitted_together(
            [_column(table, index, words, makes, models) for index in range(len(table.header))],
            table,
            words,
        )
        source = SourceForm(citation=table.name)
    mapping = ColumnMapping(tuple(one.use for one in columns), source)
    return Proposal(tuple(columns), tuple(open_questions(table, mapping)), mapping)


def open_questions(table: Table, mapping: ColumnMapping) -> list[Question]:
    """What is still to be answered with a mapping as it stands."""
    questions = [
        Question(f"Which column is the {one}? Rows without it are refused.")
        for one in (Target.MAKE, Target.MODEL)
        if not mapping.columns(one)
    ]
    if not any(mapping.columns(one) for one in (Target.YEARS, Target.YEAR_FROM)):
        questions.append(Question("Which column holds the model years? Rows without years are refused."))
    holds_values = any(mapping.columns(one) for one in (Target.PRINTED, Target.NUMBER))
    if holds_values and not mapping.columns(Target.SOURCE_KIND) and not mapping.source.kind:
        questions.append(
            Question("Where do these values come from? Choose the kind of source; no value is kept without.")
        )
    questions += _unit_questions(table, mapping)
    questions += [
        Question(f"'{use.header}' is left out. Choose what it is, or a field of your own.", use.column)
        for use in mapping.columns(Target.LEAVE_OUT)
        if any(map(str.strip, table.column(use.column)))
    ]
    questions += _gap_questions(table, mapping)
    return questions


def _column(
    table: Table, index: int, words: Words, makes: Collection[str], models: Collection[str]
) -> ProposedColumn:
    header, cells = table.header[index], table.column(index)
    use = ColumnUse(index, header)
    shown = tuple(dict.fromkeys(cell for cell in cells if cell))[:_EXAMPLES]
    by_words = words.recognise(header) if table.header_row else None
    by_cells = evidence.told_by_cells(cells)
    if by_words and by_words.confidence < 1.0 and _contradicted(by_words.meaning, by_cells) and by_cells:
        meaning, share, looks = by_cells
        reason = f"the header says '{by_words.phrase}', but {share:.0%} of the cells are {looks}"
        return ProposedColumn(replace(use, meaning=meaning), _BY_CELLS, reason, shown)
    if by_words:
        meaning = _with_unit(by_words.meaning, cells, words)
        sure = by_words.confidence
        agrees = by_cells is not None and by_cells[0].target is meaning.target
        reason = f"the header says '{by_words.phrase}'" + (" and the cells agree" if agrees else "")
        return ProposedColumn(replace(use, meaning=meaning), min(1.0, sure + 0.05 * agrees), reason, shown)
    if by_cells:
        meaning, share, looks = by_cells
        return ProposedColumn(
            replace(use, meaning=meaning), _BY_CELLS * share, f"{share:.0%} of the cells are {looks}", shown
        )
    if by_names := evidence.told_by_names(cells, makes, models):
        reason = "most cells are names that the library holds"
        return ProposedColumn(replace(use, meaning=by_names), _BY_CELLS, reason, shown)
    return ProposedColumn(use, 0.0, "neither header nor cells say what it is", shown)


def _contradicted(meaning: Meaning, by_cells: tuple[Meaning, float, str] | None) -> bool:
    """Whether cells rule out what the header says; names and free texts are ruled out by nothing."""
    if by_cells is None:
        return False
    told, share, _ = by_cells
    if meaning.target is Target.FLEET_NUMBER and told.target in (Target.UNIT, Target.VIN):
        return share > 0.9
    if meaning.target is Target.UNIT and told.target is not Target.UNIT:
        return share > 0.9
    # A charge column that holds refrigerants, and the other way round: both are called "gas".
    pair = {meaning.of, told.of}
    return pair == {"refrigerant", "charge"} and meaning.target is Target.PRINTED and share > 0.9


def _with_unit(meaning: Meaning, cells: Sequence[str], words: Words) -> Meaning:
    """A weight's meaning with the unit that its bare numbers must be in, where they tell."""
    weight = meaning.of and words.field(meaning.of).kind is Kind.MASS
    if not weight or meaning.unit or meaning.target is not Target.PRINTED:
        return meaning
    return replace(meaning, unit=evidence.likely_unit(cells))


def _fitted_together(columns: list[ProposedColumn], table: Table, words: Words) -> list[ProposedColumn]:
    """Columns that need one another made to fit: lone tolerances join the charge, one column a meaning."""
    long = any(one.use.meaning.target is Target.FIELD for one in columns)
    if not long:
        columns = [_joined(one, columns, words) for one in columns]
    taken: dict[tuple[Target, str], ProposedColumn] = {}
    for one in sorted(columns, key=lambda column: (-column.confidence, column.use.column)):
        what = one.use.meaning.target, one.use.meaning.of
        if what[0] in _MANY:
            continue
        first = taken.setdefault(what, one)
        if first is not one:
            reason = f"'{table.header[first.use.column]}' is taken for the same"
            left = replace(one, use=replace(one.use, meaning=LEFT_OUT), confidence=0.0, reason=reason)
            columns[one.use.column] = left
    return columns


def _joined(column: ProposedColumn, columns: Sequence[ProposedColumn], words: Words) -> ProposedColumn:
    """A tolerance, number or unit without a field belongs to the charge, else to the quantity on its left."""
    meaning = column.use.meaning
    if meaning.of or meaning.target not in PARTS_OF_A_VALUE:
        return column
    measured = [
        one.use.meaning.of
        for one in columns
        if one.use.meaning.of and words.field(one.use.meaning.of).kind is not None
    ]
    before = [
        one for one in measured if one in {other.use.meaning.of for other in columns[: column.use.column]}
    ]
    owner = "charge" if "charge" in measured else (before[-1] if before else "")
    if not owner or meaning.target in (Target.PRINTED, Target.NUMBER):
        return replace(column, use=replace(column.use, meaning=LEFT_OUT), confidence=0.0)
    return replace(column, use=replace(column.use, meaning=replace(meaning, of=owner)))


def _remembered(table: Table, remembered: ColumnMapping) -> list[ProposedColumn]:
    columns = []
    for use in reapplied(remembered, table).uses:
        shown = tuple(dict.fromkeys(cell for cell in table.column(use.column) if cell))[:_EXAMPLES]
        columns.append(ProposedColumn(use, 1.0, "as in the last file of this layout", shown))
    return columns


def _unit_questions(table: Table, mapping: ColumnMapping) -> list[Question]:
    units = {use.meaning.of for use in mapping.columns(Target.UNIT)}
    return [
        Question(f"In which unit are the numbers of '{use.header}'?", use.column, WEIGHT_UNITS)
        for use in (*mapping.columns(Target.PRINTED), *mapping.columns(Target.NUMBER))
        if use.meaning.of == "charge"
        and not use.meaning.unit
        and "charge" not in units
        and evidence.are_bare_numbers(table.column(use.column))
    ]


def _gap_questions(table: Table, mapping: ColumnMapping) -> list[Question]:
    """Names written once for the rows below them, as merged cells arrive in a text file."""
    questions = []
    for target in (Target.MAKE, Target.MODEL):
        for use in mapping.columns(target):
            cells = table.column(use.column)
            empty = Counter(bool(cell.strip()) for cell in cells)[False]
            if empty and cells and cells[0].strip() and not use.fill_down:
                questions.append(
                    Question(
                        f"'{use.header}' is empty in {empty:,} of {len(cells):,} rows: does the name above "
                        "count for them too?",
                        use.column,
                        ("fill down",),
                    )
                )
    return questions
