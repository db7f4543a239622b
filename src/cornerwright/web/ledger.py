"""What hands have entered and not yet put in the car's papers: each field is on the disk before it counts.

A file of lines, one a field, only ever added to. A line that a crash cut short is dropped when the file is opened
again; every line before it is whole.
"""

from __future__ import annotations

import json
import os
import sys
import threading
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import IO, Any

from cornerwright.model.errors import Refusal

if sys.platform != "win32":
    import fcntl

LONGEST_TEXT = 500_000
LONGEST_FIELD = 120


@dataclass(frozen=True)
class Line:
    """One field as it was entered."""

    number: int
    at: str
    """UTC."""
    who: str
    field: str
    text: str | None
    """As the hand typed it; None: taken back."""


def _line_of(plain: Any, before: int) -> Line:
    """The line that was read, after the one of this number. Raises ValueError, TypeError for what is none."""
    line = Line(**plain)
    if type(line.number) is not int or line.number <= before:
        raise ValueError("a number that does not follow")
    texts = (line.at, line.who, line.field, "" if line.text is None else line.text)
    if not all(isinstance(one, str) for one in texts):
        raise TypeError("no text")
    "".join(texts).encode()  # a lone surrogate could not be written again
    return line


class Ledger:
    """The fields of one car. Use it from any thread."""

    def __init__(self, path: Path) -> None:
        """Open or begin the file. Raises Refusal where it is in use or cannot be read or written."""
        self.path = path
        self._lock = threading.Lock()
        self._fields: dict[str, Line] = {}
        self.version = 0
        """Number of the last line: another one means that something was entered."""
        try:
            self._file: IO[bytes] = open(path, "a+b")  # noqa: SIM115  (open as long as the ledger)
        except OSError as error:
            raise Refusal.of(
                (error.strerror or "no file").lower(), "a place that can be written", file=str(path)
            ) from None
        try:
            self._claim()
            self._read()
        except BaseException:
            self._file.close()
            raise

    def _claim(self) -> None:
        """Keep a second server away, where the system can."""
        if sys.platform == "win32":
            return
        try:
            fcntl.flock(self._file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            raise Refusal.of(
                "a car that is open in another app already", "one app a car", file=str(self.path)
            ) from None

    def _read(self) -> None:
        self._file.seek(0)
        whole = 0
        for count, raw in enumerate(self._file, start=1):
            if not raw.endswith(b"\n"):
                break
            try:
                line = _line_of(json.loads(raw), self.version)
            except (ValueError, TypeError, RecursionError):
                raise Refusal.of(
                    "a line that this program did not write",
                    "the file as the app left it; move it away to begin anew",
                    file=str(self.path),
                    line=count,
                ) from None
            whole += len(raw)
            self._count(line)
        self._file.truncate(whole)
        self._file.seek(0, os.SEEK_END)

    def _count(self, line: Line) -> None:
        self.version = line.number
        if line.text is None:
            self._fields.pop(line.field, None)
        else:
            self._fields[line.field] = line

    def put(self, field: str, text: str | None, who: str = "") -> Line:
        """Enter one field; it is safe when this returns. Raises Refusal when the disk cannot."""
        return self.put_all({field: text}, who)[0]

    def put_all(self, fields: dict[str, str | None], who: str = "") -> list[Line]:
        """Enter several fields at once, in this order."""
        for field, text in fields.items():
            if len(field) > LONGEST_FIELD or (text is not None and len(text) > LONGEST_TEXT):
                raise Refusal.of("a text too long to keep", "a shorter one", field=field[:LONGEST_FIELD])
        with self._lock:
            now = datetime.now(UTC).isoformat(timespec="milliseconds")
            lines = [
                Line(self.version + k, now, who[:80], field, text)
                for k, (field, text) in enumerate(fields.items(), start=1)
            ]
            end = self._file.tell()
            try:
                for line in lines:
                    self._file.write(json.dumps(asdict(line), ensure_ascii=False).encode() + b"\n")
                self._file.flush()
                os.fsync(self._file.fileno())
            except OSError as error:
                self._take_back(end)
                found = f"{(error.strerror or 'no room').lower()}: nothing was kept"
                raise Refusal.of(found, "a disk with room", file=str(self.path)) from None
            for line in lines:
                self._count(line)
            return lines

    def _take_back(self, end: int) -> None:
        try:
            self._file.truncate(end)
        except OSError:
            return

    def get(self, field: str) -> str | None:
        """The text of a field; None where there is none."""
        line = self._fields.get(field)
        return None if line is None else line.text

    def line(self, field: str) -> Line | None:
        """The field with who entered it, and when."""
        return self._fields.get(field)

    def under(self, prefix: str) -> Iterator[tuple[str, Line]]:
        """Fields whose name begins so, by the rest of the name."""
        with self._lock:
            found = [(name[len(prefix) :], line) for name, line in self._fields.items() if name.startswith(prefix)]
        yield from found

    def clear(self, *prefixes: str) -> None:
        """Take back every field whose name begins with one of these."""
        names = [name for name in self._fields if name.startswith(prefixes)]
        if names:
            self.put_all(dict.fromkeys(names))

    def close(self) -> None:
        """Let the file go."""
        self._file.close()
