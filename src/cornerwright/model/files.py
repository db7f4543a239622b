"""Files: read one into a document, write one back with its comments, change single values in it.

Whatever is wrong with a file is told as a Refusal with every problem found; a file is replaced
whole or not at all.
"""

from __future__ import annotations

import json
import os
import secrets
import shutil
import stat
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from cornerwright.model.base import Document
from cornerwright.model.content import (
    bring,
    dump,
    fresh,
    holdable,
    load,
    put,
    same_values,
    with_endings_of,
)
from cornerwright.model.errors import Problem, Refusal
from cornerwright.model.problems import Aliases, problems_from
from cornerwright.model.reader import read_text
from cornerwright.model.tree import Layout, Tree, path_of
from cornerwright.model.units import describe

MOST_BYTES = 4 * 1024 * 1024

D = TypeVar("D", bound=Document)
Prepare = Callable[[Any], Any]


# ------------------------------------------------------------------ reading


def read_tree(path: str | os.PathLike[str]) -> Tree:
    """Tree of a file, not yet validated; raises Refusal."""
    return read_text(_read(path), os.fspath(path))


def read_document(
    path: str | os.PathLike[str],
    model: type[D],
    prepare: Prepare | None = None,
    aliases: Aliases | None = None,
) -> D:
    """Document of this model in the file; raises Refusal with every problem found.

    prepare: completes the plain tree before it is validated. aliases: for a path that prepare made,
    the path in the file that it was made from, so that a problem there is told at its line.
    """
    return validated(read_tree(path), model, prepare, aliases)


def validated(
    tree: Tree,
    model: type[D],
    prepare: Prepare | None = None,
    aliases: Aliases | None = None,
) -> D:
    """Document of this model in the tree; raises Refusal. See read_document."""
    plain = tree.plain
    try:
        return model.model_validate(plain if prepare is None else prepare(plain))
    except Refusal as refusal:
        raise refusal.within(file=tree.file) from None
    except ValidationError as error:
        raise Refusal(problems_from(error, tree, model, aliases)) from None


def of_plain(plain: Mapping[str, Any], model: type[D], where: str | None = None) -> D:
    """Document of this model from plain values that no file holds; where: whose they are. Raises Refusal."""
    try:
        return model.model_validate(plain)
    except ValidationError as error:
        problems = problems_from(error, read_text(json.dumps(plain, default=str), where), model)
        raise Refusal(replace(one, line=None) for one in problems) from None  # nobody has seen these lines


def read_bytes(path: str | os.PathLike[str], most: int) -> bytes:
    """Bytes of a file, one more than `most` at the most. Raises Refusal for what is no file that can be read."""
    file = os.fspath(path)
    try:
        with open(file, "rb", opener=_open_regular) as stream:
            return stream.read(most + 1)
    except OSError as error:
        raise _cannot(file, error, "a file that can be read") from None
    except ValueError:  # a zero byte in the path
        raise Refusal.of("a path that cannot be", "a path of a file", file=_shown(file)) from None


def _read(path: str | os.PathLike[str]) -> str:
    file = os.fspath(path)
    data = read_bytes(path, MOST_BYTES)
    if len(data) > MOST_BYTES:
        found = f"a file of more than {MOST_BYTES // 1024**2} MB"
        raise Refusal.of(found, "a file a person could have written", file=file)
    if b"\0" in data[:4096] and not data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise Refusal.of("a binary file", "a text file in YAML", file=file)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise Refusal.of("text in another encoding", "text saved as UTF-8", file=file, line=line) from None


def _open_regular(file: str, flags: int) -> int:
    """Open without waiting, so that a pipe without a writer is refused and not waited for."""
    descriptor = os.open(file, flags | getattr(os, "O_NONBLOCK", 0))
    mode = os.fstat(descriptor).st_mode
    if not stat.S_ISREG(mode):
        os.close(descriptor)
        if stat.S_ISDIR(mode):
            raise IsADirectoryError
        raise OSError("not a regular file")
    return descriptor


def _cannot(file: str, error: OSError, expected: str) -> Refusal:
    if isinstance(error, FileNotFoundError):
        found = "no such file"
    elif isinstance(error, IsADirectoryError):
        found = "a directory"
    elif isinstance(error, PermissionError):
        found = "no permission"
    else:
        found = error.strerror or str(error)
    return Refusal.of(found, expected, file=_shown(file))


def _shown(file: str) -> str:
    return "".join(sign if sign.isprintable() else "?" for sign in file)


# ------------------------------------------------------------------ writing


