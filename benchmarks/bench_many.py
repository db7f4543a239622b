"""What many runs cost: ten thousand stances with alignment, and how two workers share the work of one.

Run with `python benchmarks/bench_many.py`; `--only stances`, `--only scaling`. Other work on the machine enters wall
time, so seconds of processor are told beside it: of all blocks summed, and how they were spread over two workers.
"""

import argparse
import resource
import time
from pathlib import Path

import cornerwright as cw
from cornerwright.planning.doubt_subjects import Case
from cornerwright.planning.doubt_work import DoubtWork
from cornerwright.running.run import Told, Where, run

EXAMPLES = Path(__file__).parents[1] / "examples"
STANCES = 10_000


def timed(work, where):
    told, began = Told(), time.perf_counter()
    run(work, where, told=told)
    return time.perf_counter() - began, told


def stances():
    """As many rows as make ten thousand cars in all samples together; each stood, with every reading."""
    for name in ("tarn_fell", "skerry_nine"):
        car = cw.load_car(EXAMPLES / name / "car.yaml")
        groups = len(DoubtWork(car, ("stand",), 16, 1).prepared(car).things.groups)
        rows = -(-STANCES // (2 + groups))
        work = DoubtWork(car, ("stand",), rows, 1)
        cars = rows * (2 + groups)
        for processes in (1, 2):
            wall, told = timed(work, Where(processes=processes))
            cpu = sum(told.cpu.values())
            print(f"{name:12} {cars} stances, {processes} process(es): {wall:6.2f} s wall, {cpu:6.2f} s CPU in blocks")


def scaling():
    """Strong scaling: the same blocks by one process, by two workers here, by a cluster of two workers here."""
    car = cw.load_car(EXAMPLES / "tarn_fell" / "car.yaml")
    work = DoubtWork(car, ("road",), 32, 1, Case(seconds=6.0))
    warm = DoubtWork(car, ("road",), 16, 2, Case(seconds=4.0))
    timed(warm, Where(processes=1))
    one, told = timed(work, Where(processes=1))
    alone = sum(told.cpu.values())
    print(f"one process           {one:6.2f} s wall, {alone:6.2f} s CPU in {work.blocks} blocks")
    before = _of_children()
    wall, told = timed(work, Where(processes=2))
    _say("two workers here", one, alone, wall, told, _of_children() - before)
    from distributed import LocalCluster  # noqa: PLC0415 - an extra

    with LocalCluster(
        n_workers=2, threads_per_worker=1, host="127.0.0.1", dashboard_address=":0", memory_limit=0, silence_logs=50
    ) as made:
        timed(warm, Where(cluster=made.scheduler_address))
        wall, told = timed(work, Where(cluster=made.scheduler_address))
    _say("a cluster of two here", one, alone, wall, told, sum(told.cpu.values()))


def _of_children():
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def _say(name, one, alone, wall, told, whole):
    """whole: processor time of the workers, here with their start, in the cluster in blocks alone.

    Two cores of their own would halve it.
    """
    print(
        f"{name:21} {wall:6.2f} s wall, {sum(told.cpu.values()):6.2f} s CPU in blocks, {whole:6.2f} s with all else: "
        f"{one / wall:.2f} times as fast by the clock, {2.0 * alone / whole:.2f} by processor time"
    )


if __name__ == "__main__":
    asked = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    asked.add_argument("--only", choices=("stances", "scaling"))
    only = asked.parse_args().only
    for part in (stances, scaling):
        if only in (None, part.__name__):
            part()
