"""What the removal of a session takes away and what it leaves, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from knowngood_refdata.queries.session_removal import Belongings, Removal


_NAMED = 3


def what_goes(asked: Removal, chosen: Iterable[Belongings]) -> str:
    """What happens when the chosen sessions are removed."""
    return "\n\n".join((" ".join(_goes(asked, tuple(chosen))), " ".join(_stays(tuple(chosen)))))


def parts_words(asked: Removal) -> str:
    """What a person agrees to who removes the parts, too."""
    count = len(asked.parts)
    named = ", ".join(f"'{one.session.title}'" for one in asked.parts[:_NAMED])
    more = f" and {count - _NAMED} more" if count > _NAMED else ""
    return f"Also remove {counted(count, 'session')} cut out of it: {named}{more}"


def _goes(asked: Removal, chosen: tuple[Belongings, ...]) -> Iterator[str]:
    beside = f" and {counted(len(chosen) - 1, 'session')} cut out of it" if len(chosen) > 1 else ""
    verb = "leave" if len(chosen) > 1 else "leaves"
    yield f"'{asked.whole.session.title}'{beside} {verb} every list"
    told = [
        counted(
            sum(one.by_hand for one in chosen), "note or window set by hand", "notes and windows set by hand"
        ),
        counted(sum(one.service for one in chosen), "weighing or measurement", "weighings and measurements"),
    ]
    held = [one for one in told if not one.startswith("0 ")]
    yield f"with {' and '.join(held)}." if held else "with what was found in it."
    cases = sum(one.cases for one in chosen)
    if cases:
        yield f"Check-ups no longer learn from {counted(cases, 'confirmed case')} of it."
    left = len(asked.parts) - len(chosen) + 1
    if left:
        yield f"{counted(left, 'session')} cut out of it {'stays' if left == 1 else 'stay'}."


def _stays(chosen: tuple[Belongings, ...]) -> Iterator[str]:
    it = "they" if len(chosen) > 1 else "it"
    yield f"Samples and log stay in the library, so that {it} can be brought back at any time."
    readings = sum(one.readings for one in chosen)
    if readings:
        yield (
            f"{counted(readings, 'reading')} in the book taken from it "
            f"{'stays and counts' if readings == 1 else 'stay and count'} as before; "
            "if the recording was wrong, retire what the book took from it, too."
        )


def counted(number: int, one: str, several: str = "") -> str:
    """A number of things: ``1 session``, ``2 sessions``."""
    return f"{number} {one if number == 1 else several or f'{one}s'}"
