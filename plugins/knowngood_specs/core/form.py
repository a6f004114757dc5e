"""From what was typed to drafts for the library, with every fault said in words."""

from __future__ import annotations

import re
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Generic, TypeVar

from knowngood_refdata.drafts import SpecDraft, VehicleDraft
from knowngood_refdata.quantities import Kind, UnknownUnit, unit
from knowngood_refdata.records import SourceKind
from knowngood_refdata.vin_months import read_build_month
from knowngood_refdata.vin_patterns import unreadable_in
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
    page: str = ""


@dataclass(frozen=True, slots=True)
class VehicleForm:
    """The form of a vehicle, every entry as typed."""

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
    page: str = ""
    build_from: str = ""
    build_to: str = ""
    generation: str = ""
    body: str = ""
    vin_pattern: str = ""
    notes: str = ""

    @property
    def source(self) -> SourceForm:
        """The source of all spec values of the form."""
        return SourceForm(self.source_kind, self.citation, self.revision, self.page)


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


def vehicle_form(kept: Mapping[str, object]) -> VehicleForm:
    """The form from what was kept of it; what no longer fits is left out."""
    names = {one.name for one in fields(VehicleForm)}
    return VehicleForm(
        **{name: text for name, text in kept.items() if name in names and isinstance(text, str)}
    )


def read_vehicle(form: VehicleForm, read_amount: ReadAmount) -> Checked[VehicleDraft]:
    """The draft of a new vehicle with its spec values, or everything that stands against it."""
    problems: list[Problem] = []
    problems += missing(form.make, "make", "Name the make.")
    problems += missing(form.model, "model", "Name the model.")
    year_from = _year(form.year_from, "year_from", "Give the first year, four digits.", problems)
    year_to = None
    if form.year_to.strip():
        year_to = _year(form.year_to, "year_to", "", problems)
        if year_from is not None and year_to is not None and year_to < year_from:
            problems.append(Problem("year_to", f"The last year, {year_to}, lies before the first."))
    build_from, build_to = _build_months(form, problems)
    problems += _patterns(form.vin_pattern)
    printed = {name: text for name in SPEC_ENTRIES if (text := clean(getattr(form, name)))}
    kind = kind_of_source(form.source, "these values", problems) if printed else None
    specs = tuple(
        spec
        for name, text in printed.items()
        if (spec := _spec(SPEC_ENTRIES[name].name, name, text, kind, form.source, read_amount, problems))
    )
    if problems or year_from is None:
        return Checked(None, tuple(problems))
    return Checked(
        VehicleDraft(
            make=clean(form.make),
            model=clean(form.model),
            engine=clean(form.engine),
            year_from=year_from,
            year_to=year_to,
            market=clean(form.market),
            evaporators=clean(form.evaporators),
            maker=clean(form.maker),
            family=clean(form.family),
            notes=form.notes.strip(),
            specs=specs,
            build_from=build_from,
            build_to=build_to,
            generation=clean(form.generation),
            body=clean(form.body),
            vin_pattern=clean(form.vin_pattern).upper(),
        )
    )


def form_of(vehicle: Vehicle) -> VehicleForm:
    """A vehicle's own data as a form would hold them, without its spec values."""
    return VehicleForm(
        make=vehicle.make,
        model=vehicle.model,
        engine=vehicle.engine,
        year_from=str(vehicle.year_from),
        year_to="" if vehicle.year_to is None else str(vehicle.year_to),
        market=vehicle.market,
        evaporators=vehicle.evaporators,
        maker="" if vehicle.maker == vehicle.make else vehicle.maker,
        family=vehicle.family,
        build_from=vehicle.build_from,
        build_to=vehicle.build_to,
        generation=vehicle.generation,
        body=vehicle.body,
        vin_pattern=vehicle.vin_pattern,
        notes=vehicle.notes,
    )


def same_vehicle(draft: VehicleDraft, held: Iterable[Vehicle]) -> Vehicle | None:
    """The vehicle of the library that a draft would repeat, None when it is a new one."""
    wanted = _identity(draft)
    return next((one for one in held if _identity(one) == wanted), None)


def _identity(one: Vehicle | VehicleDraft) -> tuple[object, ...]:
    names = (one.make, one.model, one.engine, one.market, one.evaporators, one.generation, one.body)
    folded = (name.casefold().strip() for name in names)
    return (*folded, one.year_from, one.year_to, one.build_from, one.build_to)


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
    return SpecDraft(
        field,
        value,
        text,
        kind,
        clean(source.citation),
        tolerance,
        clean(source.revision),
        page=clean(source.page),
    )


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


def kind_of_source(source: SourceForm, of_what: str, problems: list[Problem]) -> SourceKind | None:
    """The kind of a source; what is wrong with the source is added to the problems."""
    kind = next((one for one in SourceKind if one == source.kind), None)
    if kind is None:
        problems.append(Problem("source_kind", f"Choose the kind of source of {of_what}."))
    problems += missing(
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


def _build_months(form: VehicleForm, problems: list[Problem]) -> tuple[str, str]:
    read: dict[str, str] = {}
    for entry, text in (("build_from", form.build_from), ("build_to", form.build_to)):
        try:
            read[entry] = read_build_month(text)
        except ValueError:
            words = f"'{text.strip()}' is no build month: write it as on the door label, 06/21 or 2021-06."
            problems.append(Problem(entry, words))
            read[entry] = ""
    first, last = read["build_from"], read["build_to"]
    if first and last and last < first:
        problems.append(Problem("build_to", f"The last build month, {last}, lies before the first."))
    return first, last


def _patterns(text: str) -> list[Problem]:
    wrong = unreadable_in(text)
    if not wrong:
        return []
    words = (
        f"'{wrong[0]}' is no VIN pattern: the characters of the VIN from the first on, ? for any, at most "
        "17, without I, O and Q."
    )
    return [Problem("vin_pattern", words)]


def missing(text: str, entry: str, words: str) -> list[Problem]:
    """The problem of an entry that must not be empty, if it is."""
    return [] if text.strip() else [Problem(entry, words)]


def clean(text: str) -> str:
    """A typed line without blanks around it, and with single ones within."""
    return " ".join(text.split())
