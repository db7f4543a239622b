"""A book as a whole: begun, exported, imported, verified."""

from __future__ import annotations

from pathlib import Path

import cornerwright
from cornerwright.book.beginning import first_entries
from cornerwright.book.making import make_book
from cornerwright.book.moments import read_moment
from cornerwright.book.transfer import export_book, import_book
from cornerwright.book.verify import verify
from cornerwright.cli.book_open import opened
from cornerwright.cli.saving import check_outputs
from cornerwright.model.results_book import BookResult, VerifyResult


def begin(
    where: str, car: Path, targets: Path | None, currency: str | None, who: str | None, when: str | None
) -> BookResult:
    """A new book."""
    entries = first_entries(
        cornerwright.load_car(car),
        None if targets is None else cornerwright.load_targets(targets),
        currency=currency,
        who=who,
        when=None if when is None else read_moment(when, "--when"),
    )
    with make_book(where, entries) as book:
        return BookResult(book=book.where, did="made", entries=book.count(), photos=0)


def export(where: str, file: Path) -> BookResult:
    """The book as a zip."""
    check_outputs({"FILE": file}, {})
    with opened(where) as book:
        moved = export_book(book, file)
        return BookResult(
            book=book.where,
            did="exported",
            file=str(file),
            entries=moved.entries,
            photos=moved.photos,
            digest=moved.digest,
        )


def bring_in(file: Path, where: str) -> BookResult:
    """A book from a zip."""
    moved = import_book(file, where)
    with opened(where) as book:
        return BookResult(
            book=book.where,
            did="imported",
            file=str(file),
            entries=moved.entries,
            photos=moved.photos,
            digest=moved.digest,
        )


def verified(where: str) -> VerifyResult:
    """Whether the book is whole."""
    with opened(where) as book:
        found = verify(book)
        return VerifyResult(
            book=book.where,
            verdict="damaged" if found.troubles else "whole",
            entries=found.entries,
            photos=found.photos,
            unnamed_photos=found.unnamed,
            digest=found.digest,
            troubles=tuple(found.troubles),
        )
