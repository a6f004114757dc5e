"""From one typed spec value to a draft, with every fault said in words."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

from knowngood_refdata.drafts import SpecDraft
from knowngood_refdata.quantities import Kind
from knowngood_specs.core.fields import CHARGE, CHARGE_REAR, FIELDS, OIL, REFRIGERANT, field_named
from knowngood_specs.core.form import (
    Checked,
    Problem,
    SourceForm,
    clean,
    designation,
    kind_of_source,
    missing,
    read_charge,
    volume_in,
)

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from knowngood_refdata.records import SpecValue
    from knowngood_specs.core.fields import Field

ReadQuantity = Callable[[str, Kind], tuple[float, float | None]]
"""Reads a text with its unit into SI value and tolerance; raises ValueError with words."""

CHARGES = (CHARGE.name, CHARGE_REAR.name)
_NUMBER = re.compile(r"\d+(?:[.,]\d+)*")


@dataclass(frozen=True, slots=True)
class ValueForm:
    """The form of one spec value, every entry as typed; ``why`` is the reason of a correction."""

    field: str = CHARGE.name
    as_printed: str = ""
    source_kind: str = ""
    citation: str = ""
    revision: str = ""
    page: str = ""
    why: str = ""

    @property
    def source(self) -> SourceForm:
        """The source of the value."""
        return SourceForm(self.source_kind, self.citation, self.revision, self.page)


def value_form(kept: Mapping[str, object]) -> ValueForm:
    """The form from what was kept of it; what no longer fits is left out."""
    names = {one.name for one in fields(ValueForm)}
    return ValueForm(**{name: text for name, text in kept.items() if name in names and isinstance(text, str)})


def form_of_value(spec: SpecValue) -> ValueForm:
    """A value on record as a form would hold it."""
    return ValueForm(
        spec.field, spec.as_printed, str(spec.source_kind), spec.citation, spec.revision, spec.page
    )


def read_value(
    form: ValueForm, read: ReadQuantity, known: Sequence[Field] = FIELDS, *, correcting: bool = False
) -> Checked[SpecDraft]:
    """The draft of a spec value, or everything that stands against it; a correction needs a reason."""
    problems: list[Problem] = []
    name, text = clean(form.field), clean(form.as_printed)
    problems += missing(name, "field", "Say which field the value belongs to.")
    problems += missing(text, "as_printed", "Write the value as it is printed, with its unit.")
    kind = kind_of_source(form.source, "this value", problems)
    if correcting:
        problems += missing(form.why, "why", "Say what was wrong: the reason stays in the history.")
    value: float | None = None
    tolerance: float | None = None
    try:
        value, tolerance = amount_of(field_named(name, known), text, read) if text else (None, None)
    except ValueError as error:
        problems.append(Problem("as_printed", str(error)))
    if problems or kind is None:
        return Checked(None, tuple(problems))
    draft = SpecDraft(
        name,
        value,
        designation(text) if name == REFRIGERANT.name else text,
        kind,
        clean(form.citation),
        tolerance,
        clean(form.revision),
        page=clean(form.page),
    )
    return Checked(draft)


def amount_of(field: Field, text: str, read: ReadQuantity) -> tuple[float | None, float | None]:
    """Value and tolerance in SI that a printed text holds; both None for a text that is no single amount.

    A text of several numbers (``on at 15 bar, off at 12 bar``) and an oil without a volume (``PAG 46``) stay
    texts; a single number must carry a unit that can be read.

    Raises
    ------
    ValueError
        With the sentence for the reader.
    """
    if field.kind is None:
        return None, None
    kind, title = field.kind, field.title.lower()
    if field.name in CHARGES:
        return read_charge(text, lambda printed: read(printed, kind))
    if not any(letter.isalpha() for letter in text) and kind is not Kind.FRACTION:
        example = f": {field.example}" if field.example else ""
        raise ValueError(f"Write the {title} with the unit that is printed{example}.")
    try:
        return read(text, kind)
    except ValueError as error:
        if kind is Kind.VOLUME and (volume := volume_in(text)) is not None:
            return volume, None
        if field.name == OIL.name or len(_NUMBER.findall(text)) != 1:
            return None, None
        raise ValueError(f"The {title} cannot be read: {error}.") from None
