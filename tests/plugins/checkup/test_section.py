"""The check-up's part of the report fits one sheet and says of every window what came of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood.api import CheckNote, NoteLevel
from knowngood.loader import Plugins, find_sources
from knowngood.program import RunningProgram
from knowngood.report import print_report
from knowngood.scales import System
from knowngood_checkup.section import sections
from knowngood_demo.shop import ensure_library
from knowngood_refdata.drafts import SessionDraft
from knowngood_refdata.queries import sessions
from knowngood_refdata.records import Channel, Conditions, Findings, Recording, Role
from knowngood_refdata.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

UNDERCHARGED = 2


@pytest.fixture
def noting(store: Store, monkeypatch: pytest.MonkeyPatch) -> RunningProgram:
    """A program whose plugins bring nothing but a caution."""
    plugins = Plugins(())
    note = CheckNote(NoteLevel.CAUTION, "The hood was shut <tight>.", "hood watch")
    monkeypatch.setattr(plugins, "session_checks", lambda _store, _session: (note,))
    return RunningProgram(store, plugins)


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


def test_the_notes_of_checks_stand_in_the_report_with_the_plugin_that_says_them(
    store: Store, noting: RunningProgram
) -> None:
    (section,) = sections(store, UNDERCHARGED, System.SI, noting)
    assert "<b>Caution:</b> The hood was shut &lt;tight&gt;. (plugin hood watch)" in section.html


def test_a_session_without_a_steady_window_is_reported_for_its_notes_alone(
    store: Store, noting: RunningProgram
) -> None:
    draft = SessionDraft(None, "short", "R-134a", "short.csv", Conditions(), findings=Findings())
    time = np.arange(5.0)
    recording = Recording(time, (Channel("P1", Role.LOW_SIDE, "kPa", True, time),))
    number = sessions.save(store, draft, recording, b"short")
    assert sections(store, number, System.SI) == []
    (section,) = sections(store, number, System.SI, noting)
    assert "The hood was shut" in section.html


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
