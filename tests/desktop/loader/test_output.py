"""What plugins print: kept in part under their name, the rest counted, the program's own output as before."""

from __future__ import annotations

import sys
import threading
import tracemalloc
from typing import TYPE_CHECKING

from knowngood.loader.output import MOST, Capture, Output

if TYPE_CHECKING:
    import pytest

    from .conftest import Load, Put


def test_of_100_megabytes_the_first_64_kilobytes_are_kept_and_the_rest_is_counted(
    put: Put, load: Load, capsys: pytest.CaptureFixture[str]
) -> None:
    put(
        "chatty.py",
        """
        import sys

        @hookimpl
        def pages():
            line = "The quick brown fox jumps over the lazy dog, and again" * 20
            for _ in range(50):
                sys.stdout.write(line * 1_000)
            for _ in range(50):
                sys.stderr.write(line * 1_000)
            return [page("chatty")]
        """,
    )
    plugins = load()
    tracemalloc.start()
    assert [one.key for one in plugins.pages()] == ["chatty"]
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    (status,) = plugins.status()
    assert status.printed_size == 54 * 20 * 1_000 * 100
    assert len(status.printed) == MOST
    assert status.printed.startswith("The quick brown fox")
    assert peak < 10_000_000
    captured = capsys.readouterr()
    assert len(captured.out) + len(captured.err) == MOST


def test_what_is_printed_at_import_and_by_a_failing_hook_is_kept(put: Put, load: Load) -> None:
    put("chatty.py", "print('at import')\n@hookimpl\ndef pages():\n    print('in a hook')\n    1/0")
    plugins = load()
    plugins.pages()
    assert plugins.status()[0].printed == "at import\nin a hook\n"


def test_bytes_count_too(put: Put, load: Load) -> None:
    put(
        "chatty.py",
        "import sys\nsys.stdout.buffer.write('21 °C'.encode())\n@hookimpl\ndef pages():\n    return []",
    )
    assert load().status()[0].printed == "21 °C"


def test_a_plugin_that_puts_another_stream_in_place_does_not_keep_it_there(put: Put, load: Load) -> None:
    before = sys.stdout
    put("thief.py", "import io, sys\nsys.stdout = io.StringIO()\n@hookimpl\ndef pages():\n    return []")
    load()
    assert sys.stdout is before


def test_other_threads_print_as_before(capsys: pytest.CaptureFixture[str]) -> None:
    capture, output = Capture(), Output()
    with capture.into(output):
        thread = threading.Thread(target=print, args=("from the program",))
        thread.start()
        thread.join()
        sys.stdout.write("from the plugin\n")
    assert output.text == "from the plugin\n"
    assert capsys.readouterr().out == "from the program\nfrom the plugin\n"


def test_one_plugin_that_asks_another_keeps_its_own_output() -> None:
    capture, outer, inner = Capture(), Output(), Output()
    with capture.into(outer):
        sys.stdout.write("a")
        with capture.into(inner):
            sys.stdout.write("b")
        sys.stdout.write("c")
    assert (outer.text, inner.text) == ("ac", "b")


def test_without_a_terminal_printing_is_no_failure(
    put: Put, load: Load, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stdout", None)
    put("chatty.py", "import sys\nprint('x', flush=True)\n@hookimpl\ndef pages():\n    return []")
    (status,) = load().status()
    assert status.failures == ()
    assert status.printed == "x\n"
