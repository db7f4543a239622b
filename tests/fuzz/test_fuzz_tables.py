"""Damaged laps and measured roads are read or refused."""

from __future__ import annotations

import math

import numpy as np
import pytest
from bounds import bounded, clear, examples, on_disk
from damaging import RAW, bytes_damaged, text_damaged
from hypothesis import given
from hypothesis import strategies as st

from cornerwright.model.errors import Refusal
from cornerwright.model.lap import load_lap
from cornerwright.model.profile import load_profile


def _lap() -> str:
    rows = "\n".join(f"{time / 2},{90 + 40 * math.sin(time / 9):.1f}" for time in range(40))
    return f"# invented lap\ntime_s,speed_km_per_h\n{rows}\n"


def _road(sign: str = ";") -> str:
    rows = "\n".join(f"{k / 10}{sign}{3 * math.sin(k / 7):.2f}{sign}{2 * math.cos(k / 5):.2f}" for k in range(60))
    return f"distance_m{sign}left_mm{sign}right_mm\n# invented road\n{rows}\n"


BASES = {"lap": _lap, "road": _road}


def _cells(file: str):
    """Rows of odd numbers under the right head."""
    head = BASES[file]().split("\n")
    head = next(line for line in head if "_" in line and not line.startswith("#"))
    odd = st.sampled_from(
        ("", " ", "0", "-0", "-1", "1e400", "-1e400", "nan", "inf", "1e-320", "1_0", "²", "٣", "5 s", "12 km/h",
        "3 kg", "0x10",
         '"', '"5"', "'", "1,5", "1 2", "#", "9" * 400, "\0", "1e308")
    )  # fmt: skip
    cell = (
        odd
        | st.just("x").map(lambda sign: sign * 140_000)
        | st.floats(-10, 500).map(str)
        | st.integers(0, 300).map(str)
    )
    row = st.lists(cell, min_size=0, max_size=5).map((";" if ";" in head else ",").join)
    return st.lists(row, max_size=12).map(lambda rows: "\n".join([head, *rows]).encode())


CONTENTS = {
    file: text_damaged(base) | bytes_damaged(lambda base=base: base().encode()) | _cells(file) | RAW
    for file, base in BASES.items()
}


def read_or_refused(file, path, content):
    path.write_bytes(content)
    before = on_disk(path.parent)
    with bounded(file):
        try:
            read = load_lap(path) if file == "lap" else load_profile(path)
        except Refusal as refusal:
            clear(refusal, str(path))
            read = None
    assert on_disk(path.parent) == before
    if read is None:
        return None
    if file == "lap":
        times, speeds = np.array([(row.time, row.speed) for row in read.rows]).T
        assert np.isfinite(times).all()
        assert (np.diff(times) > 0).all()
        assert (speeds >= 0).all()
    else:
        assert np.isfinite(read.heights).all()
        assert read.step > 0
    return read


@examples(6.0)
@given(content=CONTENTS["lap"])
def test_a_damaged_lap(tmp_path, content):
    read_or_refused("lap", tmp_path / "lap.csv", content)


@examples(6.0)
@given(content=CONTENTS["road"])
def test_a_damaged_road(tmp_path, content):
    read_or_refused("road", tmp_path / "road.csv", content)


@pytest.mark.parametrize("file", BASES)
def test_the_undamaged_ones_are_read(tmp_path, file):
    assert read_or_refused(file, tmp_path / "file.csv", BASES[file]().encode()) is not None
    assert read_or_refused(file, tmp_path / "file.csv", b"\xef\xbb\xbf" + BASES[file]().encode()) is not None
