"""The check-up's part of the report fits one sheet and says of every window what came of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from knowngood.loader import Plugins, find_sources
from knowngood.report import print_report
from knowngood.scales import System
from knowngood_checkup.section import sections
from knowngood_demo.shop import ensure_library
from knowngood_refdata.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

UNDERCHARGED = 2


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    opened = Store.open(ensure_library(tmp_path_factory.mktemp("shop") / "shop.sqlite"))
    yield opened
    opened.close()


def test_one_window_has_the_table_and_every_other_a_line(store: Store) -> None:
    (section,) = sections(store, UNDERCHARGED, System.US)
    assert section.html.count("<table") == 1
    for label in ("idle, fan stage 1", "2000 rpm, fan stage 1", "2000 rpm (2), fan stage 2"):
        assert label in section.html
    assert "below: " in section.html
    assert "Response to engine speed" in section.html


def test_text_from_outside_stays_text(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        "knowngood_checkup.section.sheet_text", lambda _comparison, _system: "<script>x</script>"
    )
    (section,) = sections(store, UNDERCHARGED, System.SI)
    assert "<script>" not in section.html


@pytest.mark.parametrize("system", System)
def test_the_report_on_the_demo_session_takes_one_sheet(
    store: Store, tmp_path: Path, system: System, qapp: object
) -> None:
    plugins = Plugins(find_sources())
    path = tmp_path / "report.pdf"
    assert print_report(store, plugins, UNDERCHARGED, system, path) == 1
    assert path.read_bytes().startswith(b"%PDF")
    plugins.close()
