"""Blocks on a Dask cluster that is there already, by its scheduler's address.

The workers run what they are sent: a cluster belongs on a network of people who trust each other, or behind TLS
(`tls://` and the certificates in Dask's own settings).
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator
from importlib import import_module
from typing import Any

from cornerwright.model.errors import Refusal
from cornerwright.running.here import Done
from cornerwright.running.work import Work, digest_of, versions

CONNECT = 15.0
"""Seconds in which the scheduler must answer."""
NOBODY = 60.0
"""Seconds that a cluster may be without any worker."""


def run_on_cluster(work: Work, blocks: Iterable[int], address: str) -> Iterator[Done]:
    """The blocks as they are done. A worker that is lost has its blocks done by another.

    Raises Refusal where the scheduler does not answer, a worker runs another version, no worker is there, or a block
    takes one worker after the other with it; and what a block raises.
    """
    try:
        distributed: Any = import_module("distributed")  # a large package, wanted for clusters only
    except ImportError:
        raise Refusal.of(
            "no package `distributed`", "it beside this program: pip install 'cornerwright[cluster]'", field="--cluster"
        ) from None
    try:
        client = distributed.Client(address, timeout=CONNECT, set_as_default=False)
    except (OSError, ValueError, TimeoutError) as error:
        raise Refusal.of(
            f"{address}: {error}", "the address of a Dask scheduler, such as tcp://127.0.0.1:8786", field="--cluster"
        ) from None
    try:
        name, mine = digest_of(work.facts), versions()
        # The work goes with every block: what is laid out on the workers beforehand is lost with the worker.
        futures = {
            client.submit(_block, work, block, mine, key=f"cornerwright-{name}-{block}", pure=False): block
            for block in blocks
        }
        try:
            yield from _as_they_come(distributed, client, futures)
        except distributed.KilledWorker as error:
            raise Refusal.of(
                f"a block that ended its workers one after the other ({error})",
                "workers with memory for it, or fewer cars at once",
                field="--cluster",
            ) from None
        finally:
            client.cancel(list(futures), force=True)
    finally:
        client.close(timeout=CONNECT)


def _as_they_come(distributed: Any, client: Any, futures: dict[Any, int]) -> Iterator[Done]:
    waiting, seen = set(futures), time.monotonic()
    while waiting:
        try:
            with client.as_current():
                done = distributed.wait(waiting, timeout=2.0, return_when="FIRST_COMPLETED").done
        except (TimeoutError, distributed.TimeoutError):
            done = set()
        for future in done:
            waiting.discard(future)
            table, cpu = future.result()
            yield Done(futures[future], table, cpu)
            future.release()
        if done or client.scheduler_info(n_workers=-1)["workers"]:
            seen = time.monotonic()
        elif time.monotonic() - seen > NOBODY:
            raise Refusal.of("a cluster without workers", "at least one that stays", field="--cluster")


def _block(work: Work, block: int, wanted: dict[str, str]) -> tuple[Any, float]:
    found = versions()
    if found != wanted:
        raise Refusal.of(f"a worker that runs {_words(found)}", f"{_words(wanted)} on every worker", field="--cluster")
    began = time.thread_time()
    return work.run(block), time.thread_time() - began


def _words(found: dict[str, str]) -> str:
    return ", ".join(f"{name} {number}" for name, number in found.items())
