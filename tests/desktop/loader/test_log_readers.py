"""Log readers of plugins: asked once, in order, checked, and their failures kept to themselves."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from knowngood.progress import Cancelled
from knowngood_refdata.logs import LogUnreadable, ReaderFailed, SeveralLogs

if TYPE_CHECKING:
    from knowngood.loader import Plugins

    from .conftest import Load, Put

HEAD = """
from knowngood.api import LogReader, LogRefused, hookimpl
from knowngood_refdata.logs import Column, LogTable, LogUnreadable, SeveralLogs

def claims(head, name):
    return head.startswith(b"FLEET")

def read(data, name, proceed):
    proceed(0.5)
    rows = [line.split() for line in data.decode().splitlines()[1:]]
    time, low = zip(*rows)
    columns = [Column.of("Time", "s", time), Column.of("P low", "psig", low)]
    return LogTable.of(name, columns, time="Time")

def reader(name="Fleet", endings=(".dat",), claims=claims, read=read, **more):
    return LogReader(name, endings, claims, read, **more)
"""
FILE = b"FLEET 1\n0 30.1\n1 30.2\n2 30.4\n"


def failures(plugins: Plugins) -> list[str]:
    return [failure.words for one in plugins.status() for failure in one.failures]


def ignore(_: float) -> None:
    pass


def test_a_shops_reader_is_asked_once_and_reads_its_files(put: Put, load: Load) -> None:
    put("fleet.py", "@hookimpl\ndef log_readers():\n    return [reader()]", head=HEAD)
    plugins = load()
    (one,) = plugins.log_readers()
    assert plugins.log_readers()[0] is one
    assert one.claims(FILE, "run.dat")
    assert not one.claims(b"Time,P", "run.csv")
    table = one.read(FILE, "run.dat", ignore)
    assert table.column("P low").numbers.tolist() == [30.1, 30.2, 30.4]
    assert [one.contributions for one in plugins.status()] == [("log readers",)]


def test_readers_of_whole_families_of_files_are_asked_last(put: Put, load: Load) -> None:
    put("a.py", "@hookimpl\ndef log_readers():\n    return [reader('Any text', general=True)]", head=HEAD)
    put("b.py", "@hookimpl\ndef log_readers():\n    return [reader('One logger')]", head=HEAD)
    assert [one.name for one in load().log_readers()] == ["One logger", "Any text"]


@pytest.mark.parametrize(
    ("answer", "told"),
    [
        ("1/0", "ZeroDivisionError"),
        ("[3]", "returned a int in the place of a LogReader"),
        ("[reader('')]", "it needs a name"),
        ("[reader(endings='.dat')]", "the endings is a str, not a tuple"),
        ("[reader(endings=('dat',))]", "the ending 'dat' does not begin with a point"),
        ("[reader(claims=True)]", "claims is a bool, which cannot be called"),
        ("[reader(read=None)]", "read is None, which cannot be called"),
        ("[reader(), reader()]", "the name is used by the plugin 'broken'"),
    ],
)
def test_a_wrong_reader_is_the_plugins_failure_in_words(put: Put, load: Load, answer: str, told: str) -> None:
    put("broken.py", f"@hookimpl\ndef log_readers():\n    return {answer}", head=HEAD)
    put("healthy.py", "@hookimpl\ndef log_readers():\n    return [reader('Other')]", head=HEAD)
    plugins = load()
    assert [one.name for one in plugins.log_readers()] == ["Other"]
    assert told in failures(plugins)[0]


@pytest.mark.parametrize(
    ("body", "told"),
    [
        ("raise KeyError('P low')", "KeyError"),
        ("raise SystemExit", "wanted to end the program"),
        ("return None", "returned a NoneType instead of a LogTable"),
        ("return LogTable.of(name, [])", "holds no column or no row"),
        ("return LogTable.of(name, [Column.of('', 's', [1, 2])])", "has no name"),
        ("return LogTable.of(name, [Column.of('a', 's', [1])] * 2)", "several columns called 'a'"),
        (
            "return LogTable.of(name, [Column.of('a', 's', [1, 2]), Column.of('b', 's', [1])])",
            "'b' has not one value for each of the 2 rows",
        ),
        ("return LogTable.of(name, [Column('a', 's', [1, 2])])", "no array of floats"),
        ("return LogTable.of(name, [Column.of('a', 's', [1, float('inf')])])", "holds infinity"),
        ("return LogTable.of(name, [Column.of('a', 's', [1, 2])], time='t')", "'t' is none of its columns"),
    ],
)
def test_a_reader_that_fails_is_noted_and_says_so(put: Put, load: Load, body: str, told: str) -> None:
    put(
        "fleet.py",
        f"def bad(data, name, proceed):\n    {body}\n\n@hookimpl\ndef log_readers():\n"
        "    return [reader(read=bad)]",
        head=HEAD,
    )
    plugins = load()
    with pytest.raises(ReaderFailed, match="The plugin 'fleet' failed"):
        plugins.log_readers()[0].read(FILE, "run.dat", ignore)
    assert told in failures(plugins)[0]


@pytest.mark.parametrize("answer", ["1/0", "None", "'yes'"])
def test_a_reader_that_cannot_say_whether_a_file_is_its_own_claims_none(
    put: Put, load: Load, answer: str
) -> None:
    put(
        "fleet.py",
        f"@hookimpl\ndef log_readers():\n    return [reader(claims=lambda h, n: {answer})]",
        head=HEAD,
    )
    plugins = load()
    assert plugins.log_readers()[0].claims(FILE, "run.dat") is False
    assert len(failures(plugins)) == 1


@pytest.mark.parametrize("error", ["LogUnreadable", "LogRefused"])
def test_a_refusal_in_words_is_no_failure(put: Put, load: Load, error: str) -> None:
    put(
        "fleet.py",
        f"def bad(data, name, proceed):\n    raise {error}('the log is broken off')\n\n"
        "@hookimpl\ndef log_readers():\n    return [reader(read=bad)]",
        head=HEAD,
    )
    plugins = load()
    with pytest.raises(LogUnreadable, match="broken off"):
        plugins.log_readers()[0].read(FILE, "run.dat", ignore)
    assert failures(plugins) == []


def test_several_logs_in_a_file_are_named_and_one_of_them_can_be_read(put: Put, load: Load) -> None:
    put(
        "fleet.py",
        """
        def several(data, name, proceed):
            raise SeveralLogs(["morning", "evening"], "The file holds two runs")

        def one_of_them(data, name, proceed, part):
            return LogTable.of(part, [Column.of("Time", "s", [0, 1])])

        @hookimpl
        def log_readers():
            return [reader(read=several, read_part=one_of_them)]
        """,
        head=HEAD,
    )
    plugins = load()
    (one,) = plugins.log_readers()
    with pytest.raises(SeveralLogs) as caught:
        one.read(FILE, "run.dat", ignore)
    assert caught.value.parts == ("morning", "evening")
    assert one.read_part is not None
    assert one.read_part(FILE, "run.dat", ignore, "evening").source_name == "evening"
    assert failures(plugins) == []


def test_a_stop_by_the_user_is_no_failure(put: Put, load: Load) -> None:
    put("fleet.py", "@hookimpl\ndef log_readers():\n    return [reader()]", head=HEAD)
    plugins = load()

    def stop(_: float) -> None:
        raise Cancelled

    with pytest.raises(Cancelled):
        plugins.log_readers()[0].read(FILE, "run.dat", stop)
    assert failures(plugins) == []
