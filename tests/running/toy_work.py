"""A work for tests of running: numbers from a seed, slow on request, deadly on request."""

import os
import signal
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from cornerwright.running.work import numbers_for


@dataclass(frozen=True)
class ToyWork:
    """Draws normals; `slow` seconds a block; `folder`: each process leaves a file named by its id and block.

    deadly: a block that ends its process where it is done, as often as files in `folder` do not say it has.
    """

    seed: int = 1
    blocks: int = 8
    slow: float = 0.0
    folder: str | None = None
    deadly: int | None = None
    deaths: int = 1
    broken: int | None = None

    @property
    def facts(self):
        return {"seed": self.seed, "blocks": self.blocks, "what": {"toy": True}}

    def run(self, block):
        if block == self.broken:
            raise ValueError(f"block {block} is broken")
        if self.folder is not None:
            Path(self.folder, f"{os.getpid()}-{block}").touch()
        if block == self.deadly:
            died = len(list(Path(self.folder).glob("dead-*")))
            if died < self.deaths:
                Path(self.folder, f"dead-{died}").touch()
                os.kill(os.getpid(), signal.SIGKILL)
        time.sleep(self.slow)
        made = numbers_for(self.seed, block, "toy").standard_normal((50, 4))
        mixed = np.linalg.solve(made.T @ made, made.T)
        return {"row": np.arange(4, dtype=np.int64), "value": mixed.sum(axis=1), "none": np.full(4, np.nan)}
