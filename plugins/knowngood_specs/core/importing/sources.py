"""The source of a value as the cells of a row name it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from knowngood_refdata.records import SourceKind
from knowngood_specs.core.importing.recognise import plain

_KINDS: dict[str, SourceKind] = {
    plain(phrase): kind
    for kind, phrases in (
        (
            SourceKind.UNDER_HOOD_LABEL,
            "under-hood label/underhood label/label/sticker/plate/aufkleber/etiquette",
        ),
        (SourceKind.BULLETIN, "bulletin/service bulletin/tsb/technical bulletin"),
        (
            SourceKind.SERVICE_INFORMATION,
            "service information/service manual/workshop manual/manual/book/handbook/workshop data",
        ),
        (SourceKind.MEASURED, "measured/weighed/recovered weight/gemessen"),
        (SourceKind.GENERIC, "generic/general/rule of thumb"),
    )
    for phrase in phrases.split("/")
}


@dataclass(frozen=True, slots=True)
class Source:
    """Where a value comes from, and who looked at it."""

    kind: SourceKind
    citation: str
    revision: str = ""
    page: str = ""
    reviewed_by: str = ""


@lru_cache(maxsize=1_024)
def kind_called(text: str) -> SourceKind | None:
    """The kind of source that a cell names, None when it names none.

    >>> kind_called("Workshop Manual"), kind_called("hearsay")
    (<SourceKind.SERVICE_INFORMATION: 'service information'>, None)
    """
    return _KINDS.get(plain(text)) if text else None
