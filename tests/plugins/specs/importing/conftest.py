"""How texts with units are read in the program, and a way to plan a table in one step."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

import pytest

from knowngood.parsing import parse_with_tolerance
from knowngood.scales import System
from knowngood_specs.core.importing.existing import ExistingIndex
from knowngood_specs.core.importing.planning import plan
from knowngood_specs.core.importing.proposal import propose
from knowngood_specs.core.importing.reader import read_rows

if TYPE_CHECKING:
    from collections.abc import Iterable

    from knowngood_refdata.quantities import Kind
    from knowngood_refdata.records import Unit, Vehicle
    from knowngood_specs.core.importing.amounts import ReadQuantity
    from knowngood_specs.core.importing.plan import Plan


class Planned(Protocol):
    """Reads, understands and plans a file as proposed, its values from the label unless it says."""

    def __call__(
        self, data: bytes | str, held: Iterable[Vehicle] = (), units: Iterable[Unit] = ()
    ) -> Plan: ...


@pytest.fixture(scope="session")
def read() -> ReadQuantity:
    def quantity(text: str, kind: Kind) -> tuple[float, float | None]:
        return parse_with_tolerance(text, kind, System.SI)

    return quantity


@pytest.fixture(scope="session")
def planned(read: ReadQuantity) -> Planned:
    def run(data: bytes | str, held: Iterable[Vehicle] = (), units: Iterable[Unit] = ()) -> Plan:
        table = read_rows(data.encode() if isinstance(data, str) else data, "list.csv")
        mapping = propose(table).mapping.from_source("under-hood label", "photographed")
        return plan(table, mapping, ExistingIndex(held, units), read, this_year=2026)

    return run
