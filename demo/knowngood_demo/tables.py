"""The published performance table that the demo's shop entered: invented, as its maker is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_refdata.published.pasted import read_table
from knowngood_refdata.published.set_up import SetUp
from knowngood_refdata.published.table import PerformanceTable
from knowngood_refdata.published.terms import Doors
from knowngood_refdata.queries.tables import TableDraft
from knowngood_refdata.records import AirSource, Opening

if TYPE_CHECKING:
    from knowngood_demo.cars import Car

PRINTED = """\
Ambient °C | Low side bar gauge | High side bar gauge | Vent °C
20-25 | 1.2-1.9 | 8.0-11.0 | max 7.5
25-30 | 1.3-2.1 | 9.5-13.0 | max 9.0
30-35 | 1.4-2.4 | 11.0-15.5 | max 11.0
"""


def idle_test(car: Car) -> TableDraft:
    """The table of the performance test at idle in the workshop book of a car's family.

    Raises
    ------
    ValueError
        When the table printed above cannot be read.
    """
    read = read_table(PRINTED)
    if read.grid is None:
        raise ValueError("; ".join(read.problems))
    set_up = SetUp(
        idle=True,
        blower=1.0,
        air_source=AirSource.RECIRCULATION,
        doors=Doors.CLOSED,
        hood=Opening.OPEN,
        sun=False,
        run_time_s=600.0,
        refrigerant=car.design.refrigerant,
        controls="maximum cold, vents",
    )
    table = PerformanceTable(title="Performance test at idle", parts=(read.grid,), set_up=set_up)
    book = car.family.book
    return TableDraft(table, book.kind, book.text, book.revision, page="82-14")
