"""Finding what a key of an answer means."""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Literal

from cornerwright.model.errors import Refusal
from cornerwright.planning.why.explained import Explained
from cornerwright.planning.why.of_brakes import BRAKES
from cornerwright.planning.why.of_drive import CORNERING, ROAD
from cornerwright.planning.why.of_fit import FIT
from cornerwright.planning.why.of_joint import JOINT
from cornerwright.planning.why.of_plan import DOUBT, LEARN, PLAN
from cornerwright.planning.why.of_stand import CAR, CORNER, PREDICTED, TRAVEL

Answer = Literal["stand", "travel", "joint", "fit", "brakes", "road", "corner", "plan", "learn", "doubt"]

TABLES: dict[Answer, dict[str, Explained]] = {
    "stand": CORNER | CAR | PREDICTED,
    "joint": JOINT,
    "fit": FIT,
    "brakes": BRAKES,
    "travel": TRAVEL,
    "road": ROAD,
    "corner": CORNERING,
    "plan": PLAN,
    "learn": LEARN,
    "doubt": DOUBT,
}
"""Every number of every answer; in the order in which a key without its answer is looked for."""


SAME = {"front_share": "front_percent", "left_share": "left_percent"}
"""What a plan calls a number that `stand` calls otherwise."""


@dataclass(frozen=True)
class Found:
    """A key, in full."""

    answer: Answer
    key: str
    """Path in the answer, numbers in brackets left out."""
    at: tuple[int | None, ...]
    """Which of several, for each part of the path; None where it was not said."""
    explained: Explained


def find(key: str) -> Found:
    """What this key means: `camber_deg`, `camber`, `joint.clamp.middle_n`, `brakes.rows[2].foot_n`. Raises Refusal."""
    plain = key.strip().lower().replace("-", "_").replace(" ", "_")
    parts = plain.split(".")
    tables: dict[Answer, dict[str, Explained]] = TABLES
    for answer, own in TABLES.items():
        if parts[0] == answer and len(parts) > 1:
            tables, parts = {answer: own}, parts[1:]
            break
    at = tuple(int(found[1]) if (found := re.search(r"\[(\d+)\]$", part)) else None for part in parts)
    path = ".".join(re.sub(r"\[\d+\]$", "", part) for part in parts)
    path = SAME.get(path.removesuffix("_percent"), path)
    for fits in (_exact, _without_unit, _last_part, _last_without_unit):
        for answer, table in tables.items():
            names = [name for name in table if path and fits(name, path)]
            if len(names) == 1:
                whole = (None,) * (names[0].count(".") + 1 - len(at)) + at
                return Found(answer, names[0], whole, table[names[0]])
            if names:
                raise Refusal.of(f"'{key}', which is one of {len(names)}", "one of " + ", ".join(names), field="KEY")
    known = [name for table in tables.values() for name in table]
    near = get_close_matches(path, [*known, *(name.rpartition(".")[2] for name in known)], n=3, cutoff=0.5)
    nearest = f"; did you mean {' or '.join(dict.fromkeys(near))}?" if near else ""
    raise Refusal.of(f"'{key}'", f"a key of a number in an answer, as in camber_deg{nearest}", field="KEY")


def _exact(name: str, path: str) -> bool:
    return name == path


def _without_unit(name: str, path: str) -> bool:
    return name.rpartition("_")[0] == path


def _last_part(name: str, path: str) -> bool:
    return name.endswith("." + path)


def _last_without_unit(name: str, path: str) -> bool:
    return name.rpartition("_")[0].endswith("." + path)
