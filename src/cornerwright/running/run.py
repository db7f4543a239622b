"""Running a work: where, with what is done already, keeping what comes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from cornerwright.running.here import Done, run_here
from cornerwright.running.work import Table, Work


@dataclass(frozen=True)
class Where:
    """Who does it and where it is kept.

    processes: workers on this machine; None: all cores, where that pays. cluster: address of a Dask scheduler, then
    its workers do it all. folder: for the results' parts and to go on from.
    """

    processes: int | None = None
    cluster: str | None = None
    folder: Path | None = None


@dataclass
class Told:
    """What a run took, filled while it goes on: seconds of processor by block, and how many blocks were there."""

    cpu: dict[int, float] = field(default_factory=dict)
    found: int = 0


def run(
    work: Work,
    where: Where = Where(),
    progress: Callable[[float], None] = lambda _share: None,
    told: Told | None = None,
) -> list[Table]:
    """Tables of all blocks, in their order. Raises Refusal as `Parts`, `run_here` and `run_on_cluster` do."""
    told = Told() if told is None else told
    parts, tables = None, {}
    if where.folder is not None:
        from cornerwright.running.parts import Parts  # noqa: PLC0415 - Parquet only where it is wanted

        parts = Parts(where.folder, work)
        tables = parts.there()
    told.found = len(tables)
    left = [block for block in range(work.blocks) if block not in tables]
    for done in _done(work, left, where):
        if parts is not None:
            parts.keep(done.block, done.table)
        tables[done.block] = done.table
        told.cpu[done.block] = done.cpu
        progress(len(tables) / work.blocks)
    return [tables[block] for block in range(work.blocks)]


def _done(work: Work, left: list[int], where: Where) -> Iterator[Done]:
    if not left:
        return iter(())
    if where.cluster is not None:
        from cornerwright.running.cluster import run_on_cluster  # noqa: PLC0415

        return run_on_cluster(work, left, where.cluster)
    return run_here(work, left, where.processes)
