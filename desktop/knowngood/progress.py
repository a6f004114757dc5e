"""How long work tells how far it is, and hears that it should stop."""

from __future__ import annotations

from typing import Protocol


class Cancelled(Exception):  # noqa: N818 - an answer to the user's wish, not an error
    """Raised by a task's progress call after the user asked to stop."""


class Progress(Protocol):
    """What a piece of work calls now and then: how far it is, and at what."""

    def __call__(self, fraction: float, text: str = "") -> None:
        """Report a fraction from 0 to 1. Raises `Cancelled` once the user asked to stop."""
