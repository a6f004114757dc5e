"""The facts as one table that wraps: for the screen and for paper."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from knowngood.widgets import theme
from knowngood_comparison.core.names import BOTH

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_comparison.core.facts_found import Cell, Group, Line

FROM_MEMORY = "from memory, not read again"
_NAME, _SIDE = "22%", "39%"


def facts_html(groups: Sequence[Group]) -> str:
    """Groups of facts, every text escaped; each fact with its source below, and a mark if from memory."""
    return "\n".join(_group(group) for group in groups)


def _group(group: Group) -> str:
    heads = "".join(f'<th width="{_SIDE}" align="left">{escape(name)}</th>' for name in BOTH)
    rows = "".join(_row(line) for line in group.lines)
    return (
        f"<h3>{escape(group.title)}</h3>"
        f'<table class="grid" width="100%" cellspacing="0" cellpadding="4">'
        f'<tr><th width="{_NAME}"></th>{heads}</tr>{rows}</table>'
    )


def _row(line: Line) -> str:
    name = f'<td width="{_NAME}">{escape(line.name)}</td>'
    if line.shared and line.first is not None:
        return f'<tr>{name}<td colspan="2">{_cell(line.first)}</td></tr>'
    cells = (f'<td width="{_SIDE}">{_cell(one)}</td>' for one in (line.first, line.second))
    return f"<tr>{name}{''.join(cells)}</tr>"


def _cell(cell: Cell | None) -> str:
    if cell is None:
        return _quiet("not on record", 10)
    note = f"<br>{_quiet(escape(cell.note), 9)}" if cell.note else ""
    memory = f'<span style="color:{theme.RUST}"><i>{FROM_MEMORY}:</i></span> ' if cell.from_memory else ""
    source = f"<br>{_quiet(memory + escape(cell.source), 8)}"
    return f"{escape(cell.text)}{note}{source}"


def _quiet(html: str, points: int) -> str:
    return f'<span style="color:{theme.QUIET}; font-size:{points}pt">{html}</span>'
