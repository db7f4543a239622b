"""The garage's report: tables in Markdown, made from the passes of every car."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np

Run = dict[str, Any]
NINETY = 1.6448536269514722
"""Half-width of a 90 % interval, in standard deviations."""

CRITERIA: dict[str, Callable[[str], bool]] = {
    "all": lambda name: True,
    "all but spring held": lambda name: not name.endswith("spring_held"),
}
"""Which readings must be inside. How far a spring is squeezed at droop cannot be read on its wheels."""

COLUMNS = ("1", "2", "3", "4", "5", "more")


def report(run: Run) -> str:
    """Everything, as Markdown."""
    parts = [_head(run)]
    for name, counts in CRITERIA.items():
        parts.append(_distribution(run, name, counts))
    parts += [_what_is_missed(run), _by_kind(run), _limits(run), _calibration(run), _chances(run), _time(run)]
    errors = [f"- car {car['number']}, {name}: {text.splitlines()[-1]}" for car, name, text in _errors(run)]
    if errors:
        parts.append("### Errors\n\n" + "\n".join(errors))
    return "\n\n".join(parts)


def _errors(run: Run) -> Iterator[tuple[Run, str, str]]:
    for car in run["cars"]:
        for name, text in car["errors"].items():
            yield car, name, text


def _head(run: Run) -> str:
    kinds = Counter(car["kind"] for car in run["cars"])
    return (
        f"`{run['command']}`\n\n{len(run['cars'])} hidden cars of {len(kinds)} kinds; every reading the mean of "
        f"{run['averaged']}, gauges' scatter times {run['scatter']:g}; {run['seconds'] / 60:.1f} minutes."
    )


def _passes(passes: list[Run], which: str, counts: Callable[[str], bool]) -> int | None:
    """The first pass after which nothing that counts was outside."""
    for turn, after in enumerate(passes, 1):
        if not any(counts(name) for name in after[which]):
            return turn
    return None


def _distribution(run: Run, name: str, counts: Callable[[str], bool]) -> str:
    rows = []
    for method in _methods(run):
        for which, says in (("missed", "truly"), ("shown", "by gauge")):
            found = [_passes(car["methods"][method], which, counts) for car in run["cars"]]
            bins = [_share(n == k for n in found) for k in range(1, 6)]
            bins.append(_share(n is None or n > 5 for n in found))
            two = _share(n is not None and n <= 2 for n in found)
            rows.append([f"{method}, {says}", *bins, two])
    for which, says in (("missed", "truly"), ("shown", "by gauge")):
        one = _share(not any(counts(n) for n in car["floor"][which]) for car in run["cars"])
        rows.append([f"floor (true car known), {says}", one, *[""] * 6])
    head = ["Passes until inside", *COLUMNS, "within 2"]
    return f"### Passes, {name}\n\n" + _table(head, rows)


def _what_is_missed(run: Run) -> str:
    """Share of cars with a reading of each kind truly outside after the first and second pass."""
    names = sorted({n.split(".")[1] for car in run["cars"] for n in car["start"]["missed"]})
    rows = [["as it came in", *[_cars_missing([car["start"] for car in run["cars"]], n) for n in names]]]
    for method in _methods(run):
        for turn in (1, 2):
            ends = [_at(car["methods"][method], turn) for car in run["cars"]]
            rows.append([f"{method}, pass {turn}", *[_cars_missing([e for e in ends if e], n) for n in names]])
    rows.append(["floor", *[_cars_missing([car["floor"] for car in run["cars"]], n) for n in names]])
    head = ["Cars with a reading truly outside", *names]
    return "### What is missed\n\n" + _table(head, rows)


def _at(passes: list[Run], turn: int) -> Run | None:
    """After this pass, or after the last there was."""
    return passes[min(turn, len(passes)) - 1] if passes else None


def _cars_missing(ends: list[Run], reading: str) -> str:
    return _share(any(n.endswith(f".{reading}") for n in end["missed"]) for end in ends)


def _by_kind(run: Run) -> str:
    method = _methods(run)[0]
    rows = []
    for kind in dict.fromkeys(car["kind"] for car in run["cars"]):
        cars = [car for car in run["cars"] if car["kind"] == kind]
        row = [kind.replace("_", " "), str(len(cars))]
        for counts in CRITERIA.values():
            found = [_passes(car["methods"][method], "missed", counts) for car in cars]
            row += [_share(n == 1 for n in found), _share(n is not None and n <= 2 for n in found)]
            row.append(_share(not any(counts(n) for n in car["floor"]["missed"]) for car in cars))
        rows.append(row)
    head = ["Kind", "cars", "all: 1 pass", "2", "floor", "but held: 1 pass", "2", "floor"]
    return f"### By kind, {method}, truly inside\n\n" + _table(head, rows)


def _limits(run: Run) -> str:
    rows = []
    total = len(run["cars"])
    sets = {"as it came in": [[car["start"]] for car in run["cars"]]}
    sets |= {method: [car["methods"][method] for car in run["cars"]] for method in _methods(run)}
    sets["floor"] = [[car["floor"]] for car in run["cars"]]
    for name, passes in sets.items():
        ever = sum(any(one["broken"] for one in car) for car in passes)
        last = sum(bool(car) and bool(car[-1]["broken"]) for car in passes)
        which = Counter(b.split(".")[1] for car in passes for b in {b for one in car for b in one["broken"]})
        rows.append([name, f"{ever}/{total}", f"{last}/{total}", ", ".join(f"{n} {k}" for n, k in which.items())])
    head = ["Hard limits truly broken", "cars, any pass", "cars, last pass", "corners"]
    return "### Limits\n\n" + _table(head, rows)


def _calibration(run: Run) -> str:
    method = _methods(run)[0]
    gauge: dict[str, list[float]] = defaultdict(list)
    true: dict[str, list[float]] = defaultdict(list)
    for car in run["cars"]:
        for turn, after in enumerate(car["methods"][method]):
            which = "pass 1" if turn == 0 else "later passes"
            for name, by_gauge, by_truth in after["calibration"]:
                for key in (f"{name}, {which}", f"all read, {which}"):
                    if not key.startswith("all") or name not in UNREAD:
                        gauge[key].append(by_gauge)
                        true[key].append(by_truth)
    rows = []
    for key in sorted(gauge, key=lambda key: (not key.startswith("all"), key)):
        g, t = np.array(gauge[key]), np.array(true[key])
        by_gauge, truly = (f"{100 * np.mean(np.abs(z) <= NINETY):.1f} %" for z in (g, t))
        if key.startswith("stroke_share"):
            by_gauge = ""  # worked out from the damper's length, not predicted as a gauge shows it
        rows.append([key, str(g.size), by_gauge, truly, f"{g.std():.2f}", f"{g.mean():+.2f}"])
    head = ["Inside the predicted 90 %", "readings", "by gauge", "truly", "spread (gauge)", "bias"]
    return "### Calibration\n\n" + _table(head, rows)


UNREAD = ("stroke_share", "spring_held", "cross_weight")


def _chances(run: Run) -> str:
    """Predicted chance that all is inside, against what happened by gauge."""
    said: list[tuple[float, bool]] = []
    for car in run["cars"]:
        said += [(p["chance"], not p["shown"]) for p in car["methods"][_methods(run)[0]] if p["chance"] is not None]
    rows = []
    for low, high in ((0, 0.05), (0.05, 0.2), (0.2, 0.4), (0.4, 0.6), (0.6, 0.8), (0.8, 1.01)):
        part = [(p, came) for p, came in said if low <= p < high]
        if part:
            mean, share = np.mean([p for p, _ in part]), np.mean([came for _, came in part])
            rows.append([f"{100 * low:.0f} to {min(100 * high, 100):.0f} %", str(len(part)), _percent(mean)])
            rows[-1].append(_percent(share))
    head = ["Chance the plan gave", "passes", "mean", "all inside by gauge"]
    return "### Chance of a pass\n\n" + _table(head, rows)


def _time(run: Run) -> str:
    rows = []
    for method in _methods(run):
        seconds = [p["seconds"] for car in run["cars"] for p in car["methods"][method]]
        if seconds:
            reads = [sum(p["reads"] for p in car["methods"][method]) for car in run["cars"]]
            rows.append([method, f"{np.median(seconds):.2f}", f"{max(seconds):.2f}", f"{np.median(reads):.0f}"])
    return "### Work\n\n" + _table(["Method", "seconds a pass, median", "longest", "times read, median"], rows)


def _methods(run: Run) -> list[str]:
    return list(run["cars"][0]["methods"])


def _share(true: Iterator[bool]) -> str:
    found = list(true)
    return _percent(sum(found) / len(found)) if found else ""


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def _table(head: list[str], rows: list[list[str]]) -> str:
    lines = ["| " + " | ".join(head) + " |", "| " + " | ".join(["---"] * len(head)) + " |"]
    lines += ["| " + " | ".join(row) + " |" for row in rows]
    return "\n".join(lines)
