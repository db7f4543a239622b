"""What the tests of documents share."""

from __future__ import annotations

import pytest


@pytest.fixture
def put(tmp_path):
    def write(text: str | bytes):
        path = tmp_path / "car.yaml"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    return write
