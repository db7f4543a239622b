"""What many runs cost: ten thousand stances with alignment, and how two workers share the work of one.

Run with `python benchmarks/bench_many.py`; `--only stances`, `--only scaling`. Other work on the machine enters wall
time, so seconds of processor are told beside it: of all blocks summed, and how they were spread over two workers.
"""

import argparse
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
    work = DoubtWork(car, ("road",), 64, 1, Case(seconds=16.0))
    timed(DoubtWork(car, ("road",), 16, 2, Case(seconds=4.0)), Where(processes=1))
    one, told = timed(work, Where(processes=1))
    alone = sum(told.cpu.values())
    print(f"one process           {one:6.2f} s wall, {alone:6.2f} s CPU in {work.blocks} blocks")
    rows = [("two workers here", Where(processes=2))]
    from distributed import LocalCluster  # noqa: PLC0415 - an extra

    with LocalCluster(
        n_workers=2, threads_per_worker=1, host="127.0.0.1", dashboard_address=":0", memory_limit=0, silence_logs=50
    ) as made:
        timed(DoubtWork(car, ("road",), 16, 2, Case(seconds=4.0)), Where(cluster=made.scheduler_address))
        rows.append(("a cluster of two here", Where(cluster=made.scheduler_address)))
        for name, where in rows:
            two, told = timed(work, where)
            both = sum(told.cpu.values())
            print(
                f"{name:21} {two:6.2f} s wall, {both:6.2f} s CPU: {one / two:.2f} times as fast by the clock; by"
                f" processor time {2 * alone / both:.2f} at the best, had both a core to themselves"
            )


if __name__ == "__main__":
    asked = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    asked.add_argument("--only", choices=("stances", "scaling"))
    only = asked.parse_args().only
    for part in (stances, scaling):
        if only in (None, part.__name__):
            part()
