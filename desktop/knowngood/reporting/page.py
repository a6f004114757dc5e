"""The report as one self-contained HTML page: no file, font or script is fetched from elsewhere."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import jinja2

if TYPE_CHECKING:
    from knowngood.reporting.content import Content

_HERE = Path(__file__).parent
_SCREEN = "@media screen { body { max-width: 190mm; margin: 8mm auto; padding: 0 6mm; } }"


def render(content: Content, *, for_print: bool = False) -> str:
    """The page; every text is escaped but the sections, whose plugins have done so.

    ``for_print`` leaves out what only a browser understands.
    """
    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(_HERE), autoescape=True, undefined=jinja2.StrictUndefined
    )
    style = (_HERE / "report.css").read_text("utf-8") + ("" if for_print else _SCREEN)
    template = environment.get_template("report.html.j2")
    return template.render(content=content, style=style)
