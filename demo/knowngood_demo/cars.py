"""The invented cars of the demo shop: three makers, five system families, thirteen configurations.

All makers, models, documents and figures are invented; none stands for a real car.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from knowngood_demo.design import CompressorDesign, FanDesign, LoopDesign
from knowngood_refdata.quantities import ZERO_CELSIUS_K
from knowngood_refdata.records import CompressorKind, MeteringDevice, SourceKind

ORIFICE = MeteringDevice.ORIFICE_TUBE


@dataclass(frozen=True, slots=True)
class Citation:
    """Where the demo's spec values come from."""

    kind: SourceKind
    text: str
    revision: str = ""


LABEL = Citation(SourceKind.UNDER_HOOD_LABEL, "photograph taken at the first visit")


@dataclass(frozen=True, slots=True)
class Family:
    """Cars that share one A/C system design."""

    maker: str
    name: str
    design: LoopDesign
    book: Citation
    fan: str = "two-stage fan"
    oil: str = "PAG 46, 90 mL"


@dataclass(frozen=True, slots=True)
class Car:
    """One configuration; ``book_kg`` is the charge the book prints where it differs from the label.

    ``build`` holds the first and last month of a split within a model, ``2020-09``, empty without one.
    """

    family: Family
    model: str
    engine: str
    years: tuple[int, int | None]
    label_kg: float
    tolerance_kg: float = 0.015
    evaporators: str = "single evaporator"
    market: str = ""
    book_kg: float | None = None
    idle_rpm: float = 800.0
    note: str = ""
    vin_pattern: str = ""
    build: tuple[str, str] = ("", "")

    @property
    def design(self) -> LoopDesign:
        """The loop of a car of this configuration."""
        return replace(self.family.design, label_kg=self.label_kg)

    @property
    def name(self) -> str:
        """Make, model and engine in one line."""
        return f"{self.family.maker} {self.model} {self.engine}"


_SKERRY = Family(
    "Tarn",
    "Tarn small-car system S2",
    LoopDesign(
        "R-1234yf",
        0.470,
        CompressorDesign(
            CompressorKind.EXTERNAL_VARIABLE,
            displacement_m3=185e-6,
            pulley_ratio=1.5,
            air_off_k=ZERO_CELSIUS_K + 6.0,
            milder_k=1.3,
        ),
        fan=FanDesign(voltage_gain=0.06),
        evaporator_ua=1_300.0,
        subcooler_ua=45.0,
        valve_area_m2=2.0e-6,
        tightness=1.06,
    ),
    Citation(SourceKind.SERVICE_INFORMATION, "Tarn workshop data, section 82", "rev. B"),
)
_RILL = Family(
    "Tarn",
    "Tarn battery-car system E1",
    LoopDesign(
        "R-1234yf",
        0.600,
        CompressorDesign(CompressorKind.ELECTRIC, displacement_m3=34e-6, air_off_k=ZERO_CELSIUS_K + 5.0),
        fan=FanDesign(stage_kg_per_s=(0.55, 0.90)),
        evaporator_ua=1_300.0,
        valve_area_m2=1.9e-6,
    ),
    Citation(SourceKind.SERVICE_INFORMATION, "Tarn workshop data, section 87", "rev. A"),
    oil="grade as printed on the compressor, 120 mL",
)
_PLOVER = Family(
    "Fen",
    "Fen orifice-tube system",
    LoopDesign(
        "R-134a",
        0.680,
        CompressorDesign(CompressorKind.FIXED, air_off_k=ZERO_CELSIUS_K + 2.0),
        ORIFICE,
        condenser_air_ua=640.0,
        orifice_area_m2=0.86e-6,
    ),
    Citation(SourceKind.SERVICE_INFORMATION, "Fen service manual, chapter 12", "third printing"),
    oil="PAG 150, 210 mL",
)
_WADER = Family(
    "Fen",
    "Fen compact system, 2017",
    LoopDesign("R-1234yf", 0.520, CompressorDesign(CompressorKind.INTERNAL_VARIABLE), evaporator_ua=1_200.0),
    Citation(SourceKind.SERVICE_INFORMATION, "Fen service manual, chapter 14", "2019 edition"),
)
_WADER_EXPORT = replace(
    _WADER,
    design=replace(
        _WADER.design,
        refrigerant="R-134a",
        label_kg=0.570,
        compressor=replace(_WADER.design.compressor, suction_pa=272_000.0),
    ),
    oil="PAG 46, 100 mL",
)
"""The same system for markets that kept the older refrigerant: more of it by weight, another oil, and a
control valve set for the same evaporating temperature."""

_BRACKEN = Family(
    "Moor",
    "Moor van system",
    LoopDesign(
        "R-134a",
        0.750,
        CompressorDesign(CompressorKind.INTERNAL_VARIABLE, displacement_m3=170e-6, suction_pa=300_000.0),
        fan=FanDesign(stage_kg_per_s=(0.55, 0.95)),
        condenser_ua=1_800.0,
        condenser_air_ua=640.0,
        evaporator_ua=1_300.0,
        evaporator_air_kg_per_s=0.15,
    ),
    Citation(SourceKind.SERVICE_INFORMATION, "Moor fleet handbook, table 9", "edition 4"),
    oil="PAG 46, 180 mL",
)

SKERRY = Car(
    _SKERRY,
    "Skerry",
    "1.6 petrol",
    (2021, 2023),
    0.470,
    idle_rpm=780.0,
    vin_pattern="XDEMT01",
    build=("2020-09", ""),
)
PLOVER = Car(_PLOVER, "Plover", "1.8 petrol", (2011, 2016), 0.680)

_WADERS = "XDEMF"
"""What every Wader's VIN begins with: it tells neither engine nor market, so that a question settles it."""

CARS: tuple[Car, ...] = (
    SKERRY,
    Car(_SKERRY, "Skerry", "1.4 hybrid", (2021, 2023), 0.485, idle_rpm=900.0, vin_pattern="XDEMT02"),
    Car(
        _SKERRY,
        "Skerry",
        "1.6 petrol",
        (2018, 2020),
        0.490,
        book_kg=0.520,
        idle_rpm=780.0,
        note="The label and the book disagree: the label on the car prevails.",
        vin_pattern="XDEMT03",
        build=("", "2020-08"),
    ),
    Car(_SKERRY, "Gill", "1.6 petrol", (2020, None), 0.470, idle_rpm=780.0),
    Car(_RILL, "Rill", "electric", (2022, None), 0.600, 0.020),
    Car(_RILL, "Rill Estate", "electric", (2023, None), 0.900, 0.020, "dual evaporator"),
    PLOVER,
    Car(_PLOVER, "Plover Estate", "1.8 petrol", (2012, 2016), 0.700),
    Car(_WADER, "Wader", "1.2 petrol", (2017, 2022), 0.520, idle_rpm=820.0, vin_pattern=_WADERS),
    Car(
        _WADER,
        "Wader",
        "1.5 diesel",
        (2017, 2022),
        0.520,
        idle_rpm=830.0,
        market="export",
        vin_pattern=_WADERS,
    ),
    Car(_BRACKEN, "Bracken", "2.0 diesel", (2014, 2019), 0.750, 0.025),
    Car(_BRACKEN, "Bracken High Roof", "2.0 diesel", (2014, 2019), 1.150, 0.025, "dual evaporator"),
    Car(
        _WADER_EXPORT,
        "Wader",
        "1.2 petrol",
        (2017, 2022),
        0.570,
        idle_rpm=820.0,
        market="export",
        vin_pattern=_WADERS,
    ),
)
