"""What the import says: columns, rows, values, outcomes, earlier imports; no Qt."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from knowngood import formatting
from knowngood_specs.core.importing.decided import NEW, choices
from knowngood_specs.core.importing.identity import name_line
from knowngood_specs.core.importing.plan import Outcome
from knowngood_specs.library_import import LEFT_OUT
from knowngood_specs.list_words import DOT

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from knowngood.formatting import System
    from knowngood_refdata.drafts import SpecDraft
    from knowngood_refdata.import_plan import ImportInfo, Undone
    from knowngood_refdata.records import Vehicle
    from knowngood_specs.core.fields import Field
    from knowngood_specs.core.importing.plan import Plan, PlannedRow
    from knowngood_specs.core.importing.row_reader import Understood
    from knowngood_specs.core.importing.table import Table

EXPLAINED = {
    Outcome.ADDED: "would be added",
    Outcome.CHANGED: "would be added beside what is on record; nothing on record is replaced",
    Outcome.UNCHANGED: "on record already; nothing is done",
    Outcome.DOUBTED: "stay out unless you decide otherwise",
    Outcome.REFUSED: "cannot be used; they stay in your file",
}
_TABLES = {
    "configuration": "vehicle", "configuration filled in": "filled-in vehicle", "spec_value": "spec value",
    "unit": "car", "maker": "maker", "system_family": "system family", "session": "session",
    "picture": "picture", "performance_table": "performance table", "spec_decision": "decision",
    "field_definition": "shop field", "reading": "reading",
}  # fmt: skip


class Values:
    """Writes values as a reader of one unit system sees them.

    Parameters
    ----------
    fields
        The fields of the library.
    """

    def __init__(self, fields: Iterable[Field]) -> None:
        self._fields = {one.name: one for one in fields}

    def text(self, spec: SpecDraft, system: System) -> str:
        """A value with its field, as printed and, where that is another text, in the unit system."""
        field = self._fields.get(spec.field)
        title = field.title if field else spec.field.capitalize()
        said = f"{title} {spec.as_printed}"
        kind = field.kind if field else None
        if kind is None or spec.value is None:
            return said
        shown = formatting.text(spec.value, kind, system, uncertainty_si=spec.tolerance)
        return said if _bare(shown) in _bare(spec.as_printed) else f"{said} ({shown})"

    def line(self, specs: Iterable[SpecDraft], system: System) -> str:
        """Several values in a line."""
        return "; ".join(self.text(one, system) for one in specs)


def adds(row: PlannedRow, values: Values, system: System) -> str:
    """What a row adds, beside the vehicle itself."""
    parts = [values.text(one, system) for one in row.specs]
    parts += [f"{name.replace('_', ' ')} {text}" for name, text in row.details]
    if row.unit is not None:
        parts.append(f"car {row.unit.vin or row.unit.fleet_number}")
    if row.note:
        parts.append(f"note: {row.note}")
    return "; ".join(parts)


def understood_cells(understood: Understood, values: Values, system: System) -> tuple[str, str, str]:
    """A row of the preview: the vehicle, its values, and what stands against it."""
    vehicle = name_line(understood.vehicle) if understood.vehicle else ""
    remarks = " ".join((*understood.problems, *understood.doubts))
    return vehicle, values.line(understood.specs, system), remarks


def decision_words(row: PlannedRow, decisions: Mapping[int, int], vehicles: Mapping[int, Vehicle]) -> str:
    """What was decided about a doubted row; empty for others."""
    if row.outcome is not Outcome.DOUBTED:
        return ""
    if row.number not in decisions:
        return LEFT_OUT
    decision = decisions[row.number]
    if decision != NEW:
        return f"taken as {vehicle_words(decision, vehicles)}"
    # What can be nothing but new, or belongs to a new vehicle of the same file, is simply taken.
    return "taken" if choices(row) == (NEW,) else "taken as new"


def vehicle_words(number: int, vehicles: Mapping[int, Vehicle]) -> str:
    """A vehicle on record with its number."""
    vehicle = vehicles.get(number)
    return f"{name_line(vehicle)} (number {number})" if vehicle else f"number {number}"


def row_number_of(first: int, last: int) -> str:
    """The number of a row, or of its lines where a cell holds line ends."""
    return f"{first}\N{EN DASH}{last}" if last > first else f"{first}"


def about(table: Table) -> str:
    """How a file was read, in a line."""
    head = f"Header in row {table.header_row}." if table.header_row else "No header: columns are numbered."
    blank = f" {counted(table.blank_rows, 'blank row')} left out." if table.blank_rows else ""
    read = f"{counted(len(table.rows), 'row')}, {table.dialect}."
    return " ".join((read, head)) + blank + "".join(f" {one}" for one in table.notices)


def import_line(info: ImportInfo) -> tuple[str, str]:
    """An earlier import in two lines: file, when, by whom; whether it stands and what it added."""
    who = f" by {info.imported_by}" if info.imported_by else ""
    state = f"undone on {info.undone_at:%Y-%m-%d}" if info.undone_at else "stands"
    return (
        f"{info.source_name}, {info.imported_at:%Y-%m-%d %H:%M}{who}",
        f"{state}{DOT}{counts_line(info.counts)}",
    )


def counts_line(counts: Mapping[str, int]) -> str:
    """How many rows or records became what; those that are none are left out."""
    return ", ".join(f"{count:,} {name}" for name, count in counts.items() if count) or "nothing"


def undone_words(undone: Undone) -> str:
    """What taking an import back did."""
    taken = [counted(n, _TABLES.get(name, name.replace("_", " "))) for name, n in undone.taken_back.items()]
    words = f"Undone: {', '.join(taken)} taken back." if taken else "Undone: nothing was left to take back."
    if undone.kept:
        reasons = Counter(f"{_TABLES.get(one.table, one.table)}: {one.why}" for one in undone.kept)
        words += f" Kept: {'; '.join(f'{count:,} {said}' for said, count in reasons.items())}."
    return words


def report_lines(
    plan: Plan, values: Values, decisions: Mapping[int, int], vehicles: Mapping[int, Vehicle], system: System
) -> Iterator[tuple[str | int, ...]]:
    """A line a row for the report that can be saved."""
    for row in plan.rows:
        decided = decision_words(row, decisions, vehicles)
        yield row.number, str(row.outcome), row.what, adds(row, values, system), row.reason, decided


REPORT_HEADER: Sequence[str] = ("Row", "Outcome", "Vehicle", "Adds", "Why", "Decided")


def counted(number: int, noun: str) -> str:
    """A number with its noun.

    >>> counted(1, "row"), counted(50_000, "row")
    ('1 row', '50,000 rows')
    """
    plural = f"{noun[:-1]}ies" if noun.endswith("y") else f"{noun}s"
    return f"{number:,} {noun if number == 1 else plural}"


def _bare(text: str) -> str:
    return "".join(text.split()).casefold()
