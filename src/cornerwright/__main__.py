"""`python -m cornerwright`."""

import sys

from cornerwright.cli import run

if __name__ == "__main__":
    sys.exit(run())
