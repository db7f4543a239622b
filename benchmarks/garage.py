"""The virtual garage: hidden cars, read, planned, turned and read again until all is inside tolerance.

    python benchmarks/garage.py --cars 200 --seed 1 --jobs 2 --out garage.json > garage.md

Every car comes in out of adjustment and differs from its file (`garage_truth.py` says how, and what the hidden
car shares with the planner). It is set right by three methods (`garage_methods.py`), each starting from the same
first readings. A pass is: read everything, plan, move, read again. The same seed gives the same table.
"""

from __future__ import annotations

import os

for _threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_threads, "1")

import argparse  # noqa: E402  (threads are counted when numpy is loaded)
import json  # noqa: E402
import shlex  # noqa: E402
import sys  # noqa: E402
import time  # noqa: E402
import traceback  # noqa: E402
from concurrent.futures import ProcessPoolExecutor, as_completed  # noqa: E402
from dataclasses import asdict, dataclass, field  # noqa: E402
from pathlib import Path  # noqa: E402
from typing import Any  # noqa: E402

import numpy as np  # noqa: E402
from garage_cars import KINDS, car_file, start_settings, targets_for  # noqa: E402
from garage_methods import (  # noqa: E402
    ByGauge,
    Learner,
    OffsetOnly,
    ShopOrder,
    Told,
    in_document_units,
    known_exactly,
    links_by_hand,
    with_settings,
)
from garage_report import report  # noqa: E402
from garage_truth import GAUGE, HiddenCar, Seen, stated_scatter  # noqa: E402

from cornerwright.model.target import Targets  # noqa: E402
from cornerwright.planning.observe import Key  # noqa: E402

METHODS = {
    "planner": ByGauge,
    "planner, nothing read between": Learner,
    "planner, not learning": OffsetOnly,
    "one at a time": ShopOrder,
}
MOST_PASSES = {"planner": 4, "planner, nothing read between": 4, "planner, not learning": 3, "one at a time": 10}


@dataclass
class After:
    """What came of one pass."""

    missed: list[str]
    """Readings truly outside their range."""
    shown: list[str]
    """Readings outside by gauge."""
    worst: float
    """Furthest true reading outside, in tolerances."""
    broken: list[str]
    verdict: str | None = None
    chance: float | None = None
    calibration: list[tuple[str, float, float]] = field(default_factory=list)
    """Of each reading that was predicted: its name, gauge and truth minus prediction in standard deviations."""
    seconds: float = 0.0
    reads: int = 1
    """Times the car was read during the pass."""


@dataclass
class Job:
    """One car of one run."""

    number: int
    seed: int
    kind: str
    averaged: int
    scale: float
    methods: tuple[str, ...]
    unhooked: bool