def write_document(
    path: str | os.PathLike[str],
    document: Document,
    keep: str | os.PathLike[str] | None = None,
    prepare: Prepare | None = None,
) -> None:
    """Write the document, whole or not at all; raises Refusal.

    keep: a file of the same model (often the same path) whose comments, order and layout are kept,
    and whose values are left as they are written wherever they mean the same. Where it does not
    exist, the document is written afresh. prepare: as in read_document, for reading keep.
    """
    file = os.fspath(path)
    if keep is None or not os.path.exists(keep):
        text = dump(fresh(document.to_document()), Layout())
        _same(text, document, None, file)
    else:
        text = _kept(document, os.fspath(keep), prepare, file)
    _write_whole(file, text)


def write_text(path: str | os.PathLike[str], text: str, model: type[D], prepare: Prepare | None = None) -> None:
    """Write a text that is a document of this model, whole or not at all; raises Refusal for one that is not."""
    file = os.fspath(path)
    validated(read_text(text, file), model, prepare)
    _write_whole(file, text)


def _kept(document: Document, keep: str, prepare: Prepare | None, file: str) -> str:
    source = _read(keep)
    tree = read_text(source, keep)
    new = document.to_document()
    content = load(source, tree)
    means = validated(tree, type(document), prepare)
    # Twice: what is completed from a changed part (the right corner from the left) changes with it,
    # and is then written down as far as it should not have.
    for _ in range(2):
        bring(content, means.to_document(), new)
        text = with_endings_of(source, dump(content, tree.layout))
        if _reads_as(text, document, prepare):
            return text
        try:
            means = validated(read_text(text), type(document), prepare)
        except Refusal:
            break
    # The parts do not follow from each other any more: write out everything, comments kept.
    content = load(source, tree)
    bring(content, tree.plain, new)
    text = with_endings_of(source, dump(content, tree.layout))
    _same(text, document, prepare, file)
    return text


def _same(text: str, document: Document, prepare: Prepare | None, file: str) -> None:
    if not _reads_as(text, document, prepare):
        found = "a document that does not read back the same"
        raise Refusal.of(found, "one made of values a file can hold", file=file)


def _reads_as(text: str, document: Document, prepare: Prepare | None) -> bool:
    try:
        again = validated(read_text(text), type(document), prepare)
    except Refusal:
        return False
    return again == document or again.to_document() == document.to_document()


def update_file(
    path: str | os.PathLike[str],
    changes: Mapping[str, Any],
    check: Callable[[Tree], object] | None = None,
) -> None:
    """Set values in a file, by dotted field, and keep its comments; whole or not at all.

    Values are those of a file: numbers in document units, texts, lists, groups, None. A group on
    the way that is missing is made; a place beyond the end of a list is refused, except the next
    one. check is given the changed tree before it is written and may raise Refusal.
    """
    file = os.fspath(path)
    source = _read(file)
    tree = read_text(source, file)
    content, wanted = load(source, tree), tree.plain
    problems: list[Problem] = []
    for field, value in changes.items():
        try:
            steps = path_of(field)
            new = holdable(value)
            put(wanted, steps, new)
            put(content, steps, new)
        except Refusal as refusal:
            line = _line_of(tree, field)
            problems += [Problem(file, line, field, one.found, one.expected) for one in refusal.problems]
    if problems:
        raise Refusal(problems)
    text = with_endings_of(source, dump(content, tree.layout))
    after = read_text(text, file)
    if not same_values(after.plain, wanted):
        found = "a change that would change other values too (an alias, or an unusual layout)"
        raise Refusal.of(found, "values written out in full", file=file)
    if check is not None:
        check(after)
    _write_whole(file, text)


def _line_of(tree: Tree, field: str) -> int | None:
    try:
        return tree.line_of(path_of(field))
    except Refusal:
        return None


# ------------------------------------------------------------------ the disk


def _write_whole(file: str, text: str) -> None:
    """Replace the file by one that is already safely on the disk; raises Refusal."""
    try:
        _replace(Path(os.path.realpath(file)), text.encode())
    except OSError as error:
        raise _cannot(file, error, "a place that can be written") from None
    except ValueError as error:  # a zero byte in the path, or text that UTF-8 cannot hold
        raise Refusal.of(describe(str(error)), "text and a path that can be written") from None


def _replace(target: Path, data: bytes) -> None:
    beside = target.with_name(f".{target.name}.{secrets.token_hex(6)}.new")
    if target.is_dir():
        raise IsADirectoryError
    try:
        with open(beside, "xb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        if target.exists():
            shutil.copymode(target, beside)
        os.replace(beside, target)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
    _settle(target.parent)


def _settle(directory: Path) -> None:
    """Put the new name itself on the disk, where the system lets a directory be opened."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    descriptor = os.open(directory, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
