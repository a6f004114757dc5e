"""What each column of a file is taken for, kept so that the next file of this layout needs no questions."""

from __future__ import annotations

import hashlib
from dataclasses import asdict, dataclass, field, fields, replace
from typing import TYPE_CHECKING

from knowngood_specs.core.form import SourceForm
from knowngood_specs.core.importing.recognise import plain
from knowngood_specs.core.importing.targets import LEFT_OUT, Meaning, Target

if TYPE_CHECKING:
    from collections.abc import Mapping

    from knowngood_specs.core.importing.table import Table


@dataclass(frozen=True, slots=True)
class ColumnUse:
    """One column: its index, its header, what it means, and whether an empty cell means the one above."""

    column: int
    header: str
    meaning: Meaning = LEFT_OUT
    fill_down: bool = False


@dataclass(frozen=True, slots=True)
class ColumnMapping:
    """Every column's use in order, and the source of values for which a row names none."""

    uses: tuple[ColumnUse, ...]
    source: SourceForm = field(default_factory=SourceForm)

    def of(self, column: int) -> ColumnUse:
        """The use of a column."""
        return self.uses[column]

    def columns(self, target: Target) -> tuple[ColumnUse, ...]:
        """The columns that are taken for a target, of whatever field."""
        return tuple(use for use in self.uses if use.meaning.target is target)

    def using(self, column: int, meaning: Meaning, *, fill_down: bool = False) -> ColumnMapping:
        """The mapping with another meaning for a column."""
        changed = replace(self.uses[column], meaning=meaning, fill_down=fill_down)
        return replace(self, uses=(*self.uses[:column], changed, *self.uses[column + 1 :]))

    def from_source(self, kind: str, citation: str, revision: str = "", page: str = "") -> ColumnMapping:
        """The mapping with another source for values without one of their own."""
        return replace(self, source=SourceForm(kind, citation, revision, page))


def signature(table: Table) -> str:
    """What files of one layout have in common: the names of their columns, in any order.

    A hexadecimal SHA-256; two tables share it exactly when their headers differ only in order, case,
    accents and signs.
    """
    return hashlib.sha256("\n".join(sorted(map(_known_by, table.header))).encode()).hexdigest()


def reapplied(mapping: ColumnMapping, table: Table) -> ColumnMapping:
    """A remembered mapping laid over a table, column by column by name; unknown columns are left out."""
    remembered = {_known_by(use.header): use for use in mapping.uses}
    uses = []
    for index, name in enumerate(table.header):
        known = remembered.get(_known_by(name))
        use = ColumnUse(index, name)
        uses.append(replace(known, column=index, header=name) if known else use)
    return replace(mapping, uses=tuple(uses))


def as_json(mapping: ColumnMapping) -> dict[str, object]:
    """A mapping as plain values that JSON can hold."""
    columns = [
        {
            "header": use.header,
            "target": use.meaning.target.name.lower(),
            "of": use.meaning.of,
            "unit": use.meaning.unit,
            "fill_down": use.fill_down,
        }
        for use in mapping.uses
    ]
    return {"columns": columns, "source": asdict(mapping.source)}


def from_json(kept: Mapping[str, object]) -> ColumnMapping | None:
    """The mapping from what `as_json` gave; None when it is no such thing."""
    columns, source = kept.get("columns"), kept.get("source")
    if not isinstance(columns, list) or not isinstance(source, dict):
        return None
    targets = {one.name.lower(): one for one in Target}
    uses = []
    for index, one in enumerate(columns):
        if not isinstance(one, dict) or one.get("target") not in targets:
            return None
        meaning = Meaning(targets[one["target"]], str(one.get("of", "")), str(one.get("unit", "")))
        uses.append(ColumnUse(index, str(one.get("header", "")), meaning, bool(one.get("fill_down"))))
    texts = {one.name: str(source.get(one.name, "")) for one in fields(SourceForm)}
    return ColumnMapping(tuple(uses), SourceForm(**texts))


def _known_by(name: str) -> str:
    # Names in other alphabets have no letters left once they are plain.
    return plain(name) or " ".join(name.split()).casefold()
