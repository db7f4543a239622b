"""Fields of a screen: sent as they are typed, and kept on the phone until the app says that it has them."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping

from nicegui import ui

from cornerwright.web.screens.frame import Words

TYPING = 0.25
"""Least time between two stores of a field that is being typed [s]."""
VALUE = "(e) => emit(e.target.value)"
"""What a browser sends of a field."""
CHECKED = "(e) => emit(e.target.checked)"
"""What it sends of a box to tick."""


def sent(field: str) -> str:
    """What a browser sends of a field that it also keeps, under this name, until it hears `cwKept`."""
    return f"(e) => {{cwTyped('{field}',e.target.value); emit(e.target.value)}}"


def select(name: str, options: Mapping[str, str], chosen: str, then: Callable[[str], None]) -> ui.element:
    """One of a few: what `then` is told, and the words for it."""
    one = ui.element("select").classes("field").props(f'id="{name}"')
    with one:
        for key, words in options.items():
            option = Words("option", words)
            option.props["value"] = key
            if key == chosen:
                option.props("selected")
    one.on("change", lambda event: then(str(event.args or "")), js_handler=VALUE)
    return one


def trouble(words: str = "") -> Words:
    """The place below a field for what is wrong with it; spoken when it is said."""
    return Words("p", words).style("color:var(--out);font-weight:700").props('role="status"')


def tell_field(what: str, field: str, value: object) -> None:
    """Tell the browser about a field, without touching the element: what is being typed stays.

    what: `cwKept`: this text is on the disk; `cwShow`: another phone has entered this text; `cwWrong`: whether
    something is wrong with it.
    """
    ui.run_javascript(f"{what}({json.dumps(field)},{json.dumps(value)})")


def fill(fields: dict[str, str]) -> None:
    """Put what is entered into the fields once they are there, and store what a phone typed that nobody heard."""
    ui.timer(0.05, lambda: ui.run_javascript(f"cwFill({json.dumps(fields)})"), once=True)
