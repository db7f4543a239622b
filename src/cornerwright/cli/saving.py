"""Writing files: whole or not at all."""

from __future__ import annotations

import contextlib
import os
import stat
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from cornerwright.model.errors import Problem, Refusal

if TYPE_CHECKING:
    from cornerwright.drawing.svg import Drawing


def check_outputs(outputs: Mapping[str, Path | None], inputs: Mapping[str, Path | None]) -> None:
    """Refuse, before any work is done, paths that cannot be written or that would destroy an input.

    Both by what the user calls them (an option, an argument). Raises Refusal.
    """
    problems: list[Problem] = []
    taken = {path.resolve(): name for name, path in inputs.items() if path is not None}
    for name, path in outputs.items():
        if path is None:
            continue
        folder = path.parent
        whole = path.resolve()
        if whole in taken:
            found, expected = f"{path}, which is already {taken[whole]}", "another file"
        elif path.is_dir():
            found, expected = f"the folder {path}", "the name of a file to write"
        elif not folder.is_dir():
            found, expected = f"{path}", f"a file in a folder that is there; {folder} is not"
        elif not os.access(path if path.exists() else folder, os.W_OK):
            found, expected = f"{path}", "a file that may be written"
        else:
            taken[whole] = name
            continue
        problems.append(Problem(None, None, name, found, expected))
    if problems:
        raise Refusal(problems)


def write_drawing(drawing: Callable[[], Drawing], svg: Path | None, png: Path | None) -> None:
    """Write a drawing as SVG, as PNG, as both or not at all; it is made only if it is wanted. Raises OSError."""
    if svg is None and png is None:
        return
    made = drawing()
    if svg is not None:
        write_whole(svg, made.svg().encode())
    if png is not None:
        from cornerwright.paper.picture import png_of

        write_whole(png, png_of(made))


def write_whole(path: Path, content: bytes) -> None:
    """Write a file so that at every moment the old or the new one is there. Raises OSError.

    What is not a regular file (a pipe, a device) is written as it is.
    """
    target = Path(os.path.realpath(path))
    before = target.stat() if target.exists() else None
    if before is not None and not stat.S_ISREG(before.st_mode):
        target.write_bytes(content)
        return
    handle, name = tempfile.mkstemp(prefix=f".{target.name[:100]}.", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(name, _usual_mode() if before is None else stat.S_IMODE(before.st_mode))
        os.replace(name, target)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(name)
        raise


def _usual_mode() -> int:
    """Permissions of a new file under the user's mask; the temporary file's own are private."""
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
