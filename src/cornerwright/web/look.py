"""The look: colours in pairs that are read at arm's length, dark and light; sizes for hands with gloves.

Every pair of text and ground is listed, and a test holds each against WCAG 2.1, 1.4.3 (contrast, AA: 4.5 to 1) and
1.4.11 (3 to 1 for what is not text).
"""

from __future__ import annotations

import re

LIGHT = {
    "ground": "#e6ebee",
    "plate": "#fbfcfd",
    "sunk": "#d5dde1",
    "ink": "#10181d",
    "soft": "#44525b",
    "line": "#75848d",
    "mark": "#0b4f6c",
    "on-mark": "#ffffff",
    "out": "#9b1c00",
    "stale": "#744300",
    "right": "#17572b",
    "member": "#7b868c",
}
DARK = {
    "ground": "#0e1417",
    "plate": "#1a2328",
    "sunk": "#26323a",
    "ink": "#f1f6f8",
    "soft": "#b9c7cf",
    "line": "#7c8f9a",
    "mark": "#86d3ee",
    "on-mark": "#06202b",
    "out": "#ffa48e",
    "stale": "#f3c46c",
    "right": "#92dba6",
    "member": "#8c99a1",
}
THEMES = {"light": LIGHT, "dark": DARK}

TEXT_ON: tuple[tuple[str, str], ...] = (
    ("ink", "ground"), ("ink", "plate"), ("ink", "sunk"), ("soft", "ground"), ("soft", "plate"), ("soft", "sunk"),
    ("mark", "plate"), ("mark", "ground"), ("on-mark", "mark"), ("out", "plate"), ("stale", "plate"),
    ("right", "plate"), ("out", "ground"), ("stale", "ground"), ("right", "ground"), ("plate", "out"),
    ("plate", "stale"), ("plate", "right"), ("mark", "sunk"),
)  # fmt: skip
"""Text and what it stands on."""

SHAPE_ON: tuple[tuple[str, str], ...] = (
    ("line", "plate"), ("line", "ground"), ("mark", "plate"), ("out", "plate"), ("member", "plate"),
)  # fmt: skip
"""Edges of fields, focus rings, lines of drawings, and what they stand on."""

TARGET = 48
"""Least side of what is tapped [CSS px]."""


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours (#rrggbb), 1 to 21. Source: WCAG 2.1, relative luminance."""
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    if not re.fullmatch("#[0-9a-f]{6}", colour):
        raise ValueError(f"'{colour}' is no colour as #rrggbb in small letters")
    parts = (int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5))
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _variables(theme: dict[str, str]) -> str:
    return "".join(f"--{name}:{colour};" for name, colour in theme.items())


def style() -> str:
    """The style sheet."""
    return (
        f":root{{color-scheme:light dark;{_variables(LIGHT)}}}"
        f"@media (prefers-color-scheme: dark){{:root:not([data-light]){{{_variables(DARK)}}}}}"
        f":root[data-dark]{{{_variables(DARK)}}}" + _SHEET.replace("TARGET", f"{TARGET}px")
    )


SIGNS = {"#000000": "var(--ink)", "#555555": "var(--soft)", "#dddddd": "var(--sunk)", "#a0a0a0": "var(--member)",
         "#ffffff": "var(--plate)", "#0b3c7d": "var(--mark)", "#8a1500": "var(--out)"}  # fmt: skip
"""Colours of a drawing on paper, and what they are on a screen."""


def on_screen(svg: str) -> str:
    """A drawing in the colours of the screen's theme, as wide as its place."""
    for paper, screen in SIGNS.items():
        svg = svg.replace(f'"{paper}"', f'"{screen}"')
    return re.sub(r' width="[^"]*mm" height="[^"]*mm"', "", svg, count=1)