def main() -> None:
    """Run the garage and print its report."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--cars", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--kinds", nargs="+", default=list(KINDS), help="suspensions, `front+rear`, in turn")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--averaged", type=int, default=3, help="readings averaged at each pass")
    parser.add_argument("--scatter", type=float, default=1.0, help="factor on gauges' scatter and friction")
    parser.add_argument("--unhooked", action="store_true", help="cars are read with their bars unhooked")
    parser.add_argument("--methods", nargs="+", choices=METHODS, default=list(METHODS))
    parser.add_argument("--out", type=Path, help="write every pass of every car here (JSON)")
    parser.add_argument("--again", type=Path, help="only print the report of such a file")
    given = parser.parse_args()
    if given.again is not None:
        print(report(json.loads(given.again.read_text(encoding="utf-8"))))
        return
    jobs = [
        Job(
            n,
            given.seed,
            given.kinds[n % len(given.kinds)],
            given.averaged,
            given.scatter,
            tuple(given.methods),
            given.unhooked,
        )
        for n in range(given.cars)
    ]
    cars: list[dict[str, Any]] = []
    began = time.perf_counter()
    with ProcessPoolExecutor(given.jobs) as pool:
        for future in as_completed([pool.submit(one_car, job) for job in jobs]):
            cars.append(future.result())
            _tell(cars, given.cars, time.perf_counter() - began)
    cars.sort(key=lambda car: car["number"])
    run = {
        "command": shlex.join(["python", "benchmarks/garage.py", *sys.argv[1:]]),
        "averaged": given.averaged,
        "scatter": given.scatter,
        "seconds": time.perf_counter() - began,
        "cars": cars,
    }
    if given.out is not None:
        given.out.write_text(json.dumps(run), encoding="utf-8")
    print(report(run))


def _tell(cars: list[dict[str, Any]], of: int, seconds: float) -> None:
    last = cars[-1]
    passes = {name: len(one) for name, one in last["methods"].items()}
    inside = {name: bool(one) and not one[-1]["missed"] for name, one in last["methods"].items()}
    says = ", ".join(f"{name} {'' if inside[name] else '>'}{passes[name]}" for name in passes)
    print(f"{len(cars)}/{of} {seconds:.0f} s  car {last['number']} {last['kind']}: {says}", file=sys.stderr, flush=True)


def one_car(job: Job) -> dict[str, Any]:
    """One hidden car through every method: a list of passes for each, and the floor."""
    rng = np.random.default_rng([job.seed, job.number])
    car = car_file(job.kind)
    targets = targets_for(job.kind, rng)
    start = start_settings(car, targets, rng)
    redrawn = 0
    while True:
        hidden = HiddenCar(car, rng, averaged=job.averaged, scale=job.scale, unhooked=job.unhooked)
        first = hidden.read(start, np.random.default_rng([job.seed, job.number, 1])) if hidden.stands else None
        if first is not None and all(np.isfinite(v) for (_, n), v in first.true.items() if n in ("load", "droop_left")):
            break
        redrawn += 1
    told: dict[str, Any] = {
        "number": job.number,
        "kind": job.kind,
        "redrawn": redrawn,
        "start": asdict(_after(targets, first, None)),
        "methods": {},
        "errors": {},
    }
    for name in job.methods:
        try:
            told["methods"][name] = [asdict(one) for one in _passes(name, job, hidden, targets, start, first)]
        except Exception:  # one car must not end the run; the report counts it
            told["methods"][name] = []
            told["errors"][name] = traceback.format_exc()
    began = time.perf_counter()
    sigma = stated_scatter(job.averaged, job.scale)
    best = known_exactly(car, targets, hidden, start, sigma)
    seen = hidden.read(best, np.random.default_rng([job.seed, job.number, 2]))
    told["floor"] = asdict(_after(targets, seen, None))
    told["floor"]["seconds"] = time.perf_counter() - began
    return told


def _passes(name: str, job: Job, hidden: HiddenCar, targets: Targets, start: Any, first: Seen) -> list[After]:
    """Passes until all is inside, truly and by gauge, or there were enough of them."""
    car = hidden.rig.car
    rng = np.random.default_rng([job.seed, job.number, 3])
    settings, seen = start, first
    done: list[After] = []
    right = [False, False]
    method = METHODS[name](car, targets)
    for _ in range(MOST_PASSES[name]):
        began = time.perf_counter()
        if isinstance(method, ShopOrder):
            settings, said = method.round(settings, hidden, rng), None
        else:
            before = settings
            settings, said = method.next(settings, seen)
            if isinstance(method, ByGauge):
                settings = method.done(before, method.result, hidden, rng)
        seconds = time.perf_counter() - began
        settings = links_by_hand(settings, hidden)
        reads = method.reads if isinstance(method, ShopOrder) else 3 if isinstance(method, ByGauge) else 1
        seen = hidden.read(settings, rng)
        after = _after(targets, seen, said)
        after.seconds, after.reads = seconds, reads
        done.append(after)
        right = [right[0] or not after.missed, right[1] or not after.shown]
        if all(right):
            break
    return done


def _after(targets: Targets, seen: Seen, said: Told | None) -> After:
    bands = targets.bands()

    def off(key: Key, value: float) -> float:
        band = bands[key]
        return max(band.low - value, value - band.high) / band.within

    outside = {key: off(key, seen.true[key]) for key in bands}
    shown = [key for key in bands if off(key, seen.gauge[key]) > 0]
    after = After(
        missed=[_name(key) for key, by in outside.items() if by > 0],
        shown=[_name(key) for key in shown],
        worst=max(outside.values()),
        broken=list(seen.broken),
    )
    if said is not None:
        after.verdict, after.chance = said.verdict, said.chance
        scatter = stated_scatter()
        for key, (value, sigma) in said.expected.items():
            if key in seen.gauge and np.isfinite(seen.gauge[key]) and sigma > 0:
                gauge = in_document_units(key, seen.gauge[key])
                true = in_document_units(key, seen.true[key])
                own = in_document_units(key, scatter[key[1]]) if key[1] in GAUGE else 0.0
                inner = float(np.sqrt(max(sigma**2 - own**2, 1e-18)))
                after.calibration.append((key[1], (gauge - value) / sigma, (true - value) / inner))
    return after


def _name(key: Key) -> str:
    return f"{key[0] or 'car'}.{key[1]}"


__all__ = ["main", "one_car", "with_settings"]

if __name__ == "__main__":
    main()
