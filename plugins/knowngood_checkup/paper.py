"""A section of the check-up as the body of a sheet of paper, every text escaped."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from knowngood_checkup.explain_words import (
    argument_words,
    hidden_words,
    next_words,
    percent,
    size_words,
    standing_words,
)
from knowngood_checkup.section import ranges_html

if TYPE_CHECKING:
    from collections.abc import Iterator

    from knowngood.formatting import System
    from knowngood_checkup.core.explained import Explained
    from knowngood_checkup.gather import SessionCheck

MOST_ARGUMENTS = 3


def section_html(key: str, check: SessionCheck, system: System) -> str:
    """The section with a key; each begins with the car and the session."""
    head = (
        f"<p><b>{escape(check.vehicle.name if check.vehicle else '')}</b><br/>{escape(check.info.title)}</p>"
    )
    parts = {"explanations": explanations_html, "book": _book_html}
    body = parts[key](check, system) if key in parts else ranges_html(check, system)
    return head + body


def explanations_html(check: SessionCheck, system: System) -> str:
    """The ranking with its evidence, what stays hidden and what to measure next."""
    explained = check.checkup.explained
    parts = [f"<p class='outcome'>{escape(standing_words(explained))}</p>"]
    if explained is not None:
        parts += list(_ranking(explained, system))
    return "".join(parts)


def _ranking(explained: Explained, system: System) -> Iterator[str]:
    yield "<table width='100%' cellspacing='0' cellpadding='2'>"
    for one in explained.weighed:
        if one.fault not in explained.arguments:
            continue
        told = explained.arguments.get(one.fault, ())[:MOST_ARGUMENTS]
        why = "<br/>".join(
            escape(f"{'for' if each.odds > 0 else 'against'}: {argument_words(each, system)}")
            for each in told
        )
        yield (
            f"<tr><td><b>{escape(one.fault)}</b><br/>{escape(size_words(one))}</td>"
            f"<td>{escape(percent(one.probability))}</td><td>{why}</td></tr>"
        )
    yield "</table>"
    for line in hidden_words(explained):
        yield f"<p class='sheet'>{escape(line)}</p>"
    if explained.next:
        offer = explained.next[0]
        yield f"<p><b>Next:</b> {escape(offer.measurement.what)} {escape(next_words(offer))}</p>"


def _book_html(check: SessionCheck, _system: System) -> str:
    rows = []
    for window, asked in zip(check.findings.windows, check.asked, strict=True):
        rows.append(f"<h3>{escape(window.label)}</h3><table cellpadding='2'>")
        rows += [
            f"<tr><td>{escape(one.needed)}</td><td>{escape(one.state)}</td><td>{escape(one.why)}</td></tr>"
            for one in asked
        ]
        rows.append("</table>")
    return "".join(rows)
