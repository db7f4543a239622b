"""`make mutants`: small slips put into the code one at a time, and whether the fast tests notice.

mutmut makes the slips (pyproject.toml says in which modules, and which tests look); this draws a sample of them at
random, has it run, and prints how many there are, were tried and were noticed, module by module. What is left
unnoticed is listed by name: `mutmut show NAME` shows it. docs/mutation.md tells what became of them.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parents[1]
MUTANTS = HERE / "mutants"
NOTICED = (1, 3, -24, 24, 36, 152, 255)
"""Exit codes by which mutmut tells that a test failed, or that it ran out of time."""


def mutmut(*arguments: str) -> int:
    """Run it with its own copies of source and tests in front."""
    path = os.pathsep.join(str(MUTANTS / part) for part in ("src", "tests"))
    return subprocess.run(
        [sys.executable, "-m", "mutmut", *arguments], cwd=HERE, env={**os.environ, "PYTHONPATH": path}, check=False
    ).returncode


def results() -> dict[str, dict[str, int | None]]:
    """Exit code by mutant by module; None: not tried."""
    found = {}
    for meta in sorted(MUTANTS.glob("src/**/*.py.meta")):
        by_name = json.loads(meta.read_text(encoding="utf-8"))["exit_code_by_key"]
        if by_name:
            found[str(meta.relative_to(MUTANTS / "src" / "cornerwright")).removesuffix(".py.meta")] = by_name
    return found


def table(found: dict[str, dict[str, int | None]]) -> str:
    """How many there are, were tried, noticed and not, by module."""
    lines = [f"{'module':<28}{'mutants':>9}{'tried':>7}{'killed':>8}{'survived':>10}{'no test':>9}"]
    totals = [0] * 5
    for module, by_name in found.items():
        tried = [code for code in by_name.values() if code is not None]
        none = sum(code in (5, 33) for code in tried)
        killed = sum(code in NOTICED for code in tried)
        row = [len(by_name), len(tried), killed, len(tried) - killed - none, none]
        totals = [one + more for one, more in zip(totals, row, strict=True)]
        lines.append(f"{module:<28}{row[0]:>9}{row[1]:>7}{row[2]:>8}{row[3]:>10}{row[4]:>9}")
    lines.append(f"{'all':<28}{totals[0]:>9}{totals[1]:>7}{totals[2]:>8}{totals[3]:>10}{totals[4]:>9}")
    return "\n".join(lines)


def unnoticed(found: dict[str, dict[str, int | None]]) -> list[str]:
    """Names of those that were tried, and no test failed."""
    return [name for one in found.values() for name, code in one.items() if code is not None and code not in NOTICED]


def main() -> int:
    """Draw, run, tell."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--sample", type=int, default=200, help="how many, drawn over all modules")
    asked.add_argument("--module", nargs="*", help="only these, as in mechanics/threads; with --sample 0 all of them")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--again", action="store_true", help="only those that nothing noticed so far")
    asked.add_argument("--table", action="store_true", help="only tell what has been run so far")
    given = asked.parse_args()
    if not given.table:
        if not MUTANTS.exists():
            mutmut("run", "none_of_them")  # makes the mutants, and says that none was asked for
        found = results()
        names = [
            name for module, one in found.items() if given.module is None or module in given.module for name in one
        ]
        if given.again:
            names = unnoticed(found)
        elif given.sample and given.sample < len(names):
            names = random.Random(given.seed).sample(names, given.sample)
        mutmut("run", "--max-children", "1", *names)
    found = results()
    print(table(found))
    for name in unnoticed(found):
        print(f"unnoticed {name}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
