"""Results in a folder, block by block as they come: Parquet files, and a manifest of what they are the results of.

A part is written whole or not at all, with a digest of its rows; one that cannot be read, or does not fit its digest,
is done again. A folder belongs to one work: with the same facts a run goes on where the last one stopped, with others
it is refused.
"""

from __future__ import annotations

import contextlib
import json
import os
import re
from collections.abc import Mapping
from hashlib import sha256
from pathlib import Path
from typing import Any

import numpy as np

from cornerwright.model.errors import Refusal
from cornerwright.running.work import Table, Work, digest_of, versions

MANIFEST = "manifest.json"
FORMAT = "cornerwright parts 1"
DIGEST = b"cornerwright"
"""Under which each part keeps the digest of its rows."""
_PART = re.compile(r"part-(\d{5,})\.parquet")


class Parts:
    """The folder of one work. Raises Refusal where it holds other work's results, or cannot be written."""

    def __init__(self, folder: Path, work: Work) -> None:
        try:
            import pyarrow  # noqa: F401, PLC0415 - a large package, wanted here only
        except ImportError:
            raise Refusal.of(
                "no package `pyarrow`", "it beside this program: pip install 'cornerwright[cluster]'", field="--out"
            ) from None
        self.folder = folder
        self._blocks = work.blocks
        facts = json.loads(json.dumps(work.facts))
        mine = {"format": FORMAT, "digest": digest_of(work.facts), **versions(), "blocks": work.blocks, "facts": facts}
        self._own(mine)

    def _own(self, mine: dict[str, Any]) -> None:
        path = self.folder / MANIFEST
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            if path.exists():
                there = json.loads(path.read_text(encoding="utf-8"))
                differs = _differences(there, mine)
                if differs:
                    raise self._refused(f"results of other work: {'; '.join(differs)}")
            elif any(self.folder.iterdir()):
                raise self._refused("files of others")
            else:
                _write(path, (json.dumps(mine, indent=2, sort_keys=True) + "\n").encode())
        except (json.JSONDecodeError, UnicodeDecodeError) as error:
            raise self._refused(f"a {MANIFEST} that cannot be read ({error})") from None
        except OSError as error:
            raise Refusal.of(
                f"{self.folder}: {error.strerror}", "a folder that can be written", field="--out"
            ) from None

    def _refused(self, found: str) -> Refusal:
        return Refusal.of(found, "an empty folder, or one of this very run", field="--out", file=str(self.folder))

    def there(self) -> dict[int, Table]:
        """Blocks that are done already."""
        found = {}
        for path in sorted(self.folder.iterdir()):
            match = _PART.fullmatch(path.name)
            if match and int(match[1]) < self._blocks:
                table = _read(path)
                if table is not None:
                    found[int(match[1])] = table
        return found

    def keep(self, block: int, table: Table) -> None:
        """Write one block's rows: after this they survive a kill. Raises OSError."""
        import pyarrow as pa  # noqa: PLC0415
        from pyarrow import parquet  # noqa: PLC0415

        columns = pa.table({key: pa.array(column) for key, column in table.items()})
        sink = pa.BufferOutputStream()
        parquet.write_table(columns.replace_schema_metadata({DIGEST: _digest(table)}), sink)
        _write(self.folder / f"part-{block:05d}.parquet", sink.getvalue().to_pybytes())


def _read(path: Path) -> Table | None:
    import pyarrow as pa  # noqa: PLC0415
    from pyarrow import parquet  # noqa: PLC0415

    try:
        read = parquet.read_table(path, partitioning=None)
        table = {key: np.ascontiguousarray(read[key].to_numpy()) for key in read.column_names}
    except (pa.ArrowException, OSError, ValueError):
        return None
    # A bit that turned on the disk may leave a file that can be read, with another number in it.
    kept = (read.schema.metadata or {}).get(DIGEST)
    return table if kept == _digest(table) else None


def _digest(table: Table) -> bytes:
    """Of every bit of a table."""
    total = sha256()
    for key, column in sorted(table.items()):
        total.update(f"{key} {column.dtype.str} {len(column)}\n".encode())
        total.update(np.ascontiguousarray(column).tobytes())
    return total.hexdigest().encode()


def _write(path: Path, content: bytes) -> None:
    """Whole or not at all, and on the disk."""
    beside = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        with open(beside, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        os.replace(beside, path)
    finally:
        with contextlib.suppress(FileNotFoundError):
            beside.unlink()
    if os.name == "posix":
        folder = os.open(path.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def _differences(there: Any, mine: Mapping[str, Any], place: str = "") -> list[str]:
    """Where two manifests differ, in words, at most three places."""
    if not isinstance(there, dict):
        return [f"{place or MANIFEST} is no table"]
    rows: list[str] = []
    for key in sorted(mine.keys() | there.keys()):
        if place == "" and key == "digest" and there.get(key) != mine.get(key):
            continue  # the facts say it better; they are compared too
        one, other = there.get(key), mine.get(key)
        name = f"{place}.{key}" if place else key
        if isinstance(other, dict):
            rows += _differences(one, other, name)
        elif one != other:
            rows.append(f"{name} is {_short(one)}, here {_short(other)}")
    return rows[:3]


def _short(value: Any) -> str:
    text = json.dumps(value)
    return text if len(text) <= 40 else text[:37] + "..."
