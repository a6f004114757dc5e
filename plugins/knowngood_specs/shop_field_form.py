"""From what was typed to a field of the shop's own, with every fault said in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_refdata.quantities import Kind
from knowngood_refdata.queries.shop_fields import TEXT, ShopFieldDraft
from knowngood_specs.core.fields import FIELDS, Section
from knowngood_specs.core.form import Problem, clean, missing

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from knowngood_refdata.queries.shop_fields import ShopField

WORDS = "words"
"""What stands for `TEXT` where a kind is chosen."""

KINDS = (
    WORDS, Kind.MASS, Kind.VOLUME, Kind.PRESSURE, Kind.TEMPERATURE, Kind.TEMPERATURE_DIFFERENCE,
    Kind.LENGTH, Kind.TIME, Kind.ROTATION, Kind.FRACTION, Kind.POWER,
)  # fmt: skip


def entries_of(field: ShopField) -> dict[str, str]:
    """A field on record as a form would hold it."""
    section = field.section or str(Section.SHOP)
    return {
        "title": field.title,
        "section": section,
        "kind": field.kind or WORDS,
        "choices": "\n".join(field.choices),
        "why": "",
    }


def read_field(
    typed: Mapping[str, str], others: Iterable[ShopField], changing: ShopField | None = None
) -> tuple[ShopFieldDraft | None, tuple[Problem, ...]]:
    """The draft of a field, or what stands against it.

    Parameters
    ----------
    others
        The other fields that the shop has.
    changing
        The field that is changed, whose name stays; None for a new one.
    """
    title = clean(typed.get("title", ""))
    problems = missing(title, "title", "Give the field a title, as it will stand in the record.")
    taken = {word.casefold(): one.title for one in FIELDS for word in (one.name, one.title)}
    taken |= {word.casefold(): one.title for one in others for word in (one.name, one.title)}
    if title.casefold() in taken:
        held = taken[title.casefold()]
        problems.append(Problem("title", f"There is a field '{held}' already: use it, or another title."))
    if changing is not None:
        problems += missing(typed.get("why", ""), "why", "Say why: the reason stays in the history.")
    if problems:
        return None, tuple(problems)
    kind = typed.get("kind", WORDS)
    choices = tuple(
        dict.fromkeys(clean(line) for line in typed.get("choices", "").splitlines() if line.strip())
    )
    name = title.casefold() if changing is None else changing.name
    return ShopFieldDraft(name, title, typed.get("section", ""), TEXT if kind == WORDS else kind, choices), ()
