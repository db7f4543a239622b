"""A process of its own that does blocks: `python -m cornerwright.running.worker`, spoken to over its pipes.

It reads the work, then numbers of blocks, and answers each with its table, all as pickles of the process that
started it. It is a process of this program rather than a copy of the caller, so that it may be started from anywhere: a
script without a guard, a thread of the app, a notebook.
"""

from __future__ import annotations

import pickle
import sys
import time


def main() -> None:
    """Until the pipe ends."""
    given, back = sys.stdin.buffer, sys.stdout.buffer
    sys.stdout = sys.stderr  # nothing that prints may come between the answers
    try:
        work = pickle.load(given)
        while True:
            block = pickle.load(given)
            began = time.thread_time()
            try:
                table, trouble = work.run(block), None
            except Exception as error:  # the caller says it in its own process
                table, trouble = None, error
            answer = (block, table, trouble, time.thread_time() - began)
            try:
                whole = pickle.dumps(answer)
            except Exception as error:  # an exception that cannot be sent as it is
                whole = pickle.dumps((block, None, RuntimeError(f"{trouble!r} ({error!r})"), 0.0))
            back.write(whole)
            back.flush()
    except (EOFError, BrokenPipeError):
        pass  # the caller has all it wants, or is no more
    except KeyboardInterrupt:
        pass  # Ctrl-C goes to the whole group; the caller says it


if __name__ == "__main__":
    main()
