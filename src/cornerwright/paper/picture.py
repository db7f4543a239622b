"""A drawing as PNG, by the same press as the pages, so that the lettering is the same everywhere."""

from __future__ import annotations

from typing import Any

import typst

from cornerwright.drawing.svg import Drawing, number
from cornerwright.paper.press import covered

DOTS_PER_INCH = 200.0


def png_of(drawing: Drawing, dots_per_inch: float = DOTS_PER_INCH) -> bytes:
    """The drawing as a PNG of its own size; nothing is fetched and nothing is read from the disk."""
    size = f"width: {number(drawing.width)}mm, height: {number(drawing.height)}mm"
    page = f'#set page({size}, margin: 0mm)\n#image("picture.svg", width: 100%, height: 100%)\n'
    svg = drawing.svg()
    # typst takes a set of files by name; its type stubs know single inputs only.
    files: Any = {"main.typ": page.encode(), "picture.svg": svg.encode()}
    png = typst.compile(files, format="png", ppi=dots_per_inch, ignore_system_fonts=covered(svg))
    if not isinstance(png, bytes):
        raise TypeError("typst gave no single picture")
    return png
