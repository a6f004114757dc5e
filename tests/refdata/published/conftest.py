"""Published tables, one of each shape: a public manual by name, and anonymised ones of vehicle makers."""

from __future__ import annotations

import pytest

from knowngood_refdata.published.axes import Axis, Column, Limit, Steps
from knowngood_refdata.published.curves import Band, Curves, Vertex
from knowngood_refdata.published.grid import Grid
from knowngood_refdata.published.pasted import read_table
from knowngood_refdata.published.set_up import SetUp
from knowngood_refdata.published.span import read_span
from knowngood_refdata.published.table import PerformanceTable
from knowngood_refdata.published.terms import Doors, Figure, Variable
from knowngood_refdata.quantities import Kind, unit
from knowngood_refdata.records import AirSource, MeteringDevice, Opening

CELSIUS = unit("°C", Kind.TEMPERATURE)
PERCENT = unit("%", Kind.FRACTION)
RPM = unit("rpm", Kind.ROTATION)


def grid(text: str) -> Grid:
    pasted = read_table(text)
    assert pasted.grid is not None, pasted.problems
    return pasted.grid


@pytest.fixture
def army() -> PerformanceTable:
    """US Army TM 5-3805-291-23-1, work package 0018, table 1 (public document)."""
    return PerformanceTable(
        title="US Army TM 5-3805-291-23-1, WP 0018, table 1",
        parts=(
            grid(
                "Ambient °C | High side psi | Low side psi\n"
                "21 | 120-190 | 10-20\n"
                "27 | 140-210 | 10-25\n"
                "32 | 170-240 | 15-30\n"
                "38 | 190-270 | 15-30\n"
                "43 | 210-300 | 15-30\n"
            ),
        ),
        set_up=SetUp(
            refrigerant="R-134a",
            metering=(MeteringDevice.EXPANSION_VALVE, MeteringDevice.ORIFICE_TUBE),
            run_time_s=600.0,
            notes="low side read just before the clutch disengages",
        ),
    )


@pytest.fixture
def two_inlets() -> PerformanceTable:
    """Vent by humidity and intake air, pressures by ambient, as one vehicle maker prints them (2010)."""
    vent = grid(
        "Vent °C\n"
        "RH % (cabin intake) \\ Intake °C\t20\t25\t30\n"
        "50-60\t6.0-8.0\t8.4-10.9\t14.5-17.5\n"
        "60-70\t7.1-9.1\t10.9-13.4\t17.5-20.5\n"
    )
    pressures = grid(
        "Ambient °C\tHigh side kPa\tLow side kPa\n"
        "25\t1,204-1,471\t171-209\n"
        "30\t1,300-1,590\t196-240\n"
        "35\t1,500-1,820\t229-280\n"
        "40\t1,870-2,285\t292-357\n"
    )
    humidity = Limit(Variable.HUMIDITY, PERCENT, read_span("50-70", PERCENT))
    return PerformanceTable(
        title="Performance test",
        parts=(vent, Grid(pressures.columns, pressures.cells, pressures.axes, limits=(humidity,))),
        set_up=SetUp(
            idle=True,
            blower=1.0,
            air_source=AirSource.RECIRCULATION,
            doors=Doors.CLOSED,
            windows=Opening.OPEN,
            hood=Opening.OPEN,
            sun=False,
            run_time_s=600.0,
            refrigerant="R-134a",
            controls="maximum cold, vents",
        ),
    )


@pytest.fixture
def generic() -> PerformanceTable:
    """One range that a vehicle maker printed for many models, whatever their design."""
    intake = Limit(Variable.INTAKE, CELSIUS, read_span("30-35", CELSIUS))
    return PerformanceTable(
        title="Gauge readings of a normal system",
        parts=(grid("Low side kPa | High side kPa\n150-250 | 1,370-1,570"),),
        set_up=SetUp(
            engine_rpm=read_span("1,500", RPM), doors=Doors.OPEN, refrigerant="R-134a", limits=(intake,)
        ),
        generic=True,
    )


@pytest.fixture
def static_gate() -> PerformanceTable:
    """The least pressure at rest, asked for before a running test with a second, wider table."""
    gate = grid("Ambient °C | Pressure at rest kPa\n>16 | min 345\n>24 | min 483\n>33 | min 690")
    first = grid(
        "Ambient °C | High side kPa | Vent °C\n21-26 | 900-1,300 | max 10\n26-32 | 1,100-1,600 | max 13"
    )
    second = grid("Ambient °C | High side kPa | Vent °C\n21-32 | 800-1,900 | max 16")
    return PerformanceTable(
        title="Pressure and performance",
        parts=(gate, first),
        wider=(second,),
        wider_when="for vehicle variation and high ambient",
    )


@pytest.fixture
def chart() -> PerformanceTable:
    """Vent temperature along intake temperature, a lower and an upper line for each band of humidity."""

    def line(*points: tuple[float, float]) -> tuple[Vertex, ...]:
        return tuple(Vertex(CELSIUS.to_si(along), CELSIUS.to_si(value)) for along, value in points)

    bands = (
        Band(line((20, 4), (25, 6), (35, 12)), line((20, 8), (35, 20))),
        Band(line((20, 6), (35, 15)), line((20, 10), (30, 18), (35, 24))),
    )
    stops = (read_span("50-60", PERCENT), read_span("60-70", PERCENT))
    curves = Curves(
        column=Column(Figure.VENT, CELSIUS),
        along=Variable.INTAKE,
        along_unit=CELSIUS,
        bands=bands,
        by=Axis(Variable.HUMIDITY, PERCENT, stops, Steps.BINS),
    )
    return PerformanceTable(
        title="Delivery temperature",
        parts=(curves,),
        set_up=SetUp(
            engine_rpm=read_span("1,500", RPM),
            blower=1.0,
            air_source=AirSource.FRESH,
            doors=Doors.FRONT_OPEN,
            hood=Opening.OPEN,
            run_time_s=600.0,
        ),
    )
