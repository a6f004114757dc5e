"""The command line: exit codes, words instead of tracebacks, plugins' commands."""

from __future__ import annotations

from pathlib import Path

import pytest

from knowngood import cli, paths, start
from knowngood.scales import System
from knowngood.settings import Settings, SettingsFile

from .approving import approve_all

PLUGIN = """
from knowngood.api import Command, LogRefused, hookimpl

def configure(parser):
    parser.add_argument("what")

def run(desk, options):
    if options.what == "refuse":
        raise LogRefused("The time runs backwards. Nothing was stored.")
    if options.what == "bug":
        raise KeyError("no such row")
    if options.what == "missing":
        open("no such file.csv")
    print(options.what, desk.system, desk.store.place)
    return 0

@hookimpl
def commands():
    return [Command("say", "say something 100 % sure", configure, run)]
"""
NO_TABLES = """
@hookimpl
def tables():
    raise ValueError("no tables today")
"""
BROKEN = "from knowngood.api import hookimpl\n@hookimpl\ndef commands():\n    return [1 / 0]\n"


@pytest.fixture
def library(library_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("KNOWNGOOD_LIBRARY", str(library_file))
    folder = tmp_path / "plugins"
    folder.mkdir()
    (folder / "speaker.py").write_text(PLUGIN, "utf-8")
    monkeypatch.chdir(tmp_path)
    return library_file


def run(*arguments: str) -> int:
    approve_all(Path("plugins"))
    return cli.main(["--plugins-folder", "plugins", *arguments])


def test_a_plugins_command_is_run_with_the_open_library(
    library: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("--units", "si", "say", "hello") == 0
    out = capsys.readouterr().out
    assert out.startswith("hello si ")
    assert "library" in out


def test_the_units_of_the_settings_hold_unless_others_are_asked_for(
    library: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    SettingsFile(paths.settings_file()).change(units=System.SI)
    run("say", "a")
    run("--units", "us", "say", "b")
    first, second = capsys.readouterr().out.splitlines()
    assert first.startswith("a si")
    assert second.startswith("b us")


def test_a_refused_log_is_bad_input_in_words(library: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("say", "refuse") == 2
    assert capsys.readouterr().err.strip().endswith("The time runs backwards. Nothing was stored.")


def test_a_missing_file_is_bad_input_in_words(library: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("say", "missing") == 2
    assert "no such file.csv: No such file" in capsys.readouterr().err


def test_a_missing_library_is_told_apart_from_bad_input(
    library: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    missing = tmp_path / "elsewhere.sqlite"
    assert run("--library", str(missing), "say", "hello") == 3
    assert "elsewhere.sqlite" in capsys.readouterr().err
    assert not missing.exists()


def test_a_bug_is_told_in_words_with_a_report_and_no_traceback(
    library: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("say", "bug") == 4
    err = capsys.readouterr().err
    assert "KeyError: 'no such row'" in err
    assert "Traceback" not in err
    (report,) = paths.crash_folder().iterdir()
    assert str(report) in err
    assert "Traceback" in report.read_text("utf-8")


def test_a_command_does_not_run_without_the_tables_of_its_plugin(
    library: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "plugins" / "speaker.py").write_text(PLUGIN + NO_TABLES, "utf-8")
    assert run("say", "hello") == 4
    captured = capsys.readouterr()
    assert captured.out == ""
    assert "no tables today" in captured.err
    assert "Traceback" not in captured.err


def test_a_broken_plugin_is_named_and_the_others_still_run(
    library: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "plugins" / "broken.py").write_text(BROKEN, "utf-8")
    assert run("say", "hello") == 0
    captured = capsys.readouterr()
    assert captured.out.startswith("hello")
    assert "The plugin 'broken' failed (commands: ZeroDivisionError" in captured.err


def test_a_command_that_cannot_be_set_up_says_why(
    library: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "plugins" / "speaker.py").write_text(
        PLUGIN.replace('parser.add_argument("what")', "1 / 0"), "utf-8"
    )
    assert run("say") == 4
    assert "setting up the command 'say'" in capsys.readouterr().err


def test_a_wrong_option_is_bad_input(library: Path) -> None:
    with pytest.raises(SystemExit) as ended:
        run("say")
    assert ended.value.code == 2


def test_help_lists_the_plugins_commands_and_the_exit_codes(
    library: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        run("--help")
    assert ended.value.code == 0
    out = capsys.readouterr().out
    assert "say something 100 % sure" in out
    assert "3 trouble with the library" in out.replace("\n", " ")


def test_plugins_are_listed_with_what_they_bring_and_how_they_failed(
    library: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "plugins" / "broken.py").write_text("1 / 0", "utf-8")
    assert run("plugins") == 0
    out = capsys.readouterr().out
    assert "speaker (plugins folder" in out
    assert "  command say" in out
    assert "  failed, loading: ZeroDivisionError: division by zero" in out


def test_broken_settings_are_told_and_do_not_stop_a_command(
    library: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    paths.settings_file().parent.mkdir(parents=True)
    paths.settings_file().write_text("{half", "utf-8")
    assert run("say", "hello") == 0
    assert "The settings could not be read" in capsys.readouterr().err


def test_the_library_is_taken_from_option_then_environment_then_settings(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    settings = Settings(library="by setting")
    assert start.library_target(None, settings) == "by setting"
    monkeypatch.setenv("KNOWNGOOD_LIBRARY", "by environment")
    assert start.library_target(None, settings) == "by environment"
    assert start.library_target("by option", settings) == "by option"
    monkeypatch.delenv("KNOWNGOOD_LIBRARY")
    assert start.library_target(None, Settings()) is None


def unapproved(*arguments: str) -> int:
    return cli.main(["--plugins-folder", "plugins", *arguments])


def test_a_plugin_that_nobody_approved_brings_no_command_and_is_told(
    library: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit):
        unapproved("say", "hello")
    assert "The plugin 'speaker' waits for your approval" in capsys.readouterr().err
    assert unapproved("plugins") == 0
    out = capsys.readouterr().out
    assert "  waiting for approval. It is new to" in out
    assert "  SHA-256 " in out


def test_a_plugin_is_approved_and_switched_on_the_command_line(
    library: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert unapproved("plugins", "--approve", "speaker") == 0
    assert "command say" in capsys.readouterr().out
    assert unapproved("say", "hello") == 0
    assert unapproved("plugins", "--disable", "speaker") == 0
    assert "  switched off." in capsys.readouterr().out
    with pytest.raises(SystemExit):
        unapproved("say", "hello")
    assert unapproved("plugins", "--enable", "speaker") == 0
    assert unapproved("say", "hello") == 0
    assert unapproved("plugins", "--refuse", "speaker") == 0
    with pytest.raises(SystemExit):
        unapproved("say", "hello")
    assert "Traceback" not in capsys.readouterr().err


def test_a_plugin_that_is_not_there_cannot_be_approved(
    library: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert unapproved("plugins", "--approve", "nobody") == 2
    assert "There is no plugin called 'nobody'." in capsys.readouterr().out


def test_safe_mode_leaves_the_plugins_of_others_out(
    library: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("--safe", "plugins") == 0
    assert (
        "  left out in safe mode. In safe mode only the program's own plugins run." in capsys.readouterr().out
    )
    with pytest.raises(SystemExit):
        run("--safe", "say", "hello")
