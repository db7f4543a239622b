"""The commands, thin: they read files, call the layers below and lay out what these answer."""

from __future__ import annotations

from collections.abc import Sequence

INTERRUPTED = 130
"""Exit status after Ctrl-C: 128 + SIGINT, as shells have it."""


def run(arguments: Sequence[str] | None = None) -> int:
    """Run one command line (default: the program's own); its exit status, as in ending.py."""
    try:
        from cornerwright.cli.ending import run_to_the_end

        return run_to_the_end(arguments)
    except KeyboardInterrupt:
        return INTERRUPTED
