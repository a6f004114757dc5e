"""A plugin that keeps the window standing still is stopped and named."""

from __future__ import annotations

import sys
import threading
import time
from typing import TYPE_CHECKING

import pytest

from knowngood.loader import Plugins, State, find_sources
from knowngood.loader.exits import Exits
from knowngood.loader.interrupt import BytecodeInterrupt, SignalInterrupt
from knowngood.loader.status import PluginMistake
from knowngood.loader.watchdog import Watchdog

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from knowngood.loader.interrupt import Interrupt

    from .conftest import Put

LIMIT_S = 0.2
LOOP = "while True: pass"
STUBBORN = f"while True:\n        try:\n            {LOOP}\n        except Exception:\n            pass"
Watched = tuple[Plugins, list[str]]


@pytest.fixture(params=[SignalInterrupt, BytecodeInterrupt])
def interrupt(request: pytest.FixtureRequest) -> type[Interrupt]:
    kind: type[Interrupt] = request.param
    return kind


@pytest.fixture
def watched(folder: Path, interrupt: type[Interrupt]) -> Iterator[Callable[[], Watched]]:
    """Loads the plugins of the folder under a watchdog with little patience."""
    stuck: list[str] = []
    watchdog = Watchdog(
        limit_s=LIMIT_S, on_stuck=stuck.append, on_free=lambda: stuck.append("free"), interrupt=interrupt
    )
    made: list[Plugins] = []

    def watched() -> Watched:
        made.append(Plugins([one for one in find_sources(folder) if not one.built_in], watchdog=watchdog))
        return made[-1], stuck

    yield watched
    watchdog.close()
    for one in made:
        one.close()


@pytest.mark.parametrize("loop", [LOOP, STUBBORN, "import itertools\n    for _ in itertools.count(): pass"])
def test_an_endless_loop_in_a_hook_is_ended_and_the_others_are_asked(
    put: Put, watched: Callable[[], Watched], loop: str
) -> None:
    put("endless.py", f"@hookimpl\ndef pages():\n    {loop}")
    put("healthy.py", "@hookimpl\ndef pages():\n    return [page('x')]")
    plugins, stuck = watched()
    started = time.monotonic()
    assert [one.key for one in plugins.pages()] == ["x"]
    assert LIMIT_S / 2 < time.monotonic() - started < 20 * LIMIT_S
    endless, healthy = plugins.status()
    assert [one.words for one in endless.failures] == [
        "it kept the window standing still for too long and was stopped"
    ]
    assert healthy.failures == ()
    assert stuck[0] == "endless"
    time.sleep(LIMIT_S)
    assert stuck == ["endless", "free"]


def test_an_endless_loop_at_import_is_ended(put: Put, watched: Callable[[], Watched]) -> None:
    put("endless.py", "while True:\n    pass")
    put("healthy.py", "@hookimpl\ndef pages():\n    return [page('x')]")
    plugins, _ = watched()
    endless, healthy = plugins.status()
    assert (endless.state, healthy.state) == (State.FAILED, State.RUNNING)
    assert "standing still" in endless.failures[0].words


@pytest.mark.parametrize("interrupt", [SignalInterrupt], indirect=True)
@pytest.mark.parametrize("wait", ["time.sleep(600)", "threading.Event().wait()"])
def test_waiting_for_ever_is_ended_where_signals_can(
    put: Put, watched: Callable[[], Watched], wait: str
) -> None:
    put("waiting.py", f"import threading, time\n@hookimpl\ndef pages():\n    {wait}")
    plugins, _ = watched()
    plugins.pages()
    assert "standing still" in plugins.status()[0].failures[0].words


def test_a_plugin_that_is_slow_and_comes_back_in_time_is_left_alone(
    put: Put, watched: Callable[[], Watched]
) -> None:
    put(
        "slow.py",
        f"import time\n@hookimpl\ndef pages():\n    time.sleep({LIMIT_S / 3})\n    return [page('x')]",
    )
    plugins, stuck = watched()
    for _ in range(5):
        plugins.disable("slow")
        plugins.enable("slow")
        assert [one.key for one in plugins.pages()] == ["x"]
    assert stuck == []


