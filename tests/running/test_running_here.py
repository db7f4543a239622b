"""Blocks on this machine: the same however many do them, a killed worker changes nothing, errors come home."""

import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import numpy as np
import pytest
from toy_work import ToyWork

from cornerwright.model.errors import Refusal
from cornerwright.running import here
from cornerwright.running.run import Told, Where, run
from cornerwright.running.work import digest_of, numbers_for, same_tables


def same(one, other):
    return len(one) == len(other) and all(same_tables(a, b) for a, b in zip(one, other, strict=True))


@pytest.fixture(scope="module")
def alone():
    return run(ToyWork(), Where(processes=1))


def workers(folder, least=1):
    """Process ids that have begun blocks, ours left out."""
    for _ in range(400):
        ids = {int(one.name.partition("-")[0]) for one in Path(folder).glob("[0-9]*-*")} - {os.getpid()}
        if len(ids) >= least:
            return ids
        time.sleep(0.05)
    raise AssertionError("no worker began")


def test_two_processes_give_the_same_bits(alone, tmp_path):
    told, shares = Told(), []
    work = ToyWork(slow=0.05, folder=str(tmp_path))
    assert same(run(work, Where(processes=2), progress=shares.append, told=told), alone)
    assert len(workers(tmp_path, 2)) == 2
    assert shares == [k / 8 for k in range(1, 9)]
    assert sorted(told.cpu) == list(range(8))


def test_small_works_stay_in_this_process(alone, tmp_path, monkeypatch):
    monkeypatch.setattr(here, "cores", lambda: 2)
    assert same(run(ToyWork(folder=str(tmp_path))), alone)
    assert {one.name.partition("-")[0] for one in tmp_path.iterdir()} == {str(os.getpid())}


def test_large_works_take_all_cores(alone, tmp_path, monkeypatch):
    monkeypatch.setattr(here, "cores", lambda: 2)
    monkeypatch.setattr(here, "WORTH_IT", 0.0)
    assert same(run(ToyWork(folder=str(tmp_path), slow=0.05)), alone)
    assert len(workers(tmp_path, 2)) == 2


def test_a_worker_killed_in_mid_run_changes_nothing(alone, tmp_path):
    work = ToyWork(slow=0.4, folder=str(tmp_path))
    killed = []

    def strike():
        victim = min(workers(tmp_path, 2))
        os.kill(victim, signal.SIGKILL)
        killed.append(victim)

    thread = threading.Thread(target=strike)
    thread.start()
    found = run(work, Where(processes=2))
    thread.join()
    assert killed
    assert same(found, alone)
    assert len(workers(tmp_path, 3)) == 3  # the two, and the one that took the place


def test_a_block_that_kills_once_is_done_again(alone, tmp_path):
    assert same(run(ToyWork(folder=str(tmp_path), deadly=3, deaths=2), Where(processes=2)), alone)


def test_a_block_that_kills_each_worker_is_given_up(tmp_path):
    with pytest.raises(Refusal, match="block 3, which ended 3 workers"):
        run(ToyWork(folder=str(tmp_path), deadly=3, deaths=99), Where(processes=2))


@pytest.mark.parametrize("processes", [1, 2])
def test_what_a_block_raises_is_raised_here(processes):
    with pytest.raises(ValueError, match="block 5 is broken"):
        run(ToyWork(broken=5), Where(processes=processes))


def test_no_worker_outlives_its_run(tmp_path):
    work = ToyWork(slow=5.0, folder=str(tmp_path))
    steps = here.run_here(work, range(8), 2)
    thread = threading.Thread(target=lambda: next(steps, None))
    thread.start()
    ids = workers(tmp_path, 2)
    thread.join()
    steps.close()
    for one in ids:
        with pytest.raises(ProcessLookupError):
            os.kill(one, 0)


def test_workers_end_with_a_caller_that_is_killed(tmp_path):
    script = (
        "from toy_work import ToyWork\nfrom cornerwright.running.run import run, Where\n"
        f"run(ToyWork(slow=0.5, blocks=400, folder={str(tmp_path)!r}), Where(processes=2))\n"
    )
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    caller = subprocess.Popen([sys.executable, "-c", script], env=environment)
    ids = {one for one in workers(tmp_path, 2) if one != caller.pid}
    caller.kill()
    caller.wait()
    for _ in range(100):
        alive = [one for one in ids if Path(f"/proc/{one}").exists() and not _is_zombie(one)]
        if not alive:
            return
        time.sleep(0.1)
    raise AssertionError(f"still there: {alive}")


def _is_zombie(one):
    try:
        return Path(f"/proc/{one}/stat").read_text().rpartition(")")[2].split()[0] == "Z"
    except OSError:
        return True


def test_numbers_hang_on_seed_block_and_label_alone():
    first = numbers_for(1, 2, "front spring rate").standard_normal(5)
    assert (numbers_for(1, 2, "front spring rate").standard_normal(5) == first).all()
    for other in ((2, 2, "front spring rate"), (1, 3, "front spring rate"), (1, 2, "rear spring rate")):
        assert not np.isin(numbers_for(*other).standard_normal(5), first).any()
    # A child of the seed's sequence as NumPy makes them.
    child = np.random.SeedSequence(1).spawn(3)[2]
    named = np.random.SeedSequence(1, spawn_key=(2,))
    assert child.generate_state(4).tolist() == named.generate_state(4).tolist()


def test_facts_have_one_digest():
    assert digest_of({"a": 1, "b": [1.5]}) == digest_of({"b": [1.5], "a": 1})
    assert digest_of({"a": 1}) != digest_of({"a": 2})
