"""Results kept as they come: gone on with, refused, mended; a run killed whole and taken up again."""

import json
import os
import signal
import subprocess
import sys
import time

import numpy as np
import pyarrow.parquet as pq
import pytest
from toy_work import ToyWork

from cornerwright.model.errors import Refusal
from cornerwright.running.parts import MANIFEST, Parts
from cornerwright.running.run import Told, Where, run
from cornerwright.running.work import same_tables


def same(one, other):
    return len(one) == len(other) and all(same_tables(a, b) for a, b in zip(one, other, strict=True))


def parts(folder):
    return sorted(folder.glob("part-*.parquet"))


def test_parts_hold_every_bit(tmp_path):
    folder = tmp_path / "out"
    found = run(ToyWork(), Where(processes=1, folder=folder))
    assert len(parts(folder)) == 8
    assert [one.name for one in folder.iterdir() if one.name.startswith(".")] == []
    told = Told()
    again = run(ToyWork(), Where(processes=1, folder=folder), told=told)
    assert (told.found, told.cpu) == (8, {})
    assert same(found, again)
    assert same(again, run(ToyWork(), Where(processes=1)))
    manifest = json.loads((folder / MANIFEST).read_text())
    assert manifest["facts"]["seed"] == 1
    assert {"cornerwright", "numpy", "digest", "blocks"} <= manifest.keys()


def test_the_whole_folder_is_one_table_to_others(tmp_path):
    folder = tmp_path / "out"
    found = run(ToyWork(), Where(processes=1, folder=folder))
    whole = pq.read_table(parts(folder))
    assert whole["value"].to_numpy().tobytes() == np.concatenate([one["value"] for one in found]).tobytes()


def test_what_is_missing_or_torn_is_done_again(tmp_path):
    folder = tmp_path / "out"
    found = run(ToyWork(), Where(processes=1, folder=folder))
    before = {path: path.read_bytes() for path in parts(folder)}
    parts(folder)[2].write_bytes(parts(folder)[2].read_bytes()[:200])
    parts(folder)[5].unlink()
    told = Told()
    assert same(run(ToyWork(), Where(processes=1, folder=folder), told=told), found)
    assert sorted(told.cpu) == [2, 5]
    assert {path: path.read_bytes() for path in parts(folder)} == before


@pytest.mark.parametrize(
    ("change", "words"), [({"seed": 2}, "facts.seed is 1, here 2"), ({"blocks": 9}, "blocks is 8, here 9")]
)
def test_a_folder_of_other_work_is_refused_and_untouched(tmp_path, change, words):
    run(ToyWork(), Where(processes=1, folder=tmp_path))
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    with pytest.raises(Refusal, match=words):
        run(ToyWork(**change), Where(processes=1, folder=tmp_path))
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


def test_results_of_another_version_are_refused(tmp_path):
    run(ToyWork(), Where(processes=1, folder=tmp_path))
    manifest = json.loads((tmp_path / MANIFEST).read_text())
    (tmp_path / MANIFEST).write_text(json.dumps(manifest | {"numpy": "1.0.0"}))
    with pytest.raises(Refusal, match=r"numpy is .1\.0\.0"):
        Parts(tmp_path, ToyWork())


def test_folders_that_are_none_of_ours(tmp_path):
    (tmp_path / "holiday.txt").write_text("sun")
    with pytest.raises(Refusal, match="files of others"):
        Parts(tmp_path, ToyWork())
    torn = tmp_path / "torn"
    torn.mkdir()
    (torn / MANIFEST).write_text('{"for')
    with pytest.raises(Refusal, match="cannot be read"):
        Parts(torn, ToyWork())
    with pytest.raises(Refusal, match="a folder that can be written"):
        Parts(tmp_path / "holiday.txt" / "in", ToyWork())


def test_a_run_killed_whole_is_taken_up_again(tmp_path):
    folder = tmp_path / "out"
    script = (
        "from pathlib import Path\nfrom toy_work import ToyWork\nfrom cornerwright.running.run import run, Where\n"
        f"run(ToyWork(slow=0.2, blocks=24), Where(processes=2, folder=Path({str(folder)!r})))\n"
    )
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    caller = subprocess.Popen([sys.executable, "-c", script], env=environment)
    for _ in range(600):
        if len(parts(folder)) >= 3:
            break
        time.sleep(0.05)
    os.kill(caller.pid, signal.SIGKILL)
    caller.wait()
    there = len(parts(folder))
    assert 3 <= there < 24
    told = Told()
    found = run(ToyWork(blocks=24), Where(processes=1, folder=folder), told=told)
    assert told.found >= there
    assert len(told.cpu) == 24 - told.found
    assert same(found, run(ToyWork(blocks=24), Where(processes=1)))
