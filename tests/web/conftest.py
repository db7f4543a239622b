"""What the tests of the app share: a browser."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Chromium without a window; for one module: while it is open, no other loop runs in this thread."""
    sync_api = pytest.importorskip("playwright.sync_api")
    from browsing import CHROMIUM

    with sync_api.sync_playwright() as playwright:
        try:
            found = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        except sync_api.Error:
            pytest.skip("no Chromium: `apt-get install chromium` or `playwright install chromium`")
        yield found
        found.close()
