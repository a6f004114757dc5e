"""A shop's own channels: at the cursor, in a table, while a log grows; a faulty one is named."""

from __future__ import annotations

import csv
import textwrap
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood.loader import Plugins, find_sources
from knowngood.scales import System
from knowngood_refdata.records import Conditions
from knowngood_refdata.store import Store
from knowngood_sessions.at_cursor import cursor_rows
from knowngood_sessions.core.following.follower import Follower
from knowngood_sessions.core.mapping.importing import prepare
from knowngood_sessions.csv_export import write_csv
from knowngood_sessions.followed import session_of
from knowngood_sessions.gather import load
from knowngood_sessions.library import Facts, prepare_for, save_log
from knowngood_sessions.sureness import sure_at

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from knowngood.api import DerivedChannel
    from knowngood_sessions.gather import Session

SHOP = """
    import numpy as np
    from knowngood.api import DerivedChannel, hookimpl
    from knowngood_refdata.quantities import Kind

    @hookimpl
    def derived_channels(refrigerant):
        return [
            DerivedChannel(
                "superheat to spare", "Superheat to spare", Kind.TEMPERATURE_DIFFERENCE, ("superheat",),
                lambda given: given["superheat"] - 2.0,
            ),
            DerivedChannel(
                "highest", "Highest pressure", Kind.PRESSURE, ("low side", "high side"),
                lambda given: np.maximum(given["high side"], given["low side"]),
            ),
        ]
"""
FAULTY = """
    from knowngood.api import DerivedChannel, hookimpl

    @hookimpl
    def derived_channels(refrigerant):
        def low(name, compute):
            return DerivedChannel(name, f"The {name} one", None, ("low side",), compute)

        return [
            low("wrong", lambda given: given["low side"][:3]),
            low("raising", lambda given: 1 / 0),
            low("fine", lambda given: given["low side"] / 1e5),
        ]
"""
OWN = {"superheat to spare", "highest", "fine"}


@pytest.fixture
def rules(tmp_path: Path) -> Iterator[tuple[DerivedChannel, ...]]:
    folder = tmp_path / "plugins"
    folder.mkdir()
    for name, text in {"shop.py": SHOP, "faulty.py": FAULTY}.items():
        (folder / name).write_text(f'"""A shop\'s channels."""\n{textwrap.dedent(text)}')
    plugins = Plugins([one for one in find_sources(folder) if one.name in ("sessions", "shop", "faulty")])
    yield plugins.derived_channels("R-134a")
    plugins.close()


@pytest.fixture
def session(tmp_path: Path, rules: tuple[DerivedChannel, ...], two_plateau_csv: bytes) -> Iterator[Session]:
    store = Store.open(tmp_path / "library.sqlite", user="R. Moss")
    prepared = prepare_for(store, two_plateau_csv, "bay 3.csv")
    stored = save_log(store, prepared, prepared.mapping, Facts(None, "R-134a"), two_plateau_csv)
    yield load(store, stored.session_id, rules)
    store.close()


def titles(session: Session) -> set[str]:
    return {one.key for one in session.traces} & OWN


def test_a_faulty_channel_loses_itself_alone_and_is_named_with_its_plugin(session: Session) -> None:
    assert titles(session) == OWN
    told = " ".join(session.problems)
    for words in ("'The wrong one' is missing", "'The raising one' is missing", "faulty"):
        assert words in told
    assert "The fine one" not in told


@dataclass(frozen=True)
class Shown:
    unit: str
    value: float
    reach: float


def at(session: Session, at_s: float, system: System) -> Mapping[str, Shown]:
    rows = cursor_rows(
        session.traces, session.samples, at_s, system, session.barometer_pa, sure_at(session, at_s)
    )
    return {
        one.key: Shown(
            one.unit, *(float((cell or "nan").replace("\N{MINUS SIGN}", "-")) for cell in one.cells)
        )
        for one in rows
        if one.cells[0] != "\N{EM DASH}"
    }


def test_a_shops_channel_is_read_at_the_cursor_with_unit_and_uncertainty_in_both_systems(
    session: Session,
) -> None:
    us, si = at(session, 100.0, System.US), at(session, 100.0, System.SI)
    assert (us["superheat to spare"].unit, si["superheat to spare"].unit) == (us["superheat"].unit, "K")
    assert us["superheat to spare"].value == pytest.approx(us["superheat"].value - 3.6, abs=0.11)
    assert us["superheat to spare"].reach == us["superheat"].reach > 1.0
    assert us["superheat"].reach == pytest.approx(1.8 * si["superheat"].reach, abs=0.1)
    # A class 1.6 gauge of 35 bar: 0.56 bar at most, 1.96/√3 of it with 95 %, gauge or not.
    assert si["highest"].reach == pytest.approx(si["high side"].reach)
    assert us["high side"].reach == pytest.approx(56_000.0 * 1.96 / 3**0.5 / 6_894.757, abs=0.06)
    assert us["highest"].value == us["high side"].value
    assert np.isnan(us["engine speed"].reach)


def test_a_shops_channel_stands_in_the_table_with_unit_and_uncertainty(
    session: Session, tmp_path: Path
) -> None:
    chosen = [one for one in session.traces if one.key in {"low side", "superheat to spare"}]
    path = tmp_path / "shown.csv"
    assert write_csv(path, session, chosen, (100.0, 104.0), System.SI) == 5
    rows = list(csv.DictReader(path.read_text(encoding="utf-8-sig").splitlines()))
    time, low, spare, sure = rows[0]
    assert (time, low.split(" (")[0]) == ("Time (s)", "low side")
    assert (spare, sure) == ("Superheat to spare (K)", "Superheat to spare, 95 % within ± (K)")
    values = next(one.values for one in session.traces if one.key == "superheat to spare")
    assert [float(row[spare]) for row in rows] == pytest.approx(values[100:105], abs=6e-4)
    assert float(rows[0][sure]) == pytest.approx(sure_at(session, 100.0)["superheat to spare"], abs=6e-4)


def test_a_shops_channel_grows_with_a_log_that_is_followed_and_ends_as_stored(
    rules: tuple[DerivedChannel, ...], session: Session, two_plateau_csv: bytes
) -> None:
    mapping = prepare(two_plateau_csv, "bay 3.csv").mapping
    follower = Follower("bay 3.csv", mapping, "R-134a", Conditions(), rules, settle_bytes=5_000)
    told: tuple[str, ...] = ()
    for at_byte in range(0, len(two_plateau_csv), 4_001):
        told = follower.feed(two_plateau_csv[at_byte : at_byte + 4_001]).told
    samples = follower.samples
    assert samples is not None
    grown = session_of("bay 3.csv", Facts(None, "R-134a"), samples, session.barometer_pa, rules=rules)
    assert titles(grown) == OWN
    stored = {one.key: one for one in session.traces}
    for one in grown.traces:
        assert (one.title, one.what, one.colour) == tuple(
            getattr(stored[one.key], name) for name in ("title", "what", "colour")
        )
        np.testing.assert_allclose(one.values, stored[one.key].values[: one.values.size])
    assert sure_at(grown, 300.0) == pytest.approx(sure_at(session, 300.0))
    assert sum("'The raising one' is missing" in one for one in told) == 1
