"""A cluster of two workers on this machine: the same bits, a killed worker, versions, addresses."""

import os
import signal
import sys
import threading
import time
from pathlib import Path

import pytest
from distributed import LocalCluster
from toy_work import ToyWork

from cornerwright.model.errors import Refusal
from cornerwright.running import cluster as clusters
from cornerwright.running.run import Where, run
from cornerwright.running.work import same_tables


def same(one, other):
    return len(one) == len(other) and all(same_tables(a, b) for a, b in zip(one, other, strict=True))


@pytest.fixture(scope="module")
def alone():
    return run(ToyWork(), Where(processes=1))


@pytest.fixture(scope="module")
def two_workers():
    """Loopback only, no dashboard; workers find the same sources as the tests do."""
    before = os.environ.get("PYTHONPATH")
    os.environ["PYTHONPATH"] = os.pathsep.join(sys.path)
    with LocalCluster(
        n_workers=2, threads_per_worker=1, host="127.0.0.1", dashboard_address=":0", memory_limit=0, silence_logs=50
    ) as made:
        yield made.scheduler_address
    if before is None:
        del os.environ["PYTHONPATH"]
    else:
        os.environ["PYTHONPATH"] = before


def test_the_same_bits(alone, two_workers, tmp_path):
    found = run(ToyWork(slow=0.1, folder=str(tmp_path)), Where(cluster=two_workers))
    assert same(found, alone)
    assert len({one.name.partition("-")[0] for one in tmp_path.iterdir()} - {str(os.getpid())}) == 2


def test_a_worker_killed_in_mid_run_changes_nothing(alone, two_workers, tmp_path):
    killed = []

    def strike():
        for _ in range(400):
            ids = {int(one.name.partition("-")[0]) for one in Path(tmp_path).iterdir()}
            if len(ids) == 2:
                killed.append(min(ids))
                os.kill(min(ids), signal.SIGKILL)
                return
            time.sleep(0.05)

    thread = threading.Thread(target=strike)
    thread.start()
    found = run(ToyWork(slow=0.5, folder=str(tmp_path)), Where(cluster=two_workers))
    thread.join()
    assert killed
    assert killed[0] != os.getpid()
    assert same(found, alone)
    done = [one.name.partition("-")[2] for one in tmp_path.iterdir()]
    assert len(done) > 8  # one block at least was begun twice


def test_a_folder_begun_here_is_ended_there(alone, two_workers, tmp_path):
    run(ToyWork(), Where(processes=1, folder=tmp_path))
    for part in sorted(tmp_path.glob("part-*"))[3:]:
        part.unlink()
    assert same(run(ToyWork(), Where(cluster=two_workers, folder=tmp_path)), alone)


def test_what_a_block_raises_is_raised_here(two_workers):
    with pytest.raises(ValueError, match="block 5 is broken"):
        run(ToyWork(broken=5, seed=77), Where(cluster=two_workers))


def test_another_version_is_refused(two_workers, monkeypatch):
    monkeypatch.setattr(clusters, "versions", lambda: {"cornerwright": "99"})
    with pytest.raises(Refusal, match="cornerwright 99 on every worker"):
        run(ToyWork(seed=78), Where(cluster=two_workers))


@pytest.mark.parametrize("address", ["tcp://127.0.0.1:9", "nonsense://here"])
def test_no_scheduler_there(address, monkeypatch):
    monkeypatch.setattr(clusters, "CONNECT", 1.0)
    with pytest.raises(Refusal, match="address of a Dask scheduler"):
        run(ToyWork(), Where(cluster=address))


def test_a_cluster_without_workers_is_left(monkeypatch):
    monkeypatch.setattr(clusters, "NOBODY", 1.0)
    with (
        LocalCluster(n_workers=0, host="127.0.0.1", dashboard_address=":0", silence_logs=50) as empty,
        pytest.raises(Refusal, match="a cluster without workers"),
    ):
        run(ToyWork(), Where(cluster=empty.scheduler_address))
