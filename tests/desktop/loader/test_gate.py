"""Who may run: policy, API version, safe mode."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from knowngood import paths, start
from knowngood.api import API_VERSION
from knowngood.loader import Gate, State
from knowngood.loader.policy import Policy
from knowngood.settings import Settings

if TYPE_CHECKING:
    from pathlib import Path

    from knowngood.loader import Plugins

    from .conftest import Guarded, Pack, Put

BODY = '@hookimpl\ndef pages():\n    return [page("tallies")]\n'


def approve_everything(plugins: Plugins) -> None:
    for one in plugins.status():
        assert one.about is not None
        plugins.approve(one.name, one.about.sha256)


def states(plugins: Plugins) -> dict[str, State]:
    return {one.name: one.state for one in plugins.status()}


def listing(plugins: Plugins, path: Path, *names: str) -> Policy:
    hashes = {one.name: one.about.sha256 for one in plugins.status() if one.about is not None}
    entries = ", ".join(f'{{ name = "{name}", sha256 = "{hashes[name]}" }}' for name in names)
    path.write_text(f"only = [{entries}]\n")
    return Policy.read(path)


def test_a_policy_allows_only_what_it_lists(put: Put, guarded: Guarded, gate: Gate, tmp_path: Path) -> None:
    put("tallies.py", BODY)
    put("games.py", BODY.replace("tallies", "games"))
    policy = listing(guarded(), tmp_path / "policy.toml", "tallies")
    plugins = guarded(Gate(gate.decisions, policy, gate.user))
    approve_everything(plugins)
    assert states(plugins) == {"games": State.NOT_ALLOWED, "tallies": State.RUNNING}
    games = plugins.status()[0]
    assert games.reason == f"The policy {tmp_path / 'policy.toml'} does not list it."


def test_a_policy_lists_contents_and_not_names(
    put: Put, guarded: Guarded, gate: Gate, tmp_path: Path
) -> None:
    put("tallies.py", BODY)
    policy = listing(guarded(), tmp_path / "policy.toml", "tallies")
    put("tallies.py", BODY + "# another\n")
    plugins = guarded(Gate(gate.decisions, policy, gate.user))
    approve_everything(plugins)
    (status,) = plugins.status()
    assert status.state is State.NOT_ALLOWED
    assert "lists 'tallies' with other contents" in status.reason


def test_what_a_policy_lists_still_waits_for_its_user(
    put: Put, guarded: Guarded, gate: Gate, tmp_path: Path
) -> None:
    put("tallies.py", BODY)
    policy = listing(guarded(), tmp_path / "policy.toml", "tallies")
    assert states(guarded(Gate(gate.decisions, policy, gate.user))) == {"tallies": State.WAITING}


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("only = [", "Invalid"),
        ("", "no list called 'only'"),
        ("only = 3", "no list called 'only'"),
        ('only = ["tallies"]', "has no name"),
        ('only = [{ name = "tallies" }]', "no sha256 of 64 digits"),
        ('only = [{ name = "tallies", sha256 = "9f86" }]', "no sha256 of 64 digits"),
    ],
)
def test_a_policy_that_cannot_be_read_allows_nothing(tmp_path: Path, text: str, told: str) -> None:
    path = tmp_path / "policy.toml"
    path.write_text(text)
    sentence = Policy.read(path).against("tallies", "0" * 64)
    assert sentence.startswith(f"The policy {path} cannot be read")
    assert told in sentence


def test_a_policy_that_is_named_and_not_there_allows_nothing(tmp_path: Path) -> None:
    assert "cannot be read" in Policy.read(tmp_path / "gone.toml").against("tallies", "0" * 64)


def test_without_a_policy_everything_may_be_approved() -> None:
    assert Policy.read(None).against("tallies", "0" * 64) == ""


def test_the_policy_is_taken_from_environment_then_settings_then_beside_the_library(
    tmp_path: Path, data_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    library = str(tmp_path / "shop" / "library.sqlite")
    assert start.policy_place(Settings(), library) is None
    assert start.policy_place(Settings(), "postgresql://office/knowngood") is None
    beside = tmp_path / "shop" / "plugin-policy.toml"
    beside.parent.mkdir()
    beside.write_text("only = []")
    assert start.policy_place(Settings(), library) == beside
    assert start.policy_place(Settings(), None) is None
    data_folder.mkdir()
    (data_folder / "plugin-policy.toml").write_text("only = []")
    assert start.policy_place(Settings(), None) == paths.data_folder() / "plugin-policy.toml"
    by_setting = tmp_path / "by setting.toml"
    assert start.policy_place(Settings(plugin_policy=str(by_setting)), library) == by_setting
    monkeypatch.setenv("KNOWNGOOD_PLUGIN_POLICY", "by environment.toml")
    assert str(start.policy_place(Settings(plugin_policy=str(by_setting)), library)) == "by environment.toml"


@pytest.mark.parametrize(
    ("version", "told"),
    [
        (
            API_VERSION + 1,
            f"for version {API_VERSION + 1} of the plugin API, this program offers {API_VERSION}",
        ),
        (0, "for version 0 of the plugin API, which this program no longer offers"),
    ],
)
def test_a_plugin_for_another_api_is_told_so_and_does_not_run(
    put: Put, guarded: Guarded, version: int, told: str
) -> None:
    put("tallies.py", f"API_VERSION = {version}\nraise RuntimeError('it ran')\n" + BODY)
    plugins = guarded()
    approve_everything(plugins)
    (status,) = plugins.status()
    assert status.state is State.DOES_NOT_FIT
    assert told in status.reason
    assert status.failures == ()


def test_a_plugin_for_this_api_or_one_that_does_not_say_runs(put: Put, guarded: Guarded) -> None:
    put("tallies.py", f"API_VERSION: int = {API_VERSION}\n" + BODY)
    put("silent.py", BODY.replace("tallies", "silent"))
    plugins = guarded()
    approve_everything(plugins)
    assert set(states(plugins).values()) == {State.RUNNING}
    silent, tallies = plugins.status()
    assert silent.about is not None
    assert tallies.about is not None
    assert (silent.about.api, tallies.about.api) == (None, API_VERSION)


def test_a_version_that_is_no_number_is_the_plugins_mistake(put: Put, guarded: Guarded) -> None:
    put("tallies.py", "API_VERSION = 'newest'\n" + BODY)
    (status,) = guarded().status()
    assert status.failure is not None
    assert "'newest', is no whole number" in status.failure.words


def test_in_safe_mode_the_files_of_others_are_not_even_read(
    put: Put, pack: Pack, guarded: Guarded, gate: Gate
) -> None:
    put("tallies.py", BODY)
    pack("broken.zip", {"../out.py": ""})
    plugins = guarded(Gate(gate.decisions, user=gate.user, safe=True, trusting=True))
    assert plugins.safe
    assert set(states(plugins).values()) == {State.LEFT_OUT}
    assert all(one.failures == () and one.about is None for one in plugins.status())


def test_in_safe_mode_the_programs_own_plugins_run() -> None:
    from knowngood.loader import Plugins, find_sources

    plugins = Plugins(find_sources(None), Gate(safe=True))
    own = [one.state for one in plugins.status() if one.built_in]
    assert len(own) >= 6
    assert set(own) == {State.RUNNING}
    plugins.close()
