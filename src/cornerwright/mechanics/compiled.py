"""Compiling a loop once and keeping the result, also where the program's own folder cannot be written."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numba


def compiled(function: Callable[..., Any]) -> Any:
    """The function compiled at its first call, and kept for the next time the program runs.

    The result is kept beside the source, or where that cannot be written in the user's cache folder, or where
    NUMBA_CACHE_DIR says. Where nothing can be written it is compiled afresh each time. Sums keep their order and
    products are not fused, so that a result does not depend on the processor's width.
    """
    given: dict[str, Any] = {"nogil": True, "error_model": "numpy", "fastmath": False}
    try:
        return numba.njit(cache=True, **given)(function)
    except RuntimeError:  # no place to keep it
        return numba.njit(**given)(function)
