"""What tests of the app wait for: as long as a loaded machine may need, for speed is no test's."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from nicegui.testing import User

PATIENCE = 60.0
"""How long anything may take before it counts as not coming [s]."""
STEP = 0.05


def comes(true: Callable[[], bool]) -> bool:
    """Whether it becomes true."""
    end = time.monotonic() + PATIENCE
    while not (found := true()) and time.monotonic() < end:
        time.sleep(STEP)
    return found


async def comes_meanwhile(true: Callable[[], bool]) -> bool:
    """Whether it becomes true while others are at work."""
    end = time.monotonic() + PATIENCE
    while not (found := true()) and time.monotonic() < end:
        await asyncio.sleep(STEP)
    return found


async def seen(user: User, words: str) -> None:
    """These words are on the simulated screen, or come."""
    await user.should_see(words, retries=round(PATIENCE / 0.1))
