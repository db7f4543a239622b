"""What is given away: a wheel that has all it needs and nothing else, an sdist from which the checks run."""

from __future__ import annotations

import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

import cornerwright

PROJECT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def dist(tmp_path_factory) -> Path:
    """Wheel and sdist, built without looking for anything elsewhere."""
    folder = tmp_path_factory.mktemp("dist")
    for kind in ("wheel", "sdist"):
        command = [sys.executable, "-m", "hatchling", "build", "-t", kind, "-d", str(folder)]
        done = subprocess.run(command, cwd=PROJECT, capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr
    return folder


def test_the_wheel_has_what_the_program_reads_and_no_tests(dist):
    (wheel,) = dist.glob("*.whl")
    names = set(zipfile.ZipFile(wheel).namelist())
    package = PROJECT / "src" / "cornerwright"
    for path in package.rglob("*"):
        if path.is_file() and "__pycache__" not in path.parts:
            assert f"cornerwright/{path.relative_to(package).as_posix()}" in names
    for name in ("tarn_fell/car.yaml", "tarn_fell/book/entries.jsonl", "skerry_nine/targets.yaml"):
        assert f"cornerwright/examples/{name}" in names
    roots = {name.split("/")[0] for name in names}
    assert roots == {"cornerwright", f"cornerwright-{cornerwright.__version__}.dist-info"}


def test_the_wheel_names_the_command_and_this_version(dist):
    (wheel,) = dist.glob("*.whl")
    with zipfile.ZipFile(wheel) as pack:
        (points,) = (name for name in pack.namelist() if name.endswith("entry_points.txt"))
        assert "cornerwright = cornerwright.cli:run" in pack.read(points).decode()
        (metadata,) = (name for name in pack.namelist() if name.endswith("METADATA"))
        assert f"Version: {cornerwright.__version__}\n" in pack.read(metadata).decode()


def test_the_checks_run_from_the_sdist(dist):
    (sdist,) = dist.glob("*.tar.gz")
    with tarfile.open(sdist) as pack:
        names = {name.split("/", 1)[1] for name in pack.getnames() if "/" in name}
    for name in ("Makefile", "Containerfile", ".ci/run", "pyproject.toml", "tests/conftest.py", "docs/files.md",
                 "examples/tarn_fell/car.yaml", "README.md", "CHANGELOG.md", "LICENSE"):  # fmt: skip
        assert name in names


def test_the_container_copies_what_is_there():
    lines = (PROJECT / "Containerfile").read_text(encoding="utf-8").splitlines()
    copied = [
        name for line in lines if line.startswith("COPY ") and "--from" not in line for name in line.split()[1:-1]
    ]
    assert "src" in copied
    for name in copied:
        assert (PROJECT / name).exists(), name
