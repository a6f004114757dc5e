"""To which vehicle a row belongs: one on record, one of an earlier row, or a new one."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from knowngood_specs.core.importing.identity import Variant, differs, key_of, name_line, variant_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from knowngood_refdata.drafts import SpecDraft, VehicleDraft
    from knowngood_refdata.records import SpecValue, Vehicle
    from knowngood_specs.core.importing.existing import Entry, Register


@dataclass(slots=True, eq=False)
class Owner:
    """A vehicle with what the rows so far add to it: ``vehicle`` on record, or ``draft`` from ``row`` on."""

    row: int
    vehicle: Vehicle | None = None
    draft: VehicleDraft | None = None
    doubts: tuple[str, ...] = ()
    added: defaultdict[str, list[tuple[SpecDraft, int]]] = field(default_factory=lambda: defaultdict(list))
    filled: dict[str, str] = field(default_factory=dict)

    def held(self, name: str) -> Sequence[tuple[SpecValue | SpecDraft, int]]:
        """The values of a field with the row that brings each, 0 for those on record."""
        kept: list[tuple[SpecValue | SpecDraft, int]] = []
        if self.vehicle is not None:
            specs = self.vehicle.specs
            values = specs.get(name) or next(
                (held for known, held in specs.items() if known.casefold() == name.casefold()), ()
            )
            kept += [(one, 0) for one in values]
        kept += self.added.get(name, ())
        return kept

    def take(self, specs: Iterable[SpecDraft], details: Iterable[tuple[str, str]], row: int) -> None:
        """Remember what a row adds."""
        for one in specs:
            self.added[one.field].append((one, row))
        self.filled.update(details)

    def detail(self, name: str) -> str:
        """A name of the record, as the library or the first row gives it."""
        named = self.vehicle or self.draft
        text = getattr(named, name) if named else ""
        return text if isinstance(text, str) and text else self.filled.get(name, "")


@dataclass(frozen=True, slots=True)
class Belonging:
    """The vehicle on record or the earlier row's that a row belongs to; neither: a new one."""

    vehicle: Vehicle | None = None
    owner: Owner | None = None
    doubts: tuple[str, ...] = ()
    candidates: tuple[int, ...] = ()

    @property
    def is_new(self) -> bool:
        """Whether the row brings a vehicle that neither library nor file held before."""
        return self.vehicle is None and self.owner is None


def find_owner(draft: VehicleDraft, library: Register[Vehicle], file: Register[Owner]) -> Belonging:
    """The vehicle to which a row belongs, with what makes that doubtful; likeness alone never decides."""
    key, variant = key_of(draft), variant_of(draft)
    same = library.same(key)
    exact = [one for one in same if one.variant == variant]
    fitting = exact or [one for one in same if not differs(one.variant, variant)]
    if len(fitting) > 1:
        ids = tuple(one.held.id for one in fitting)
        numbers = ", ".join(map(str, ids))
        return Belonging(
            fitting[0].held, None, (f"It fits several vehicles on record (numbers {numbers}).",), ids
        )
    if fitting:
        return _fitting(fitting[0], variant)
    earlier = [one for one in file.same(key) if one.variant == variant]
    if earlier:
        owner = earlier[0].held
        return Belonging(owner=owner, doubts=owner.doubts)
    return _new(draft, library, file)


def _fitting(entry: Entry[Vehicle], variant: Variant) -> Belonging:
    """The one vehicle of these names; saying more or less than it does about a split is doubtful."""
    held = entry.variant
    doubts = []
    if variant.evaporators and not held.evaporators:
        doubts.append(f"The row says {variant.evaporators}, the record does not say.")
    if not variant.evaporators and held.evaporators.startswith("dual"):
        doubts.append("The record is of a dual evaporator, the row does not say.")
    if (variant.build_from, variant.build_to) != (held.build_from, held.build_to):
        doubts.append("The build months of the row are not those of the record.")
    return Belonging(entry.held, None, tuple(doubts), (entry.held.id,) if doubts else ())


def _new(draft: VehicleDraft, library: Register[Vehicle], file: Register[Owner]) -> Belonging:
    key, variant = key_of(draft), variant_of(draft)
    similar = library.similar(key, variant)
    if similar is not None:
        words = f"It may be a vehicle on record: {name_line(similar.held)} (number {similar.held.id})."
        return Belonging(doubts=(words,), candidates=(similar.held.id,))
    earlier = file.similar(key, variant)
    if earlier is not None and earlier.held.draft is not None:
        words = f"It may be the vehicle of row {earlier.held.row}: {name_line(earlier.held.draft)}."
        return Belonging(doubts=(words,))
    return Belonging()
