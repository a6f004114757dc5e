"""What is noted about one plugin while the program runs."""

from __future__ import annotations

import contextlib
import time
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from knowngood.loader.status import Failure, PluginFailed, PluginStatus

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from typing import Any

    from knowngood.loader.sources import Source


@dataclass(slots=True)
class Record:
    """One plugin: its source, its failures, the time it took, and what it brought."""

    source: Source
    version: str
    loaded_ms: float = 0.0
    called_ms: float = 0.0
    failures: list[Failure] = field(default_factory=list)
    contributions: list[str] = field(default_factory=list)

    def fail(self, during: str, error: BaseException) -> Failure:
        """Note a failure; one that is known already is not listed again."""
        failure = Failure.of(during, error)
        if all((one.during, one.words) != (failure.during, failure.words) for one in self.failures):
            self.failures.append(failure)
        return failure

    def bring(self, contribution: str) -> None:
        """Note something that the plugin brought."""
        if contribution not in self.contributions:
            self.contributions.append(contribution)

    @contextlib.contextmanager
    def guarded(self, during: str, passing: tuple[type[Exception], ...] = ()) -> Iterator[None]:
        """Note what the plugin raises, ``SystemExit`` included, and count its time.

        Raises
        ------
        PluginFailed
            In the place of what the plugin raised, unless it is of a passing type or a Ctrl-C.
        """
        started = time.perf_counter()
        try:
            yield
        except BaseException as error:
            if isinstance(error, (KeyboardInterrupt, *passing)):
                raise
            raise PluginFailed(self.source.name, self.fail(during, error)) from error
        finally:
            self.called_ms += (time.perf_counter() - started) * 1e3

    def watched(self, during: str, function: Callable[[Any], Any]) -> Callable[[Any], Any]:
        """A function of the plugin whose failures are noted and raised as `PluginFailed`."""

        def call(argument: Any) -> Any:
            with self.guarded(during):
                return function(argument)

        return call

    def status(self, name: str) -> PluginStatus:
        """What is known now, frozen."""
        return PluginStatus(
            name,
            self.source.origin,
            self.source.place,
            self.version,
            self.loaded_ms,
            self.called_ms,
            tuple(self.failures),
            tuple(self.contributions),
        )
