"""Writers that are killed at random moments: what they had confirmed must be in the book, and the book whole.

Run as a script it does so as often as asked:

    python tests/book/killing.py 200 [URL of a PostgreSQL server]

The moments are drawn anew each time; the seed is printed. kill -9 ends a process, not the machine: that a commit
outlives the power is the doing of the database's own full sync, which is on.
"""

from __future__ import annotations

import os
import random
import signal
import sys
import tempfile
import time
from pathlib import Path
from uuid import uuid4

sys.path.insert(0, str(Path(__file__).parents[1]))

from cornerwright.book.book import Book
from cornerwright.book.making import make_book
from cornerwright.book.verify import verify
from diary import PNG, opening, say

HANDS = 3


def write_until_killed(where: str, confirmed: str, hand: int) -> None:
    """Append for ever, entries of all sizes with photos among them; note each when it has been confirmed."""
    note = os.open(confirmed, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    with Book.open(where) as book:
        k = 0
        while True:
            photos = [PNG + os.urandom(20_000)] if k % 4 == 3 else []
            one = say("note", says=f"hand {hand} entry {k} " + "x" * (k * 37 % 3000))
            written = book.append(one, photos)
            os.write(note, f"{written.number} {written.id}\n".encode())
            k += 1


def kill_once(where: str, folder: Path, wait: float) -> int:
    """Let several write, kill them all after so many seconds; how many entries had been confirmed."""
    hands = []
    files = [folder / f"{uuid4().hex}.txt" for _ in range(HANDS)]
    for number, file in enumerate(files):
        pid = os.fork()
        if pid == 0:
            try:
                write_until_killed(where, str(file), number)
            finally:
                os._exit(1)
        hands.append(pid)
    time.sleep(wait)
    for pid in hands:
        os.kill(pid, signal.SIGKILL)
    ends = [os.waitpid(pid, 0)[1] for pid in hands]
    assert all(os.WIFSIGNALED(end) and os.WTERMSIG(end) == signal.SIGKILL for end in ends), "a writer ended by itself"
    confirmed = [line.split() for file in files if file.exists() for line in file.read_text().splitlines()]
    with Book.open(where) as book:
        found = verify(book)
        assert found.troubles == [], found.troubles
        there = {str(one.number): one.plain["id"] for one in book.log(100_000)}
    for number, name in confirmed:
        assert there.get(number) == name, f"#{number} was confirmed and is not there"
    return len(confirmed)


def kill_often(where: str, runs: int, seed: int, each: int = 20) -> int:
    """So many runs, a new book after every few; how many confirmed entries were looked for."""
    draw = random.Random(seed)
    total = 0
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for run in range(runs):
            if run % each == 0:
                place = f"{where}{run // each}" if "://" in where else str(folder / f"{run // each}.book")
                make_book(place, opening()).close()
            total += kill_once(place, folder, draw.uniform(0.02, 0.35))
    return total


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    drawn = random.SystemRandom().randrange(10**6)
    base = f"{sys.argv[2]}#killed_{uuid4().hex[:8]}_" if len(sys.argv) > 2 else "folder"
    print(f"seed {drawn}")
    print(f"{count} runs, {kill_often(base, count, drawn)} confirmed entries, all there; the books verify")
