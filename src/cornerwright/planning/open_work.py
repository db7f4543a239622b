"""Open jobs of a car, with the figures that the rules ask for worked out once and kept where the record is kept."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from typing import Any, Protocol

from cornerwright.model.record import Record
from cornerwright.model.results_book import JobsResult
from cornerwright.planning.job_list import job_list
from cornerwright.planning.knock_on import cars_needed


class Keeper(Protocol):
    """What keeps worked-out figures: a book."""

    def recall(self, keys: Iterable[str]) -> dict[str, Any]:
        """What was kept under these keys."""

    def remember(self, worked_out: Mapping[str, Any]) -> None:
        """Keep it."""


def work_open(record: Record, keeper: Keeper, where: str, version: str) -> JobsResult:
    """Open jobs of the car as the record has it; where: the book's name for the answer; version: of this program."""
    return job_list(record, known_figures(record, keeper, version), where)


def known_figures(record: Record, keeper: Keeper, version: str) -> dict[str, Any]:
    """Figures of every car that the rules ask for: those kept, the others worked out and kept."""
    names = {key: _figure_key(key, version) for key in sorted(cars_needed(record))}
    kept = keeper.recall(names.values())
    missing = [key for key, name in names.items() if name not in kept]
    if missing:
        # Only where something has to be worked out: the help of the book stays light.
        from cornerwright.planning.figures import figures_of  # noqa: PLC0415

        fresh = {names[key]: figures_of(record.document_at(key)) for key in missing}
        keeper.remember(fresh)
        kept |= fresh
    return {key: kept[name] for key, name in names.items()}


def _figure_key(car: str, version: str) -> str:
    """Another version of the program may reckon otherwise."""
    return hashlib.sha256(f"{version} {car}".encode()).hexdigest()
