"""Who may run: by safe mode, switch, API version, policy, and a person's decision, in this order."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from knowngood.api import API_VERSION
from knowngood.loader.decisions import Decisions
from knowngood.loader.policy import Policy
from knowngood.loader.status import State

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood.loader.sources import Source
    from knowngood.loader.status import About

OLDEST_API = 1
"""The oldest version of the API that plugins written for it still run with."""
Verdict = tuple[State, str]
_MAY_RUN: Verdict = State.RUNNING, ""


def _nobody() -> str:
    return ""


def _unmarked(_plugin: str) -> contextlib.AbstractContextManager[None]:
    return contextlib.nullcontext()


@dataclass(slots=True)
class Gate:
    """Decides whether a plugin may run.

    Attributes
    ----------
    user
        Gives the name under which decisions are made and looked for.
    safe
        Whether only plugins of the program itself may run.
    trusting
        Whether nobody needs to approve: whoever named the plugins has decided.
    starting
        Entered around the import of a plugin with its name.
    """

    decisions: Decisions = field(default_factory=Decisions)
    policy: Policy = field(default_factory=Policy)
    user: Callable[[], str] = _nobody
    safe: bool = False
    trusting: bool = False
    starting: Callable[[str], contextlib.AbstractContextManager[None]] = _unmarked

    def verdict(self, source: Source, about: About | None) -> Verdict:
        """Whether a plugin may run, and a sentence when it may not.

        ``about`` is None for a plugin whose files were not looked at.
        """
        name = source.name if about is None else about.name
        if self.safe and not source.built_in:
            return State.LEFT_OUT, "In safe mode only the program's own plugins run."
        if self.decisions.is_off(name):
            return State.OFF, "It is switched off and does not run."
        if about is None:
            return State.FAILED, ""
        unfit = does_not_fit(about.api)
        if unfit:
            return State.DOES_NOT_FIT, unfit
        if source.built_in or self.trusting:
            return _MAY_RUN
        forbidden = self.policy.against(about.name, about.sha256)
        return (State.NOT_ALLOWED, forbidden) if forbidden else self._decided(about)

    def decide(self, name: str, sha256: str, *, approved: bool) -> None:
        """Remember what the user decides about a plugin with these contents."""
        self.decisions.decide(self.user(), name, sha256, approved=approved)

    def switch(self, name: str, *, on: bool) -> None:
        """Remember that a plugin is switched on or off."""
        self.decisions.switch(name, on=on)

    def _decided(self, about: About) -> Verdict:
        user = self.user()
        decision = self.decisions.latest(user, about.name, about.sha256)
        if decision is not None and decision.approved:
            return _MAY_RUN
        if decision is not None:
            return State.REFUSED, f"{user or 'You'} refused it on {decision.day}; nothing of it runs."
        former = self.decisions.latest(user, about.name)
        if former is not None and former.approved:
            return State.WAITING, (
                f"Its contents changed since {user or 'you'} approved it on {former.day}. "
                "Nothing of it has run since."
            )
        return State.WAITING, f"It is new to {user or 'you'}. Nothing of it has run."


def does_not_fit(api: int | None) -> str:
    """Why a plugin for this version of the API cannot run, in a sentence; empty when it can."""
    if api is None or OLDEST_API <= api <= API_VERSION:
        return ""
    if api > API_VERSION:
        return (
            f"It was written for version {api} of the plugin API, this program offers {API_VERSION}: "
            "bring the program up to date to use it."
        )
    return (
        f"It was written for version {api} of the plugin API, which this program no longer offers "
        f"(it offers {OLDEST_API} to {API_VERSION}): ask its author for a newer one."
    )
