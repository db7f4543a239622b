"""The compiled steps of the ride against the plain ones, and where their compiled form is kept."""

import subprocess
import sys
import textwrap
from pathlib import Path

import numpy as np
import pytest

import cornerwright
from cornerwright.mechanics import ride, ride_compiled, ride_steps, road
from cornerwright.mechanics.ride_rest import rest
from ridecars import ride_car, straight_road

SOURCES = Path(cornerwright.__file__).parents[1]


def both(car, heights, step=1e-3, speed=None):
    rising = np.gradient(heights, step, axis=1)
    begin = np.tile(rest(car).q, (heights.shape[0], 1))
    moving = np.zeros_like(begin) if speed is None else speed
    return [one.march(car, heights, rising, step, begin, moving) for one in (ride_compiled, ride_steps)]


def rough(mean, number, rows=2500):
    tracks = road.tracks(400.0, 0.05, 1.36, mean, np.random.default_rng(number))
    return straight_road(tracks, 20.0, 1e-3, 2.39, rows)


@pytest.mark.parametrize("mean", [64e-6, 16384e-6])
@pytest.mark.parametrize("linear", [True, False])
def test_the_same_within_rounding(mean, linear):
    """The worst road: stops to metal, wheels in the air, dampers beyond their curve; bars set off level."""
    car = ride_car(linear=linear, bar_offset=np.array([0.004, -0.002]))
    heights = np.stack([rough(mean, 1), rough(mean, 2)])
    compiled, plain = both(car, heights)
    if mean > 1e-3:
        squeeze = heights - plain[0][..., 3:] - car.tyre_gap
        assert (squeeze < 0.0).any()
    for mine, theirs in zip(compiled, plain, strict=True):
        assert np.abs(theirs).max() > 1e-3
        assert mine == pytest.approx(theirs, rel=1e-9, abs=1e-11 * np.abs(theirs).max() + 1e-13)


def test_a_lost_run_is_lost_in_both():
    car = ride_car()
    speed = np.zeros((2, 7))
    speed[1, 0] = 900.0
    for mine in both(car, np.zeros((2, 3000, 4)), speed=speed):
        places = mine[0]
        assert np.abs(places[0]).max() < 1.0
        assert not (np.abs(places[1]) < ride_steps.LOST).all()


def test_without_a_compiler_the_plain_steps_are_taken(monkeypatch):
    heights = rough(256e-6, 3, rows=300)[None]
    compiled = ride.drive(ride_car(), heights, 1e-3)
    monkeypatch.delattr("cornerwright.mechanics.ride_compiled", raising=False)
    monkeypatch.setitem(sys.modules, "cornerwright.mechanics.ride_compiled", None)
    assert ride._steps() is ride_steps.march
    plain = ride.drive(ride_car(), heights, 1e-3)
    assert plain.lift == pytest.approx(compiled.lift, abs=1e-13)


def loop(folder):
    """A package of one compiled loop, and the environment of a user who owns no folder."""
    folder.mkdir()
    (folder / "loop.py").write_text(
        textwrap.dedent("""
            from cornerwright.mechanics.compiled import compiled

            @compiled
            def total(count):
                sum = 0.0
                for k in range(count):
                    sum += k
                return sum
            """)
    )
    nowhere = "/proc/nowhere"
    return {"PATH": "/usr/bin:/bin", "HOME": nowhere, "XDG_CACHE_HOME": nowhere}


def run(folder, environment, words="print(loop.total(5), sum(loop.total.stats.cache_hits.values()))"):
    environment = environment | {"PYTHONPATH": f"{folder}:{SOURCES}"}
    command = [sys.executable, "-B", "-c", f"import loop; {words}"]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout.split()


def test_kept_beside_the_source_for_the_next_time(tmp_path):
    folder = tmp_path / "here"
    environment = loop(folder)
    assert run(folder, environment) == ["10.0", "0"]
    assert run(folder, environment) == ["10.0", "1"]
    assert list((folder / "__pycache__").glob("*.nbc"))


def test_kept_in_the_users_cache_where_the_install_cannot_be_written(tmp_path):
    folder, cache = tmp_path / "here", tmp_path / "cache"
    environment = loop(folder) | {"XDG_CACHE_HOME": str(cache)}
    # A file where the folder would be: what no permission bit does to a root user.
    (folder / "__pycache__").write_text("")
    assert run(folder, environment) == ["10.0", "0"]
    assert run(folder, environment) == ["10.0", "1"]
    assert list(cache.rglob("*.nbc"))


def test_runs_where_nothing_can_be_written(tmp_path):
    folder = tmp_path / "here"
    environment = loop(folder)
    (folder / "__pycache__").write_text("")
    assert run(folder, environment) == ["10.0", "0"]
    assert run(folder, environment) == ["10.0", "0"]


def test_the_compiler_is_not_loaded_by_other_commands():
    words = (
        "import cornerwright.cli.app, cornerwright.mechanics.ride, cornerwright.planning.check, sys;"
        "print([one for one in ('numba', 'llvmlite', 'distributed', 'dask', 'pyarrow') if one in sys.modules])"
    )
    command = [sys.executable, "-c", words]
    environment = {"PATH": "/usr/bin:/bin", "PYTHONPATH": str(SOURCES)}
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=True, env=environment)
    assert done.stdout.strip() == "[]"
