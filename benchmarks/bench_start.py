"""How long a user waits before anything happens: import and --help, each in a fresh interpreter."""

from __future__ import annotations

import subprocess
import sys

import pytest

CASES = {
    "bare python": [sys.executable, "-c", "pass"],
    "import cornerwright": [sys.executable, "-c", "import cornerwright"],
    "cornerwright --help": [sys.executable, "-m", "cornerwright", "--help"],
}


@pytest.mark.parametrize("case", CASES)
def test_start(benchmark, case):
    """Goal: 0.3 s for the import and for --help; the bare interpreter stands beside them."""
    done = benchmark.pedantic(
        subprocess.run, (CASES[case],), {"capture_output": True, "check": True}, rounds=7, warmup_rounds=1
    )
    assert done.returncode == 0
