"""Approval: nothing of a plugin runs before its user has seen it, and again whenever it changes."""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING

import pytest

from knowngood.loader import Gate, State
from knowngood.loader.decisions import Decisions

if TYPE_CHECKING:
    from pathlib import Path

    from knowngood.loader import Plugins, PluginStatus

    from .conftest import Guarded, Pack, Put

RAN = "knowngood_test_ran"
LEAVES_A_TRACE = f"""
import sys
sys.{RAN} = True

@hookimpl
def pages():
    return [page("tallies", "Tallies")]
"""


@pytest.fixture(autouse=True)
def _no_trace(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delattr(sys, RAN, raising=False)


def ran() -> bool:
    return getattr(sys, RAN, False)


def only(plugins: Plugins) -> PluginStatus:
    (status,) = plugins.status()
    return status


def approve(plugins: Plugins, name: str = "tallies") -> None:
    status = {one.name: one for one in plugins.status()}[name]
    assert status.about is not None
    plugins.approve(name, status.about.sha256)


def test_a_new_plugin_waits_and_nothing_of_it_runs(put: Put, guarded: Guarded) -> None:
    path = put("tallies.py", '"""Counts the cars."""\n__version__ = "0.3"\n' + LEAVES_A_TRACE, head="")
    path.write_text("from knowngood.api import hookimpl\n" + path.read_text())
    plugins = guarded()
    status = only(plugins)
    assert not ran()
    assert "tallies" not in sys.modules
    assert plugins.pages() == ()
    assert (status.state, status.version) == (State.WAITING, "0.3")
    assert status.reason == "It is new to Ida Quill. Nothing of it has run."
    assert status.about is not None
    assert (status.about.files, status.about.size) == (1, path.stat().st_size)
    assert len(status.about.sha256) == 64


def test_an_approved_plugin_runs_at_once_and_at_every_start(put: Put, guarded: Guarded) -> None:
    put("tallies.py", LEAVES_A_TRACE)
    plugins = guarded()
    approve(plugins)
    assert ran()
    assert only(plugins).state is State.RUNNING
    assert [one.key for one in plugins.pages()] == ["tallies"]
    again = guarded()
    assert [one.key for one in again.pages()] == ["tallies"]


@pytest.mark.parametrize(
    "changed", ["shop_tallies/plugin.py", "shop_tallies/core.py", "shop_tallies/rates.csv"]
)
def test_whatever_file_of_it_changes_it_waits_again(put: Put, guarded: Guarded, changed: str) -> None:
    put("shop_tallies/core.py", "RATE = 40", head="")
    put("shop_tallies/rates.csv", "40", head="")
    put("shop_tallies/plugin.py", LEAVES_A_TRACE)
    approve(guarded(), "shop_tallies")
    path = put(changed, "import sys; sys.knowngood_test_ran = True", head="")
    assert path.exists()
    delattr(sys, RAN)
    status = only(guarded())
    assert not ran()
    assert status.state is State.WAITING
    assert status.reason.startswith("Its contents changed since Ida Quill approved it on 20")


def test_a_file_that_is_added_or_renamed_is_a_change(put: Put, guarded: Guarded) -> None:
    path = put("shop_tallies/rates.csv", "40", head="")
    put("shop_tallies/plugin.py", LEAVES_A_TRACE)
    approve(guarded(), "shop_tallies")
    path.rename(path.with_name("rate.csv"))
    assert only(guarded()).state is State.WAITING
    path.with_name("rate.csv").rename(path)
    assert only(guarded()).state is State.RUNNING
    put("shop_tallies/more.py", "", head="")
    assert only(guarded()).state is State.WAITING


def test_what_changes_between_looking_and_approving_does_not_run(put: Put, guarded: Guarded) -> None:
    put("tallies.py", LEAVES_A_TRACE)
    plugins = guarded()
    shown = only(plugins).about
    assert shown is not None
    put("tallies.py", LEAVES_A_TRACE + "\n# exchanged\n")
    plugins.approve("tallies", shown.sha256)
    assert not ran()
    status = only(plugins)
    assert status.state is State.WAITING
    assert "changed while you decided" in status.reason
    assert status.about is not None
    assert status.about.sha256 != shown.sha256
    approve(plugins)
    assert ran()


def test_what_changes_between_the_look_at_it_and_the_import_does_not_run(
    put: Put, guarded: Guarded, gate: Gate
) -> None:
    path = put("tallies.py", LEAVES_A_TRACE)
    approve(guarded())
    asked = gate.verdict
    exchanged = path.read_text() + "\nraise RuntimeError('exchanged')"

    class Slow(Gate):
        """Gives whoever wants to exchange the file all the time there is."""

        def verdict(self, *given: object) -> tuple[State, str]:
            path.write_text(exchanged)
            return asked(*given)  # type: ignore[arg-type]

    plugins = guarded(Slow(gate.decisions, user=gate.user))
    assert path.read_text() == exchanged
    assert only(plugins).failure is None
    assert [one.key for one in plugins.pages()] == ["tallies"]
    assert only(guarded()).state is State.WAITING


def test_a_refused_plugin_is_not_asked_about_again_until_it_changes(put: Put, guarded: Guarded) -> None:
    put("tallies.py", LEAVES_A_TRACE)
    plugins = guarded()
    about = only(plugins).about
    assert about is not None
    plugins.refuse("tallies", about.sha256)
    for one in (plugins, guarded()):
        assert only(one).state is State.REFUSED
        assert only(one).reason.startswith("Ida Quill refused it on 20")
    assert not ran()
    put("tallies.py", LEAVES_A_TRACE + "\n# mended\n")
    assert only(guarded()).state is State.WAITING


def test_each_user_of_the_library_decides_for_themselves(put: Put, guarded: Guarded, gate: Gate) -> None:
    put("tallies.py", LEAVES_A_TRACE)
    approve(guarded())
    delattr(sys, RAN)
    other = guarded(Gate(gate.decisions, user=lambda: "Ada Fell"))
    assert not ran()
    assert only(other).reason == "It is new to Ada Fell. Nothing of it has run."
    assert only(guarded()).state is State.RUNNING


def test_decisions_are_kept_with_name_hash_person_and_time(
    put: Put, guarded: Guarded, tmp_path: Path
) -> None:
    put("tallies.py", LEAVES_A_TRACE)
    plugins = guarded()
    approve(plugins)
    about = only(plugins).about
    assert about is not None
    (kept,) = json.loads((tmp_path / "decisions.json").read_text())["decisions"]
    assert kept.pop("when").endswith("+00:00")
    assert kept == {"user": "Ida Quill", "name": "tallies", "sha256": about.sha256, "approved": True}


def test_a_broken_file_of_decisions_is_set_aside_and_everything_waits(tmp_path: Path) -> None:
    path = tmp_path / "decisions.json"
    path.write_text('{"decisions": [{"user": "Ida')
    decisions = Decisions(path)
    assert decisions.latest("Ida Quill", "tallies") is None
    assert "could not be read" in decisions.messages[0]
    (aside,) = tmp_path.glob("decisions-unreadable-*.json")
    assert aside.read_text().startswith('{"decisions"')


def test_decisions_that_cannot_be_written_hold_until_the_end_and_say_so(tmp_path: Path) -> None:
    (tmp_path / "in the way").write_text("")
    decisions = Decisions(tmp_path / "in the way" / "decisions.json")
    decisions.decide("Ida Quill", "tallies", "0" * 64, approved=True)
    assert decisions.latest("Ida Quill", "tallies") is not None
    assert "cannot be kept" in decisions.messages[-1]


def test_an_installed_package_of_another_author_waits_too(install: Put, guarded: Guarded) -> None:
    path = install("tallies", LEAVES_A_TRACE)
    plugins = guarded()
    assert not ran()
    assert only(plugins).state is State.WAITING
    approve(plugins)
    assert ran()
    path.write_text(path.read_text() + "\n# changed\n")
    delattr(sys, RAN)
    assert only(guarded()).state is State.WAITING
    assert not ran()


def test_the_programs_own_plugins_need_no_approval_and_are_not_hashed() -> None:
    from knowngood.loader import Plugins, find_sources

    plugins = Plugins([one for one in find_sources(None) if one.name == "specs"], Gate())
    status = only(plugins)
    assert (status.state, status.built_in) == (State.RUNNING, True)
    assert status.about is not None
    assert status.about.sha256 == ""
    plugins.close()


def test_another_package_cannot_take_the_place_of_one_of_the_programs_own(install: Put) -> None:
    from knowngood.loader import find_sources

    install("specs", LEAVES_A_TRACE)
    places = [one.place for one in find_sources(None) if one.name == "specs"]
    assert places == ["knowngood_specs.plugin", "installed_specs"]


def test_a_packed_plugin_has_the_hash_of_its_folder_and_runs_unpacked(
    put: Put, pack: Pack, folder: Path, guarded: Guarded, tmp_path: Path
) -> None:
    body = (
        LEAVES_A_TRACE
        + "\nfrom pathlib import Path\nRATE = Path(__file__).with_name('rate.txt').read_text()\n"
    )
    source = put("shop_tallies/plugin.py", body)
    put("shop_tallies/rate.txt", "40", head="")
    unpacked = only(guarded()).about
    members = {f"shop_tallies/{one.name}": one.read_text() for one in source.parent.iterdir()}
    for one in source.parent.iterdir():
        one.unlink()
    source.parent.rmdir()
    pack("from the post.zip", members)
    plugins = guarded()
    about = only(plugins).about
    assert about == unpacked
    assert not (tmp_path / "unpacked").exists()
    approve(plugins, "shop_tallies")
    assert sys.modules["shop_tallies.plugin"].RATE == "40"
    assert about is not None
    assert (tmp_path / "unpacked" / about.sha256 / "shop_tallies" / "rate.txt").read_text() == "40"


def test_what_was_unpacked_and_tampered_with_is_unpacked_anew(
    pack: Pack, guarded: Guarded, tmp_path: Path
) -> None:
    pack(
        "tallies.zip",
        {"tallies/plugin.py": "from knowngood.api import *\n@hookimpl\ndef pages():\n    return []"},
    )
    approve(guarded())
    (lying,) = (tmp_path / "unpacked").rglob("plugin.py")
    lying.write_text("raise RuntimeError('tampered')")
    assert only(guarded()).state is State.RUNNING
    assert "tampered" not in lying.read_text()


def test_a_plugin_put_there_while_the_program_runs_is_found_on_request(
    put: Put, guarded: Guarded, folder: Path
) -> None:
    from knowngood.loader import find_sources

    plugins = guarded()
    assert plugins.status() == ()
    put("tallies.py", LEAVES_A_TRACE)
    plugins.take(one for one in find_sources(folder) if not one.built_in)
    assert only(plugins).state is State.WAITING
    (folder / "tallies.py").unlink()
    plugins.take(one for one in find_sources(folder) if not one.built_in)
    assert plugins.status() == ()
