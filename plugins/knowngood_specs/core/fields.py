"""The fields of a vehicle's specification: their names, what they hold, and what is commonly printed."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import CompressorKind, MeteringDevice

if TYPE_CHECKING:
    from collections.abc import Iterable


class Section(StrEnum):
    """Parts of a record, in their order."""

    CHARGE = "Charge and refrigerant"
    OIL = "Oil"
    COMPRESSOR = "Compressor"
    CIRCUIT = "Circuit"
    AIR = "Fans and air"
    ACCESS = "Ports and clamps"
    PROTECTION = "Protection"
    RETROFIT = "Retrofit"
    SHOP = "Of this shop"


@dataclass(frozen=True, slots=True)
class Field:
    """One field; ``kind`` is None for a text, ``choices`` are what is offered, never all that is taken.

    ``usual`` fields are named in a record even when nothing is on record of them.
    """

    name: str
    title: str
    kind: Kind | None = None
    choices: tuple[str, ...] = ()
    example: str = ""
    section: Section = Section.SHOP
    usual: bool = False


CHARGE = Field(
    "charge", "Charge weight", Kind.MASS, (), "470 ± 15 g, 17.6 oz or 0,50 kg", Section.CHARGE, usual=True
)
CHARGE_REAR = Field(
    "charge with rear unit", "Charge with rear unit", Kind.MASS, (), "1.36 kg", Section.CHARGE
)
REFRIGERANT = Field(
    "refrigerant", "Refrigerant", None, ("R-134a", "R-1234yf"), "", Section.CHARGE, usual=True
)
OIL = Field("oil", "Oil", Kind.VOLUME, (), "PAG 46, 120 mL", Section.OIL, usual=True)
OIL_PARTS = Field("oil refill", "Oil by part", None, (), "condenser 30 mL, evaporator 40 mL", Section.OIL)
OIL_APPROVED = Field(
    "oil approved for electric compressor",
    "Approved for an electric compressor",
    None,
    ("yes", "no"),
    "",
    Section.OIL,
)
COMPRESSOR = Field(
    "compressor", "Compressor", None, tuple(CompressorKind), "", Section.COMPRESSOR, usual=True
)
DISPLACEMENT = Field("displacement", "Displacement", Kind.VOLUME, (), "160 cc", Section.COMPRESSOR)
PULLEY = Field("pulley ratio", "Pulley ratio", None, (), "1.25", Section.COMPRESSOR)
CLUTCH = Field("clutch", "Clutch", None, ("with clutch", "clutchless"), "", Section.COMPRESSOR)
CONTROL = Field(
    "compressor control",
    "Control signal",
    None,
    ("duty cycle", "current", "speed request"),
    "duty cycle, minimum stroke when it is lost",
    Section.COMPRESSOR,
)
METERING = Field(
    "metering device", "Metering device", None, tuple(MeteringDevice), "", Section.CIRCUIT, usual=True
)
CONDENSER = Field(
    "condenser",
    "Condenser",
    None,
    ("with subcooling section and receiver", "separate receiver-drier", "no receiver, accumulator"),
    "",
    Section.CIRCUIT,
)
EXCHANGER = Field(
    "internal heat exchanger",
    "Internal heat exchanger",
    None,
    ("there is one", "there is none"),
    "",
    Section.CIRCUIT,
)
REGULATOR = Field(
    "evaporator pressure regulator",
    "Evaporator pressure regulator",
    None,
    ("there is one", "there is none"),
    "",
    Section.CIRCUIT,
)
EVAPORATORS = Field(
    "evaporators",
    "Evaporators",
    None,
    ("single evaporator", "dual evaporator"),
    "",
    Section.CIRCUIT,
    usual=True,
)
HEAT_PUMP = Field(
    "heat pump or battery chiller",
    "Heat pump, battery chiller",
    None,
    ("none", "heat pump", "battery chiller"),
    "",
    Section.CIRCUIT,
)
FAN = Field(
    "fan",
    "Fan",
    None,
    ("single-stage fan", "two-stage fan", "three-stage fan", "variable-speed fan"),
    "",
    Section.AIR,
    usual=True,
)
FAN_THRESHOLDS = Field(
    "fan thresholds", "Fan thresholds", None, (), "stage 2 on at 15 bar, off at 12 bar", Section.AIR
)
HIGH_PORT = Field(
    "high side port", "High side port", None, ("discharge line", "liquid line"), "", Section.ACCESS
)
LOW_PORT = Field(
    "low side port",
    "Low side port",
    None,
    ("suction line", "accumulator", "after the heat exchanger"),
    "",
    Section.ACCESS,
)
CLAMPS = Field(
    "clamp places", "Clamp places", None, (), "liquid line 10 cm behind the condenser", Section.ACCESS
)
LOW_CUT_OUT = Field("low cut-out", "Low pressure cut-out", Kind.PRESSURE, (), "2.0 bar", Section.PROTECTION)
HIGH_CUT_OUT = Field("high cut-out", "High pressure cut-out", Kind.PRESSURE, (), "32 bar", Section.PROTECTION)
RELIEF = Field("relief valve", "Relief valve", Kind.PRESSURE, (), "38 bar", Section.PROTECTION)
ORIGINAL_GAS = Field(
    "original refrigerant", "Original refrigerant", None, ("R-12", "R-134a"), "", Section.RETROFIT
)
RETROFIT_LABEL = Field(
    "retrofit label", "Retrofit label", None, ("on the car", "missing"), "", Section.RETROFIT
)

FIELDS = (
    CHARGE, CHARGE_REAR, REFRIGERANT,
    OIL, OIL_PARTS, OIL_APPROVED,
    COMPRESSOR, DISPLACEMENT, PULLEY, CLUTCH, CONTROL,
    METERING, CONDENSER, EXCHANGER, REGULATOR, EVAPORATORS, HEAT_PUMP,
    FAN, FAN_THRESHOLDS,
    HIGH_PORT, LOW_PORT, CLAMPS,
    LOW_CUT_OUT, HIGH_CUT_OUT, RELIEF,
    ORIGINAL_GAS, RETROFIT_LABEL,
)  # fmt: skip
"""In the order in which a record shows them."""


def with_shop_fields(own: Iterable[Field]) -> tuple[Field, ...]:
    """All fields in the order of a record: those that are added stand at the end of their section.

    Of several with one name the first is taken.
    """
    order = list(Section)
    known = {one.name for one in FIELDS}
    added = {one.name: one for one in reversed(list(own)) if one.name not in known}
    return tuple(sorted((*FIELDS, *reversed(added.values())), key=lambda one: order.index(one.section)))


def field_named(name: str, fields: Iterable[Field] = FIELDS) -> Field:
    """The field of a name; one that only this library knows is a text.

    >>> field_named("charge").kind
    <Kind.MASS: 'mass'>
    >>> field_named("belt").title
    'Belt'
    """
    return next((one for one in fields if one.name == name), Field(name, name.capitalize()))