_SHEET = """
*{box-sizing:border-box}
html,body{margin:0;background:var(--ground);color:var(--ink)}
body{font:17px/1.4 system-ui,sans-serif;font-variant-numeric:tabular-nums}
.nicegui-content{padding:0!important;gap:0!important;align-items:stretch!important;display:block!important}
.cw{max-width:1120px;margin:0 auto;padding:12px 12px 96px;display:block}
.cw h1{font-size:24px;line-height:1.15;letter-spacing:0;margin:4px 0 8px;font-weight:750}
.cw h2{font-size:19px;line-height:1.25;letter-spacing:0;margin:20px 0 8px;font-weight:700}
.cw ::placeholder{color:var(--soft);opacity:1}
.cw p{margin:4px 0}.cw p,.plate{overflow-wrap:anywhere}
.soft{color:var(--soft)}
.plate{background:var(--plate);border:1px solid var(--line);border-left:8px solid var(--line);padding:10px 12px;
 margin:0 0 10px;display:block;color:var(--ink);text-decoration:none}
.plate.out{border-left-color:var(--out)}.plate.stale{border-left-color:var(--stale)}
.plate.right{border-left-color:var(--right)}.plate.next{border-left-color:var(--mark)}
.word{font-weight:750;text-transform:none;display:inline-block;padding:1px 8px;border:2px solid currentColor}
.word.out{color:var(--out)}.word.stale{color:var(--stale)}.word.right{color:var(--right)}.word.next{color:var(--mark)}
.big{font-size:28px;font-weight:700;line-height:1.1}
.tap,a.tap,button.tap{min-height:TARGET;min-width:TARGET;display:inline-flex;align-items:center;justify-content:center;
 padding:8px 16px;border:2px solid var(--mark);background:var(--plate);color:var(--mark);font:inherit;font-weight:700;
 text-decoration:none;cursor:pointer;border-radius:2px;gap:8px}
.tap.first{background:var(--mark);color:var(--on-mark)}
.tap[disabled]{color:var(--soft);border-color:var(--line);cursor:default}
:focus-visible{outline:4px solid var(--mark);outline-offset:2px}
.walk{position:fixed;left:0;right:0;bottom:0;background:var(--plate);border-top:2px solid var(--line);display:flex;
 z-index:10;padding-bottom:env(safe-area-inset-bottom)}
.walk a{flex:1;min-height:60px;display:flex;align-items:center;justify-content:center;color:var(--ink);
 text-decoration:none;font-weight:650;font-size:15px;border-top:5px solid transparent}
.walk a[aria-current]{border-top-color:var(--mark);color:var(--mark)}
.skip{position:absolute;left:-9999px}.skip:focus{left:8px;top:8px;z-index:20}
.floor{display:grid;grid-template-columns:minmax(0,1fr) 40px minmax(0,1fr);gap:6px;align-items:stretch;margin-top:10px}
.floor .plate{margin:0;min-height:150px;border-left-width:6px;padding:8px}
.floor .tap{padding:8px 6px;font-size:15px}.floor .row{gap:4px}
.floor h2{margin:0 0 4px!important;font-size:17px}
.floor .shape{grid-column:2;grid-row:1/3}
.floor .shape svg{width:100%;height:100%}
.floor .right-side{grid-column:3}
.row{display:flex;gap:8px;flex-wrap:wrap;align-items:center}
.grid2{display:grid;grid-template-columns:1fr 1fr;gap:8px}
.four{display:grid;grid-template-columns:1fr 1fr;gap:8px}
.fact{background:var(--plate);border:1px solid var(--line);padding:6px 10px}
.fact b{font-size:22px;display:block;line-height:1.15}
.picture{background:var(--plate);border:1px solid var(--line);position:relative}
.picture svg{width:100%;height:auto;display:block;max-height:74vh}
.picture.chart svg{max-height:none}
.cw input[type=range]{width:100%;height:TARGET;accent-color:var(--mark);margin:0}
.cw label{font-weight:650;display:block}
.cw input.field,.cw select.field{width:100%;min-height:56px;font:inherit;font-size:24px;font-weight:650;
 padding:6px 10px;
 border:2px solid var(--line);background:var(--plate);color:var(--ink);border-radius:2px}
.cw input.field[aria-invalid=true]{border-color:var(--out)}
.cw table{border-collapse:collapse;width:100%}.cw th,.cw td{text-align:right;padding:4px 6px}
.cw th:first-child,.cw td:first-child{text-align:left}.cw tr{border-bottom:1px solid var(--line)}
.cw .pairs{table-layout:fixed;overflow-wrap:anywhere}.cw .pairs th{font-weight:500;width:50%}
.strong{font-weight:700}.lead{margin-left:8px}
.word.soft{color:var(--soft)}
.scroll{overflow-x:auto;margin:0 0 8px}
.cw select.field{width:100%;min-height:56px;font:inherit;font-size:18px;padding:6px 10px;border:2px solid var(--line);
 background:var(--plate);color:var(--ink);border-radius:2px}
.cw label.check{display:flex;align-items:center;gap:12px;min-height:TARGET;font-weight:650}
.check input{width:32px;height:32px;flex:none;accent-color:var(--mark);margin:0}
[aria-live]{scroll-margin-top:72px}
.file{position:relative}.file input{position:absolute;opacity:0;width:100%;height:100%;left:0;top:0;cursor:pointer}
.file:focus-within{outline:4px solid var(--mark);outline-offset:2px}
.cw details{margin:8px 0}.cw summary{min-height:TARGET;display:flex;align-items:center;font-weight:700;cursor:pointer;
 color:var(--mark)}
.thumb{width:96px;height:96px;object-fit:cover;border:1px solid var(--line)}
.shot{display:block;min-height:TARGET}
.shot img{max-width:100%;max-height:320px;display:block;margin-top:6px}
.plate .field{margin-bottom:8px}
.caution{border:2px solid var(--stale);padding:8px 12px;background:var(--plate);margin-top:16px}
.tick{display:flex;gap:12px;align-items:flex-start;width:100%;text-align:left}
.box{flex:none;width:40px;height:40px;border:3px solid var(--mark);display:grid;place-items:center;font-size:28px;
 line-height:1;color:var(--mark);background:var(--plate)}
.done .big{text-decoration:line-through;text-decoration-thickness:2px}
@media (min-width:800px){.walk{position:sticky;top:0;bottom:auto;border-top:0;border-bottom:2px solid var(--line)}
 .wide{display:grid;grid-template-columns:minmax(0,5fr) minmax(0,6fr);gap:20px;align-items:start}
 .four{grid-template-columns:1fr 1fr}.floor{grid-template-columns:1fr 180px 1fr}.cw{padding-bottom:32px}
 .floor .plate{min-height:200px}.measure{display:grid;grid-template-columns:1fr 1fr;gap:0 20px}}
"""
