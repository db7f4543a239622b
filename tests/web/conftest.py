"""What the tests of the app share: a browser."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from typing import Any

import pytest


@pytest.fixture(autouse=True)
def modules_stay() -> Iterator[None]:
    """NiceGUI's simulated user forgets modules with pages as it leaves; what others patch in them would be lost."""
    kept = {name: module for name, module in sys.modules.items() if name.partition(".")[0] == "cornerwright"}
    yield
    sys.modules.update(kept)


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
