"""From what was typed to drafts for the library, with every fault said in words."""

from __future__ import annotations

import re
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Generic, TypeVar

from knowngood_refdata.drafts import SpecDraft, VehicleDraft
from knowngood_refdata.quantities import Kind, UnknownUnit, unit
from knowngood_refdata.records import SourceKind
from knowngood_specs.core.fields import (
    CHARGE,
    COMPRESSOR,
    FAN,
    METERING,
    REFRIGERANT,
    field_named,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from knowngood_refdata.records import Vehicle

    ReadAmount = Callable[[str], tuple[float, float | None]]
    """Reads a weight with its unit into kilograms and tolerance; raises ValueError with words."""

FIRST_YEAR, LAST_YEAR = 1930, 2099
LIGHTEST_KG, HEAVIEST_KG = 0.05, 50.0
"""Beyond these no vehicle's charge lies; it is a slip of the unit. Common practice, no source."""

_VOLUME = re.compile(r"(\d+(?:[.,]\d+)?)\s*(mL|cm3|cm³|cc|fl\.?\s?oz|oz)\b", re.IGNORECASE)

_REFRIGERANT = re.compile(r"(?:R|HFC|HFO)?[\s-]*(134a|1234yf)", re.IGNORECASE)

Draft = TypeVar("Draft", VehicleDraft, SpecDraft)


@dataclass(frozen=True, slots=True)
class SourceForm:
    """Where values come from, as typed."""

    kind: str = ""
    citation: str = ""
    revision: str = ""


@dataclass(frozen=True, slots=True)
class VehicleForm:
    """The form of a new vehicle, every entry as typed."""

    make: str = ""
    model: str = ""
    engine: str = ""
    year_from: str = ""
    year_to: str = ""
    market: str = ""
    evaporators: str = ""
    maker: str = ""
    family: str = ""
    refrigerant: str = ""
    charge: str = ""
    compressor: str = ""
    metering: str = ""
    fan: str = ""
    source_kind: str = ""
    citation: str = ""
    revision: str = ""

    @property
    def source(self) -> SourceForm:
        """The source of all spec values of the form."""
        return SourceForm(self.source_kind, self.citation, self.revision)


@dataclass(frozen=True, slots=True)
class ValueForm:
    """The form of a further spec value, every entry as typed."""

    field: str = CHARGE.name
    as_printed: str = ""
    source_kind: str = ""
    citation: str = ""
    revision: str = ""

    @property
    def source(self) -> SourceForm:
        """The source of the value."""
        return SourceForm(self.source_kind, self.citation, self.revision)


@dataclass(frozen=True, slots=True)
class Problem:
    """What keeps a form from being saved: the entry, and a sentence."""

    entry: str
    words: str


@dataclass(frozen=True, slots=True)
class Checked(Generic[Draft]):
    """A form that was read: a draft, or the problems that stand against it."""

    draft: Draft | None
    problems: tuple[Problem, ...] = ()


SPEC_ENTRIES = {
    "refrigerant": REFRIGERANT,
    "charge": CHARGE,
    "compressor": COMPRESSOR,
    "metering": METERING,
    "fan": FAN,
}
"""The entries of `VehicleForm` that become spec values."""


def as_mapping(form: VehicleForm | ValueForm) -> dict[str, str]:
    """The entries of a form by name, to be kept until it is saved."""
    return {one.name: getattr(form, one.name) for one in fields(form)}


def vehicle_form(kept: Mapping[str, object]) -> VehicleForm:
    """The form from what was kept of it; what no longer fits is left out."""
    return VehicleForm(**_texts(kept, VehicleForm))


def value_form(kept: Mapping[str, object]) -> ValueForm:
    """The form from what was kept of it; what no longer fits is left out."""
    return ValueForm(**_texts(kept, ValueForm))


def read_vehicle(form: VehicleForm, read_amount: ReadAmount) -> Checked[VehicleDraft]:
    """The draft of a new vehicle with its spec values, or everything that stands against it."""
    problems: list[Problem] = []
    problems += _missing(form.make, "make", "Name the make.")
    problems += _missing(form.model, "model", "Name the model.")
    year_from = _year(form.year_from, "year_from", "Give the first year, four digits.", problems)
    year_to = None
    if form.year_to.strip():
        year_to = _year(form.year_to, "year_to", "", problems)
        if year_from is not None and year_to is not None and year_to < year_from:
            problems.append(Problem("year_to", f"The last year, {year_to}, lies before the first."))
    printed = {name: text for name in SPEC_ENTRIES if (text := _clean(getattr(form, name)))}
    kind = _source(form.source, "these values", problems) if printed else None
    specs = tuple(
        spec
        for name, text in printed.items()
        if (spec := _spec(SPEC_ENTRIES[name].name, name, text, kind, form.source, read_amount, problems))
    )
    if problems or year_from is None:
        return Checked(None, tuple(problems))
    return Checked(
        VehicleDraft(
            make=_clean(form.make),
            model=_clean(form.model),
            engine=_clean(form.engine),
            year_from=year_from,
            year_to=year_to,
            market=_clean(form.market),
            evaporators=_clean(form.evaporators),
            maker=_clean(form.maker),
            family=_clean(form.family),
            specs=specs,
        )
    )


def read_value(form: ValueForm, read_amount: ReadAmount) -> Checked[SpecDraft]:
    """The draft of a further spec value, or everything that stands against it."""
    problems: list[Problem] = []
    name, text = _clean(form.field).casefold(), _clean(form.as_printed)
    problems += _missing(name, "field", "Say which field the value belongs to.")
    problems += _missing(text, "as_printed", "Write the value as it is printed, with its unit.")
    kind = _source(form.source, "this value", problems)
    spec = _spec(name, "as_printed", text, kind, form.source, read_amount, problems) if text else None
    return Checked(None if problems else spec, tuple(problems))


def same_vehicle(draft: VehicleDraft, held: Iterable[Vehicle]) -> Vehicle | None:
    """The vehicle of the library that a draft would repeat, None when it is a new one."""
    wanted = _identity(draft)
    return next((one for one in held if _identity(one) == wanted), None)


def _identity(one: Vehicle | VehicleDraft) -> tuple[object, ...]:
    names = (one.make, one.model, one.engine, one.market, one.evaporators)
    return (*(name.casefold().strip() for name in names), one.year_from, one.year_to)


def _spec(
    field: str,
    entry: str,
    text: str,
    kind: SourceKind | None,
    source: SourceForm,
    read_amount: ReadAmount,
    problems: list[Problem],
) -> SpecDraft | None:
    value: float | None = None
    tolerance: float | None = None
    if field == CHARGE.name:
        try:
            value, tolerance = read_charge(text, read_amount)
        except ValueError as error:
            problems.append(Problem(entry, str(error)))
            return None
    elif field == REFRIGERANT.name:
        text = designation(text)
    elif field_named(field).kind is Kind.VOLUME:
        value = volume_in(text)
    if kind is None:
        return None
    return SpecDraft(field, value, text, kind, _clean(source.citation), tolerance, _clean(source.revision))


def read_charge(text: str, read_amount: ReadAmount) -> tuple[float, float | None]:
    """A charge weight and its tolerance [kg] as printed on a label.

    Raises
    ------
    ValueError
        With the sentence for the reader.
    """
    if not any(letter.isalpha() for letter in text):
        raise ValueError("Write the charge weight with the unit that is printed: 470 g, 17.6 oz, 0,50 kg.")
    try:
        value_kg, tolerance_kg = read_amount(text)
    except ValueError as error:
        raise ValueError(f"The charge weight cannot be read: {error}.") from None
    if not LIGHTEST_KG <= value_kg <= HEAVIEST_KG:
        raise ValueError(f"'{text}' is no charge weight of a vehicle: look at the unit again.")
    if tolerance_kg is not None and tolerance_kg >= value_kg:
        raise ValueError("The tolerance is as large as the charge weight itself: look at both again.")
    return value_kg, tolerance_kg


def designation(text: str) -> str:
    """A refrigerant's designation as the calculations name it (ISO 817); another text as it is.

    >>> [designation(text) for text in ("r134a", "HFO-1234yf", "R-12")]
    ['R-134a', 'R-1234yf', 'R-12']
    """
    known = _REFRIGERANT.fullmatch(text)
    return f"R-{known[1].lower()}" if known else text


def volume_in(text: str) -> float | None:
    """The one volume [m³] that a text about oil holds, None when it holds none or several.

    >>> round(1e6 * (volume_in("PAG 46, 120 mL") or 0.0))
    120
    """
    found = _VOLUME.findall(text)
    if len(found) != 1:
        return None
    number, name = found[0]
    name = name.casefold().replace("³", "3").replace(".", "")
    try:
        # Oil is measured by volume: its ounces are fluid ounces.
        return unit("fl oz" if name.endswith("oz") else name, Kind.VOLUME).to_si(
            float(number.replace(",", "."))
        )
    except UnknownUnit:
        return None


def _source(source: SourceForm, of_what: str, problems: list[Problem]) -> SourceKind | None:
    kind = next((one for one in SourceKind if one == source.kind), None)
    if kind is None:
        problems.append(Problem("source_kind", f"Choose the kind of source of {of_what}."))
    problems += _missing(
        source.citation, "citation", f"Say where {of_what} can be found: the label, or book and page."
    )
    return kind


def _year(text: str, entry: str, when_empty: str, problems: list[Problem]) -> int | None:
    clean = text.strip()
    if not clean:
        problems.append(Problem(entry, when_empty))
        return None
    if not re.fullmatch(r"[0-9]{4}", clean) or not FIRST_YEAR <= int(clean) <= LAST_YEAR:
        problems.append(Problem(entry, f"'{clean}' is no year of a vehicle: write four digits, as 2021."))
        return None
    return int(clean)


def _missing(text: str, entry: str, words: str) -> list[Problem]:
    return [] if text.strip() else [Problem(entry, words)]


def _clean(text: str) -> str:
    return " ".join(text.split())


def _texts(kept: Mapping[str, object], form: type[VehicleForm] | type[ValueForm]) -> dict[str, str]:
    names = {one.name for one in fields(form)}
    return {name: text for name, text in kept.items() if name in names and isinstance(text, str)}
