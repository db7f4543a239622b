"""The command that opens the app: what it refuses, and whom it answers."""

from __future__ import annotations

import socket
import subprocess
import sys
from contextlib import closing

import pytest

from cars_in_hand import car_folder
from cornerwright.model.errors import Refusal
from cornerwright.web.serving import serve


@pytest.mark.parametrize("port", ["-1", "65536", "eighty"])
def test_a_port_that_cannot_be_is_named(cornerwright, job, port):
    done = cornerwright("app", job.car, "--port", port)
    assert done.status == 2
    assert "--port" in done.err


def test_a_car_that_is_not_there_is_named(cornerwright, tmp_path):
    done = cornerwright("app", tmp_path / "none.yaml", "--port", "0")
    assert done.status == 2
    assert "none.yaml" in done.err


def test_a_port_that_is_taken_is_named(tmp_path):
    with closing(socket.socket()) as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        with pytest.raises(Refusal, match="a port that is free"):
            serve(car_folder(tmp_path), other.getsockname()[1], False, None, print)


def test_another_name_is_for_the_network_only(cornerwright, job):
    done = cornerwright("app", job.car, "--port", "0", "--called", "bench")
    assert done.status == 2
    assert "--called" in done.err


def test_help_loads_nothing_of_the_app():
    look = (
        "import sys; from cornerwright.cli import run; run(['app', '--help']);"
        "print([one for one in sys.modules if one.split('.')[0] in ('nicegui', 'fastapi', 'numpy', 'argon2', 'PIL')])"
    )
    done = subprocess.run([sys.executable, "-c", look], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"
