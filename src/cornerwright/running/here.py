"""Blocks on this machine: in this process, or in workers on all cores."""

from __future__ import annotations

import contextlib
import os
import pickle
import queue
import subprocess
import sys
import threading
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from cornerwright.model.errors import Refusal
from cornerwright.running.work import Table, Work

WORTH_IT = 3.0
"""Seconds of work below which no worker is started: that by itself takes one or two."""
TRIES = 3
"""How often a block may take its worker with it before it is given up."""

_ONE_THREAD = dict.fromkeys(
    ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS"), "1"
)


@dataclass(frozen=True)
class Done:
    """One block: its rows, and the seconds of processor that its thread took."""

    block: int
    table: Table
    cpu: float


def cores() -> int:
    """That this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def run_here(work: Work, blocks: Iterable[int], processes: int | None = None) -> Iterator[Done]:
    """The blocks as they are done. None: on all cores, if there is work for more than one.

    A worker that is killed is replaced and its block done again. Raises what a block raises, and Refusal where a
    block takes one worker after the other with it.
    """
    left = list(blocks)
    wanted = cores() if processes is None else processes
    if processes is None and wanted > 1 and left:
        # The first block tells what the rest will take.
        first = _one(work, left.pop(0))
        yield first
        if first.cpu * len(left) < WORTH_IT:
            wanted = 1
    wanted = min(wanted, len(left))
    if wanted <= 1:
        for block in left:
            yield _one(work, block)
        return
    pool = _Pool(work, left, wanted)
    try:
        yield from pool.results()
    finally:
        pool.end()


def _one(work: Work, block: int) -> Done:
    began = time.thread_time()
    return Done(block, work.run(block), time.thread_time() - began)


class _Pool:
    """Workers, each with a thread that feeds it; blocks wait in one queue, results in another."""

    def __init__(self, work: Work, blocks: list[int], count: int) -> None:
        self._begin = pickle.dumps(work)
        self._count = len(blocks)
        self._waiting: queue.SimpleQueue[tuple[int, int] | None] = queue.SimpleQueue()
        self._found: queue.SimpleQueue[Done | BaseException] = queue.SimpleQueue()
        for block in blocks:
            self._waiting.put((block, 1))
        self._lock = threading.Lock()
        self._over = False
        self.running: dict[int, subprocess.Popen[bytes]] = {}
        self._threads = [threading.Thread(target=self._feed, args=(k,), daemon=True) for k in range(count)]
        for thread in self._threads:
            thread.start()

    def results(self) -> Iterator[Done]:
        for _ in range(self._count):
            one = self._found.get()
            if isinstance(one, BaseException):
                raise one
            yield one

    def end(self) -> None:
        with self._lock:
            self._over = True
            for process in self.running.values():
                process.kill()
        for _ in self._threads:
            self._waiting.put(None)
        for thread in self._threads:
            thread.join(timeout=10.0)

    def _feed(self, place: int) -> None:
        """One worker after the other at this place, until there is no work."""
        try:
            while (item := self._waiting.get()) is not None:
                block, tries = item
                process = self._worker(place)
                if process is None:
                    return
                done = _asked(process, block)
                if done is not None:
                    self._found.put(done)
                    continue
                self._gone(place)
                if self._over:
                    return
                if tries >= TRIES:
                    raise Refusal.of(
                        f"block {block}, which ended {tries} workers one after the other",
                        "a machine with memory for it, or fewer cars at once",
                    )
                self._waiting.put((block, tries + 1))
        except BaseException as error:  # said by the caller's thread
            self._found.put(error)
        finally:
            self._gone(place)

    def _worker(self, place: int) -> subprocess.Popen[bytes] | None:
        with self._lock:
            if self._over:
                return None
            process = self.running.get(place)
            if process is None:
                process = self.running[place] = _started()
                fresh = True
            else:
                fresh = False
        if fresh:
            _send(process, self._begin)
        return process

    def _gone(self, place: int) -> None:
        with self._lock:
            process = self.running.pop(place, None)
        if process is not None:
            process.kill()
            for pipe in (process.stdin, process.stdout):
                if pipe is not None:
                    with contextlib.suppress(OSError):  # what was still to be written is for nobody
                        pipe.close()
            process.wait()


def _started() -> subprocess.Popen[bytes]:
    """A worker that finds the same program as this process does."""
    environment = os.environ | _ONE_THREAD | {"PYTHONPATH": os.pathsep.join(one for one in sys.path if one)}
    return subprocess.Popen(
        [sys.executable, "-m", "cornerwright.running.worker"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env=environment,
    )


def _send(process: subprocess.Popen[bytes], words: bytes) -> None:
    assert process.stdin is not None  # it was started so
    try:
        process.stdin.write(words)
        process.stdin.flush()
    except OSError:
        pass  # it is gone: reading its answer says so


def _asked(process: subprocess.Popen[bytes], block: int) -> Done | None:
    """What the worker answers; None where it is gone. Raises what the block raised."""
    assert process.stdout is not None  # it was started so
    _send(process, pickle.dumps(block))
    try:
        number, table, trouble, cpu = pickle.load(process.stdout)
    except (EOFError, pickle.UnpicklingError, OSError, ValueError):
        return None
    if trouble is not None:
        raise trouble
    return Done(number, table, cpu)
