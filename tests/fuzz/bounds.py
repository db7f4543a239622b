"""What one damaged file may cost, how many there are, and what must be the same after it."""

from __future__ import annotations

import os
import signal
import sys
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from hypothesis import HealthCheck, Phase, settings

from cornerwright.model.errors import Refusal

TOTAL = int(os.environ.get("CORNERWRIGHT_FUZZ", "0"))
"""Examples over all files; 0: a small number of each, the same ones every time."""

SMALL = 20
SECONDS = 20.0
"""Of processor time that reading one file may take; many times what the slowest takes."""
MEMORY = 1 << 30
"""Bytes that reading one file may ask for on top of what there is."""

ran: Counter[str] = Counter()
"""Examples that ran to their end, by file."""


def examples(share: float, small: int = SMALL) -> settings:
    """Settings of one test: its share [%] of the total, or a small number."""
    return settings(
        max_examples=max(1, round(TOTAL * share / 100)) if TOTAL else small,
        derandomize=not TOTAL,
        deadline=None,
        print_blob=bool(TOTAL),
        # Damage is few and small by itself: in the long run what is found is told as it was found.
        phases=(Phase.explicit, Phase.reuse, Phase.generate) if TOTAL else tuple(Phase),
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.large_base_example,
                               HealthCheck.function_scoped_fixture, HealthCheck.filter_too_much],
    )  # fmt: skip


class Hang(BaseException):
    """It took longer than anything may; no handler of the program's takes this one away."""


@contextmanager
def bounded(file: str, seconds: float = SECONDS) -> Iterator[None]:
    """Count the example; raise Hang or MemoryError where it takes too long or too much."""

    def late(number: int, frame: object) -> None:
        raise Hang(f"{file}: more than {seconds:g} s of processor time")

    before = signal.signal(signal.SIGVTALRM, late)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        with _little_memory():
            yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0.0)
        signal.signal(signal.SIGVTALRM, before)
    ran[file] += 1


@contextmanager
def _little_memory() -> Iterator[None]:
    if not sys.platform.startswith("linux"):
        yield
        return
    import resource

    soft, hard = resource.getrlimit(resource.RLIMIT_AS)
    pages = int(Path("/proc/self/statm").read_text().split()[0])
    wanted = pages * resource.getpagesize() + MEMORY
    resource.setrlimit(resource.RLIMIT_AS, (wanted if hard == resource.RLIM_INFINITY else min(wanted, hard), hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_AS, (soft, hard))


def clear(refusal: Refusal, file: str | None = None) -> None:
    """Every problem says where it is, what was found and what was expected, on one printable line."""
    assert refusal.problems
    for one in refusal.problems:
        said = str(one)
        assert said.isprintable(), ascii(said)
        assert len(said) < 3000, said[:300]
        assert one.expected
        assert one.found or one.field or one.line
        assert one.line is None or one.line >= 1
        if file is not None:
            assert one.file == file, said


def on_disk(folder: Path) -> dict[str, bytes]:
    """Every file below the folder with its bytes."""
    return {str(one.relative_to(folder)): one.read_bytes() for one in sorted(folder.rglob("*")) if one.is_file()}
