"""Pages whose Python runs: each block in order, in one namespace, in a folder with the example's files.

`python tests/worked.py docs/worked_example.md` writes what the blocks print into the page.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from shared import PROJECT

BLOCK = re.compile(r"^```python\n(?P<code>.*?)^```\n(?:\n```text\n(?P<shown>.*?)^```\n)?", re.DOTALL | re.MULTILINE)
NUMBER = re.compile(r"\d+(?:\.\d+)?")


def printed(page: str, folder: Path) -> Iterator[tuple[re.Match[str], str]]:
    """Each block of the page and what it prints when it is run in this folder."""
    names: dict[str, object] = {"__name__": "worked"}
    back = Path.cwd()
    os.chdir(folder)
    try:
        for block in BLOCK.finditer(page):
            said = io.StringIO()
            with contextlib.redirect_stdout(said):
                exec(compile(block["code"], "<page>", "exec"), names)
            yield block, said.getvalue()
    finally:
        os.chdir(back)


def alike(shown: str, said: str) -> bool:
    """The same words; numbers may differ by a unit of their last digit, or by a thousandth."""
    if NUMBER.sub("#", shown).split() != NUMBER.sub("#", said).split():
        return False
    for one, other in zip(NUMBER.findall(shown), NUMBER.findall(said), strict=True):
        digit = 10.0 ** -len(one.partition(".")[2]) if "." in one else 0.0
        if abs(float(one) - float(other)) > max(1.01 * digit, 1e-3 * abs(float(one)) * ("." in one)):
            return False
    return True


def example_folder(where: Path) -> Path:
    """A copy of the example that a page may change."""
    for name in ("car", "readings", "targets"):
        shutil.copy(PROJECT / "examples" / "tarn_fell" / f"{name}.yaml", where)
    return where


def renewed(page: str, folder: Path) -> str:
    """The page with what its blocks print now."""
    parts, end = [], 0
    for block, said in printed(page, folder):
        text = f"\n```text\n{said}```\n" if said else ""
        parts += [page[end : block.start()], f"```python\n{block['code']}```\n", text]
        end = block.end()
    return "".join([*parts, page[end:]])


if __name__ == "__main__":
    for name in sys.argv[1:]:
        with tempfile.TemporaryDirectory() as made:
            file = Path(name)
            file.write_text(renewed(file.read_text(encoding="utf-8"), example_folder(Path(made))), encoding="utf-8")
