"""The form of a published table: from what was typed to a table with its publication, and back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.published.table import PerformanceTable, doubts
from knowngood_refdata.published.terms import BadTable, Circuit
from knowngood_refdata.records import SourceKind
from knowngood_specs.core.form import Problem
from knowngood_specs.core.tables.blocks import BlockForm, ReadBlock, read_block, write_block
from knowngood_specs.core.tables.set_up import read_set_up, write_set_up

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

YES = "yes"


@dataclass(frozen=True, slots=True)
class Publication:
    """Where a table stands, as far as it was said."""

    kind: SourceKind
    citation: str
    revision: str = ""
    page: str = ""
    reviewed_by: str = ""


@dataclass(frozen=True, slots=True)
class ReadForm:
    """A form understood: the table and its publication, or the problems that stand in the way.

    ``blocks`` says of every block how it was taken; ``doubts`` are what may be a slip and need not be.
    """

    table: PerformanceTable | None
    publication: Publication | None
    blocks: tuple[ReadBlock, ...]
    problems: tuple[Problem, ...]
    doubts: tuple[str, ...] = ()

    @property
    def complete(self) -> bool:
        """Whether it can be saved."""
        return not self.problems and self.table is not None and self.publication is not None


def read_form(entries: Mapping[str, str], blocks: Sequence[BlockForm]) -> ReadForm:
    """What the entries and blocks of a form say, with every problem named at once."""
    problems: list[Problem] = []
    publication = _publication(entries, problems)
    set_up, unclear = read_set_up(entries)
    problems += unclear
    read = tuple(read_block(one) for one in blocks)
    problems += _block_problems(read)
    title = entries.get("title", "").strip()
    if not title:
        problems.insert(0, Problem("title", "Give the table a title by which people find it."))
    if problems or set_up is None:
        return ReadForm(None, publication, read, tuple(problems))
    parts = [(one.part, form.wider) for one, form in zip(read, blocks, strict=True) if one.part is not None]
    circuit = entries.get("circuit", "")
    try:
        table = PerformanceTable(
            title=title,
            parts=tuple(part for part, wider in parts if not wider),
            set_up=set_up,
            circuit=Circuit(circuit) if circuit else None,
            generic=entries.get("generic") == YES,
            wider=tuple(part for part, wider in parts if wider),
            wider_when=entries.get("wider_when", "").strip(),
            notes=entries.get("notes", "").strip(),
        )
    except BadTable as error:
        return ReadForm(None, publication, read, (Problem("blocks", f"{error}"),))
    return ReadForm(table, publication, read, (), doubts(table))


def write_form(table: PerformanceTable, publication: Publication) -> tuple[dict[str, str], list[BlockForm]]:
    """The entries and blocks that `read_form` reads back as this table."""
    entries = {
        "title": table.title,
        "circuit": table.circuit or "",
        "generic": YES if table.generic else "",
        "wider_when": table.wider_when,
        "notes": table.notes,
        "source_kind": publication.kind,
        "citation": publication.citation,
        "revision": publication.revision,
        "page": publication.page,
        "reviewed_by": publication.reviewed_by,
        **write_set_up(table.set_up),
    }
    blocks = [write_block(part) for part in table.parts]
    return entries, blocks + [write_block(part, wider=True) for part in table.wider]


def _publication(entries: Mapping[str, str], problems: list[Problem]) -> Publication | None:
    kind, citation = entries.get("source_kind", ""), entries.get("citation", "").strip()
    if not kind:
        problems.append(Problem("source_kind", "Choose the kind of source."))
    if not citation:
        problems.append(Problem("citation", "Name the publication that the table stands in."))
    if not kind or not citation:
        return None
    rest = {name: entries.get(name, "").strip() for name in ("revision", "page", "reviewed_by")}
    return Publication(SourceKind(kind), citation, **rest)


def _block_problems(read: Sequence[ReadBlock]) -> list[Problem]:
    several = len(read) > 1
    return [
        Problem("blocks", f"Block {number}: {words}" if several else f"Table: {words}")
        for number, block in enumerate(read, 1)
        for words in block.problems
    ]
