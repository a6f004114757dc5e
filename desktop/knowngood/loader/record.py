"""What is noted about one plugin while the program runs."""

from __future__ import annotations

import contextlib
import time
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from knowngood.loader.output import Capture, Output
from knowngood.loader.status import Cost, Failure, PluginFailed, PluginStatus, State

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from typing import Any

    from knowngood.loader.sources import Source
    from knowngood.loader.status import About
    from knowngood.loader.watchdog import Watchdog

_MOST_FAILURES = 20
READING, LOADING = "reading its files", "loading"
"""What is done with a plugin before it is asked for anything."""


@dataclass(slots=True)
class Record:
    """One plugin: its source, its failures, the time it took, and what it brought."""

    source: Source
    capture: Capture
    watchdog: Watchdog | None
    name: str = ""
    package: str = ""
    version: str = ""
    state: State = State.FAILED
    reason: str = ""
    about: About | None = None
    start_ms: float = 0.0
    costs: dict[str, tuple[int, float]] = field(default_factory=dict)
    failures: list[Failure] = field(default_factory=list)
    contributions: list[str] = field(default_factory=list)
    output: Output = field(default_factory=Output)

    def __post_init__(self) -> None:
        self.name = self.name or self.source.name
        self.version = self.version or self.source.version

    @property
    def loaded_ms(self) -> float:
        """The time for finding and importing it."""
        return sum(self.costs[one][1] for one in (READING, LOADING) if one in self.costs)

    @property
    def called_ms(self) -> float:
        """The time in everything else."""
        return sum(spent for _, spent in self.costs.values()) - self.loaded_ms

    def fail(self, during: str, error: BaseException) -> Failure:
        """Note a failure; one that is known already is not listed again."""
        failure = Failure.of(during, error)
        known = any((one.during, one.words) == (failure.during, failure.words) for one in self.failures)
        if not known and len(self.failures) < _MOST_FAILURES:
            self.failures.append(failure)
        return failure

    def bring(self, contribution: str) -> None:
        """Note something that the plugin brought."""
        if contribution not in self.contributions:
            self.contributions.append(contribution)

    @contextlib.contextmanager
    def guarded(self, during: str, passing: tuple[type[Exception], ...] = ()) -> Iterator[None]:
        """Note what the plugin raises, ``SystemExit`` included; count its time, bound what it prints.

        Raises
        ------
        PluginFailed
            In the place of what the plugin raised, unless it is of a passing type or a Ctrl-C.
        """
        started = time.perf_counter()
        try:
            with self.capture.into(self.output), self._watched_over():
                yield
        except BaseException as error:
            if isinstance(error, (KeyboardInterrupt, *passing)):
                raise
            raise PluginFailed(self.name, self.fail(during, error)) from error
        finally:
            calls, spent = self.costs.get(during, (0, 0.0))
            self.costs[during] = calls + 1, spent + (time.perf_counter() - started) * 1e3

    def watched(self, during: str, function: Callable[[Any], Any]) -> Callable[[Any], Any]:
        """A function of the plugin whose failures are noted and raised as `PluginFailed`."""

        def call(argument: Any) -> Any:
            with self.guarded(during):
                return function(argument)

        return call

    def status(self, name: str) -> PluginStatus:
        """What is known now, frozen."""
        return PluginStatus(
            name=name,
            origin=self.source.origin,
            place=self.source.place,
            built_in=self.source.built_in,
            version=self.version,
            state=self.state,
            reason=self.reason,
            about=self.about,
            loaded_ms=self.loaded_ms,
            called_ms=self.called_ms,
            start_ms=self.start_ms,
            costs=self._costs(),
            failures=tuple(self.failures),
            contributions=tuple(self.contributions),
            printed=self.output.text,
            printed_size=self.output.size,
        )

    def _costs(self) -> tuple[Cost, ...]:
        found = [Cost(what, calls, spent) for what, (calls, spent) in self.costs.items()]
        return tuple(sorted(found, key=lambda one: -one.total_ms))

    def _watched_over(self) -> contextlib.AbstractContextManager[None]:
        if self.watchdog is None:
            return contextlib.nullcontext()
        return self.watchdog.inside("" if self.source.built_in else self.name)
