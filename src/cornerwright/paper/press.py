"""Typst as a press: templates of this package, data as JSON, a PDF out. Offline and reproducible."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import resources
from pathlib import Path
from typing import Any

import typst

from cornerwright.drawing.svg import clean

SHARED = "page.typ"


class DoesNotFitError(ValueError):
    """The content needs more than its one page even at the smallest readable size."""


def press(template: str, data: dict[str, Any], pictures: dict[str, bytes] | None = None) -> bytes:
    """The template filled with the data, as PDF; pictures: files that it may call by name.

    Data reach the template as a JSON file of the compilation, so no text in them can be read as
    markup; nothing is fetched, and nothing is read from the disk but the pictures. The same data give the same bytes:
    only the fonts inside typst are used, unless the data hold letters that those cannot write.
    Raises DoesNotFitError where the template says that its page is too small.
    """
    text = json.dumps(_clean(data), ensure_ascii=False)
    # typst takes a set of files by name; its type stubs know single inputs only.
    files: Any = {
        "main.typ": _template(template),
        SHARED: _template(SHARED),
        "data.json": text.encode("utf-8"),
    }
    try:
        with _folder_of(pictures or {}) as root:
            pdf = typst.compile(files, root=root, ignore_system_fonts=covered(text), timestamp=0)
    except typst.TypstError as error:
        if "does not fit" in str(error):
            raise DoesNotFitError(str(error)) from error
        raise
    if not isinstance(pdf, bytes):
        raise TypeError("typst gave no single document")
    return pdf


def can_be_printed(name: str, content: bytes) -> bool:
    """Whether typst can read this picture."""
    files: Any = {"main.typ": f'#image("{name}", width: 10mm)'.encode()}
    try:
        with _folder_of({name: content}) as root:
            typst.compile(files, root=root, ignore_system_fonts=True, timestamp=0)
    except typst.TypstError:
        return False
    return True


@contextmanager
def _folder_of(pictures: dict[str, bytes]) -> Iterator[str | None]:
    """A folder of its own with these files, for as long as they are printed; None where there are none."""
    if not pictures:
        yield None
        return
    with tempfile.TemporaryDirectory(prefix="cornerwright-") as folder:
        for name, content in pictures.items():
            (Path(folder) / name).write_bytes(content)
        yield folder


def covered(text: str) -> bool:
    """Whether the embedded fonts can write it: Latin, Greek, Cyrillic, punctuation, arrows, signs."""
    return all(ord(letter) < 0x0530 or 0x1E00 <= ord(letter) < 0x2600 for letter in text)


def _template(name: str) -> bytes:
    return resources.files("cornerwright.paper").joinpath(name).read_bytes()


def _clean(value: Any) -> Any:
    """Data with characters that no page can hold replaced."""
    if isinstance(value, str):
        return clean(value)
    if isinstance(value, dict):
        return {key: _clean(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_clean(one) for one in value]
    return value
