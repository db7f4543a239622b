"""How a command ends: its answer, its problems named, its exit status; never a traceback.

0 done; 1 the car breaks a hard limit, or cannot stand; 2 bad input; 70 a fault of the program
itself (EX_SOFTWARE of sysexits.h); 130 Ctrl-C; 141 the reader of the output went away (128 + SIGPIPE).
"""

from __future__ import annotations

import io
import os
import sys
import traceback
from collections.abc import Sequence
from typing import Any, TextIO

from cornerwright.cli import INTERRUPTED
from cornerwright.cli.answers import Answer, ErrorAnswer
from cornerwright.model.errors import Problem, Refusal

BAD_INPUT = 2
FAULT = 70
NO_READER = 141

SHOW_FAULTS = "CORNERWRIGHT_TRACEBACK"
"""Environment variable: when set, a fault of the program shows where it happened."""


def run_to_the_end(arguments: Sequence[str] | None = None) -> int:
    """Run one command line and say how it ended."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    _prepare_streams()
    try:
        try:
            return _answered(given)
        except (Refusal, OSError, MemoryError, RecursionError) as trouble:
            if isinstance(trouble, BrokenPipeError):
                raise
            return _refused(_problems(trouble), "--json" in given)
        except Exception as fault:
            if os.environ.get(SHOW_FAULTS):
                traceback.print_exc()
            return _refused([_fault(fault)], "--json" in given, FAULT)
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        _drop(sys.stdout)
        return NO_READER
    except OSError:
        # Even the refusal could not be printed: the disk behind stdout is full, or it is closed.
        _drop(sys.stdout)
        return BAD_INPUT


def _answered(given: list[str]) -> int:
    import typer

    from cornerwright.cli.app import app

    # The class of all usage errors, from typer's own copy of click or from click itself.
    bad_usage: Any = typer.BadParameter.__mro__[2]
    try:
        answer = typer.main.get_command(app).main(args=given, prog_name="cornerwright", standalone_mode=False)
    except typer.Abort:
        return INTERRUPTED
    except bad_usage as error:
        from cornerwright.cli.options import refusal_of_usage

        raise refusal_of_usage(error) from None
    if isinstance(answer, Answer):
        answer.give(sys.stdout)
        sys.stdout.flush()
        return answer.status
    sys.stdout.flush()
    return answer if isinstance(answer, int) else 0


def _problems(trouble: BaseException) -> Sequence[Problem]:
    if isinstance(trouble, Refusal):
        return trouble.problems
    if isinstance(trouble, OSError):
        name = None if trouble.filename is None else os.fsdecode(trouble.filename)
        found = (trouble.strerror or type(trouble).__name__).lower()
        return [Problem(name, None, "", found, "a file or folder that can be read or written")]
    return [Problem(None, None, "", "more than the memory holds", "a car file of a few pages")]


def _fault(fault: Exception) -> Problem:
    told = f"a fault of the program: {type(fault).__name__}: {' '.join(str(fault).split())[:300]}"
    wish = f"an answer; please report it with your files (set {SHOW_FAULTS}=1 to see where)"
    return Problem(None, None, "", told, wish)


def _refused(problems: Sequence[Problem], as_json: bool, status: int = BAD_INPUT) -> int:
    if as_json:
        ErrorAnswer.of(problems).give(sys.stdout)
        sys.stdout.flush()
        return status
    try:
        sys.stdout.flush()
    except OSError:
        # What is wrong is then that nothing can be printed there; it is still said on the other stream.
        _drop(sys.stdout)
    for problem in problems:
        # A problem of a file starts with its place, so that an editor can jump to it.
        print(problem if problem.file else f"cornerwright: {problem}", file=sys.stderr)
    return status


def _prepare_streams() -> None:
    """Let a sign that the terminal lacks, or a closed stream, not end the run."""
    if sys.stdout is None:
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def _drop(stream: TextIO) -> None:
    """Let what is still in the stream's buffer go nowhere, so that closing it is quiet."""
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)
    except (OSError, ValueError):
        pass
