"""How findings that are stored as documents are looked at when they come from a file."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from knowngood_refdata.exchange.forms import Form, document, misfit, same
from knowngood_refdata.queries.finding_documents import (
    behaviour_document,
    behaviour_of,
    evidence_document,
    evidence_of,
    whole_document,
    whole_of,
)
from knowngood_refdata.records import Stroke

if TYPE_CHECKING:
    from collections.abc import Callable


def _form(words: str, again: Callable[[dict[str, Any]], dict[str, Any]]) -> Form:
    """The form of a document that comes back the same from what it says."""

    def read(value: Any) -> dict[str, Any]:
        given = document(value)
        try:
            found = again(given)
        except (KeyError, TypeError, ValueError, AttributeError):
            raise misfit(words, given) from None
        if found != given:
            raise misfit(words, given)
        return given

    return Form(words, same, read, {})


BEHAVIOUR = _form("the behaviour by quantity", lambda one: behaviour_document(behaviour_of(one)))
EVIDENCE = _form("a stretch of time and its channels", lambda one: evidence_document(evidence_of(one)))
WHOLE = _form(
    "what was found of a session as a whole", lambda one: whole_document(whole_of(one, Stroke.FULL.value))
)