def test_a_library_that_a_plugin_imports_is_not_broken_off(
    put: Put, watched: Callable[[], Watched], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "slow_library.py").write_text(f"import time\ntime.sleep({2 * LIMIT_S})\n")
    monkeypatch.syspath_prepend(tmp_path)
    put("user.py", "@hookimpl\ndef pages():\n    import slow_library\n    return [page('x')]")
    plugins, stuck = watched()
    assert [one.key for one in plugins.pages()] == ["x"]
    assert stuck == []
    del sys.modules["slow_library"]


def test_the_programs_own_long_work_is_left_alone(watched: Callable[[], Watched]) -> None:
    _, stuck = watched()
    time.sleep(3 * LIMIT_S)
    assert stuck == []


def test_work_of_a_plugin_on_another_thread_may_take_its_time(
    put: Put, watched: Callable[[], Watched]
) -> None:
    put(
        "worker.py",
        f"import time\n@hookimpl\ndef pages():\n    time.sleep({3 * LIMIT_S})\n    return [page('x')]",
    )
    plugins, stuck = watched()
    found: list[str] = []
    thread = threading.Thread(target=lambda: found.extend(one.key for one in plugins.pages()))
    thread.start()
    thread.join()
    assert found == ["x"]
    assert stuck == []


def test_a_loop_that_lets_the_window_go_on_is_left_alone(folder: Path, put: Put) -> None:
    """A page that asks something in a dialog of its own waits inside its factory while the window lives."""
    watchdog = Watchdog(limit_s=LIMIT_S)
    put(
        "asking.py",
        "import sys\n@hookimpl\ndef pages():\n    sys.knowngood_test_loop()\n    return [page('x')]",
    )

    def live() -> None:
        for _ in range(15):
            time.sleep(LIMIT_S / 5)
            watchdog.beat()

    sys.knowngood_test_loop = live  # type: ignore[attr-defined]
    try:
        plugins = Plugins([one for one in find_sources(folder) if not one.built_in], watchdog=watchdog)
        assert [one.key for one in plugins.pages()] == ["x"]
        plugins.close()
    finally:
        del sys.knowngood_test_loop  # type: ignore[attr-defined]
        watchdog.close()


def test_it_tells_whose_code_it_goes_into_and_when_it_comes_out(folder: Path, put: Put) -> None:
    moves: list[str] = []
    watchdog = Watchdog(limit_s=LIMIT_S, on_move=moves.append)
    with watchdog.inside("outer"), watchdog.inside("inner"):
        pass
    watchdog.close()
    assert moves == ["outer", "inner", "outer", ""]


def test_closing_gives_the_signal_and_the_thread_back() -> None:
    import signal

    before = signal.getsignal(signal.SIGUSR1)
    watchdog = Watchdog(limit_s=LIMIT_S)
    assert signal.getsignal(signal.SIGUSR1) is not before
    watchdog.close()
    assert signal.getsignal(signal.SIGUSR1) is before
    assert not [one for one in threading.enumerate() if one.name == "plugin watchdog"]


@pytest.mark.parametrize("call", ["sys.exit(1)", "exit()", "quit(2)"])
def test_a_plugin_cannot_end_the_program_and_the_program_can(put: Put, folder: Path, call: str) -> None:
    put("leaver.py", f"import sys\ndef leave():\n    {call}\n@hookimpl\ndef pages():\n    return []")
    plugins = Plugins([one for one in find_sources(folder) if not one.built_in])
    before = sys.exit
    exits = Exits(plugins.owners)
    exits.install()
    try:
        with pytest.raises(PluginMistake, match="wanted to end the program"):
            sys.modules["leaver"].leave()
        with pytest.raises(SystemExit):
            sys.exit(0)
    finally:
        exits.remove()
        plugins.close()
    assert sys.exit is before
